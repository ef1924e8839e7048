"""A result and what is asked of it in; the explanation of that figure, or the figures that may be meant, out.

Asked for may be a key (``bill.energy.night``), the end of one (``night``), its words, the start of a step
(``2025-01-08 07:30``), a month (``January``), or what a figure reads (``412``).
"""

from __future__ import annotations

import re
from calendar import month_abbr, month_name
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.case.case import Case
from simkit.errors import CaseError, Fault, nearest
from simkit.explaining.catalogue import comparison_figures, slug, year_figures
from simkit.explaining.chain import Candidates, DisagreementError, Explanation, Figure, Link
from simkit.explaining.moves import moves
from simkit.explaining.reads import NUMBER, reads
from simkit.explaining.step import step_figure, worked_step
from simkit.explaining.where import FAMILIES_OF, Place, Standing, places
from simkit.kept.memory import memo_of_last
from simkit.year.compare import Comparison, compare
from simkit.year.simulate import simulate
from simkit.year.year import Year

if TYPE_CHECKING:
    from simkit.answers.report.report import Content

DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
STAMP = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})[ T](\d{1,2}):(\d{2})")
MONTH = re.compile(r"(\d{4})-(\d{1,2})")
# families of further figures, the quickest first
FURTHER = ("input", "worth", "cause", "week", "season", "range", "flow", "moved", "tariff", "measure", "spread")
QUICK = ("input", "worth", "cause", "season")  # families in which words are looked for; any other is named
AGREE = "worked out again in plain Python, by the laws that the kernel is compiled from: they agree"


@dataclass(frozen=True, eq=False)
class Shown:
    """Everything that can be asked of a result.

    Parameters
    ----------
    case
        The home.
    year
        Its year, or None to simulate it when it is asked for.
    compared
        Its options, or None to simulate them when nothing of the year is meant.
    contents
        What reports on it say, as far as that was kept.
    """

    case: Case
    year: Year | None = None
    compared: Comparison | None = None
    contents: Sequence[Content] = ()

    @cached_property
    def whole(self) -> Year:
        """The year of the case itself."""
        return self.year if self.year is not None else simulate(self.case)

    @cached_property
    def of_year(self) -> tuple[Figure, ...]:
        """Figures of the year of the case."""
        return tuple(year_figures(self.whole))

    @cached_property
    def of_options(self) -> tuple[Figure, ...]:
        """Figures of its options."""
        if self.compared is None and not self.case.stated.get("option"):
            return ()
        return tuple(comparison_figures(self.options))

    @cached_property
    def options(self) -> Comparison:
        """Its options, compared; the year itself where it has none."""
        if self.compared is not None or self.case.stated.get("option"):
            return self.compared or compare(self.case)
        return Comparison((self.whole,), self.case.name)

    def family(self, name: str) -> tuple[Figure, ...]:
        """Further figures that reports and commands show, worked out when they are asked for."""
        return _family(self, name)


@memo_of_last(64)
def _family(shown: Shown, name: str) -> tuple[Figure, ...]:
    from simkit.explaining.further import FAMILIES  # what it is made of takes long to load

    return tuple(FAMILIES[name](shown.options))


def explain(
    result: Case | Year | Comparison, what: str, *, contents: Sequence[Content] = ()
) -> Explanation | Candidates | Standing:
    """Explain a figure: the chain from inputs through the laws to it, and the inputs that move it most.

    Parameters
    ----------
    result
        A home, its simulated year, or its options.
    what
        A key such as ``bill.energy.night``, ``spf.h4``, ``month.jan.cost``, ``option.heat_pump.payback`` or the end of
        one; words of its label; a month; the start of a step in local time, ``2025-01-08 07:30``; or what the figure
        reads, such as ``412``.
    contents
        What reports on it say: a number is then looked for only where one of them shows it.

    Returns
    -------
    Explanation, Candidates or Standing
        One figure explained; those that may be meant, to choose from by their keys; or the places of a report that
        show it.

    Raises
    ------
    CaseError
        Where nothing of the kind is shown.
    DisagreementError
        Where the laws in plain Python say anything else than the kernel: a defect of the kit.
    """
    shown = replace(_shown(result), contents=tuple(contents))
    found = _found(shown, " ".join(what.split()))
    if isinstance(found, Standing):
        return found
    return explained(found[0]) if len(found) == 1 else Candidates(what, found, shown.case.notation, shown.case.name)


def _shown(result: Case | Year | Comparison) -> Shown:
    if isinstance(result, Year):
        return Shown(result.case, result, Comparison((result,), result.case.name))
    if isinstance(result, Comparison):
        return Shown(result.base.case, result.base, result)
    return Shown(result)


def explained(figure: Figure) -> Explanation:
    """One figure with its chain, checked, and what moves it most."""
    figure = figure.made
    return Explanation(figure, chained(figure), moves(figure), tuple(_checked(figure)))


def chained(figure: Figure) -> tuple[Link, ...]:
    """The chain of a figure, which must end at what is shown."""
    links, amount = tuple(figure.links()), figure.amount
    end = links[-1].value
    if not (amount == end or abs(end - amount) <= 1e-6 + 1e-9 * abs(amount)):
        raise DisagreementError(f"{figure.key} is shown as {amount!r}, and its chain ends at {end!r}")
    return links


def _checked(figure: Figure) -> Iterable[str]:
    """Work three steps out again: the coldest, one in the middle of the heat, and that of the highest import."""
    year = figure.years[-1]
    if STAMP.fullmatch(figure.key):
        return [f"This step, {AGREE}."]
    heat = year.flow("space_heat")
    places = {int(np.argmin(year.inputs.series["outdoor_c"])), int(np.argmax(year.flow("grid_import")))}
    places.add(int(np.argsort(heat)[len(heat) * 3 // 4]))
    for place in places:
        worked_step(year, place)
    stamps = ", ".join(f"{year.axis.local[place]:%Y-%m-%d %H:%M}" for place in sorted(places))
    return [f"Steps {stamps}, {AGREE}. Any step can be asked for by its time."]


def _found(shown: Shown, what: str) -> tuple[Figure, ...] | Standing:
    """The figures that may be meant: of the year first, then of the options; by key, by words, by what they read."""
    if (stamp := STAMP.fullmatch(what)) is not None:
        return _steps(shown.whole, _when(shown.case, what, stamp))
    what = _month_key(what)
    if DAY.fullmatch(what) and (days := tuple(one for one in shown.family("week") if f".{what}." in one.key)):
        return days
    family, _, rest = what.partition(" ") if " " in what else what.partition(".")
    if family.lower() in FURTHER and rest and (found := _meant(shown.family(family.lower()), rest, what)):
        return found
    return _anywhere(shown, what)


def _anywhere(shown: Shown, what: str) -> tuple[Figure, ...] | Standing:
    """The figures that may be meant where no family is named."""
    is_number = NUMBER.fullmatch(what) is not None
    if is_number and (found := _reading((*shown.of_year, *shown.of_options, *shown.family("input")), what)):
        return found
    for of in ("of_year", "of_options"):  # options are compared only where nothing of the year is meant
        figures: tuple[Figure, ...] = getattr(shown, of)
        if found := tuple(_by_key(figures, what) or _by_words(figures, what)):
            return found
    stands = places(shown.contents, what) if is_number else ()
    for name in _families(shown, stands) if is_number else QUICK:
        if found := _meant(shown.family(name), what, what):
            return found
    if stands:
        return Standing(what, stands, shown.case.notation, shown.case.name)
    raise CaseError(_nothing(shown, what, is_number=is_number))


def _nothing(shown: Shown, what: str, *, is_number: bool) -> Fault:
    """Say that nothing of the kind is shown, and what may be meant."""
    if "payback" in what.lower() and shown.case.money is None:
        why = "is not known: the case has no [money], and nothing is weighed over the years"
        return Fault(shown.case.label, f'"{what}"', why, "Add [money] with start, such as start = 2026-01-01")
    near = nearest(what, [figure.key for figure in (*shown.of_year, *shown.of_options)])
    remedy = f"Perhaps {near} is meant" if near else "Ask for bill.total, spf.h4, a month, a time or a number shown"
    if shown.contents and is_number:
        remedy = f'Where another command shows it, say what it belongs to before it, such as "tariff {what}"'
    return Fault(shown.case.label, f'"{what}"', "is no figure that is shown of this home", remedy)


def _families(shown: Shown, stands: Sequence[Place]) -> Sequence[str]:
    """Families of figures in which a number is looked for, the quickest first.

    One that reports show is looked for among what their sections show; with no report it may be anywhere.
    """
    shows = {family for place in stands for family in FAMILIES_OF.get(place.section, FURTHER)}
    return [name for name in FURTHER if name in shows] if shown.contents else FURTHER


def _meant(figures: Sequence[Figure], what: str, key: str) -> tuple[Figure, ...]:
    """Those of a family that may be meant: by what they read, by key, by words."""
    read = _reading(figures, what) if NUMBER.fullmatch(what) else ()
    return read or tuple(_by_key(figures, key) or _by_key(figures, what) or _by_words(figures, what))


def _reading(figures: Sequence[Figure], what: str) -> tuple[Figure, ...]:
    return _one_each(tuple(figure for figure in figures if reads(figure, what)))


def _when(case: Case, what: str, stamp: re.Match[str]) -> pd.Timestamp:
    """The time that is written; a fault where the calendar has none of it."""
    try:
        return pd.Timestamp(*map(int, stamp.groups()))
    except ValueError:
        remedy = "Write it as 2025-01-08 07:30"
        raise CaseError(Fault(case.label, f'"{what}"', "is no day and time of the calendar", remedy)) from None


def _steps(year: Year, when: pd.Timestamp) -> tuple[Figure, ...]:
    """The step that a time lies in; both where the clock went back."""
    start = year.axis.local.tz_localize(None)
    length = pd.Timedelta(minutes=year.axis.step_minutes)
    places = np.flatnonzero((start <= when) & (when < start + length))
    if not len(places):
        why = f"is no time of {year.axis.year} in {year.axis.zone}"
        raise CaseError(
            Fault(year.case.label, f'"{when:%Y-%m-%d %H:%M}"', why, "Ask for a time of the year that is run")
        )
    return tuple(step_figure(year, int(place)) for place in places)


def _month_key(what: str) -> str:
    """The key of a month that is named, or what was asked."""
    for number in range(1, 13):
        if what.lower() in (month_name[number].lower(), month_abbr[number].lower()):
            return f"month.{month_abbr[number].lower()}.cost"
    named = MONTH.fullmatch(what)
    if named is not None and 1 <= int(named[2]) <= 12:
        return f"month.{month_abbr[int(named[2])].lower()}.cost"
    return what


def _by_key(figures: Iterable[Figure], what: str) -> list[Figure]:
    """The figure of that key, or those whose key ends so."""
    key = what.lower()
    exact = [figure for figure in figures if figure.key.lower() == key]
    return exact or [figure for figure in figures if figure.key.lower().endswith(f".{slug_of(key)}")]


def slug_of(key: str) -> str:
    """A key as it may be typed, its parts in the letters of keys."""
    return ".".join(slug(part) for part in key.split("."))


def _by_words(figures: Iterable[Figure], what: str) -> list[Figure]:
    """The figures whose words hold what was asked."""
    words = what.lower()
    return [figure for figure in figures if words in figure.label.lower()] if words else []


def _one_each(found: tuple[Figure, ...]) -> tuple[Figure, ...]:
    """Each figure once: the same of the case and of an option of the same kind stand beside each other otherwise."""
    return tuple({(figure.key, round(figure.amount, 9)): figure for figure in found}.values())
