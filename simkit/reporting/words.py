"""Simulated years in; the sentences that answer an owner's question out.

An answer is an estimate with its likely range, under the stated assumptions, never a promise. Where the range of a
difference spans zero, the answer is that it could go either way, whatever the central figure says.
"""

from __future__ import annotations

from simkit.reporting.money import money, more_or_less, span, span_of_difference
from simkit.uncertainty.ranges import Range
from simkit.year.comfort import COLD_DEGREE_HOURS
from simkit.year.compare import Comparison, about_even
from simkit.year.year import Year

CAUTION, ASSUMED = "Caution: ", "Assumed for you: "
RANGE_MEANS = "Likely range: eight of ten samples lie in it (10th to 90th percentile of {lanes})."
ESTIMATE = "Estimates under the stated assumptions, not a guarantee."


def year_answer(year: Year, *, ranged: bool = True) -> str:
    """Say what a home costs to run.

    Parameters
    ----------
    year
        The simulated year.
    ranged
        Whether to sample the likely range as well.
    """
    case = year.case
    text = f"{quoted(case.name)} costs about {money(year.bill.total, case.currency)} a year to run"
    if ranged:
        found = year.range()
        text += f" (likely range {span(found.low, found.high, case.currency)})"
    return f"{text}: all electricity and fuel, the household's included."


def comparison_answer(comparison: Comparison, *, ranged: bool = True) -> list[str]:
    """Say what the options of a case come to against its baseline.

    Parameters
    ----------
    comparison
        The options.
    ranged
        Whether to sample the likely ranges as well.

    Returns
    -------
    list of str
        Sentences about the option that the case is about, at the baseline's comfort and at the same comfort, and about
        the cheapest where that is another one.
    """
    subject, base = subject_of(comparison), comparison.base
    if subject is None:
        return [year_answer(base, ranged=ranged)]
    said = [f"{quoted(subject.case.name)} costs {against(subject, base, ranged=ranged)}{_rooms(subject, base)}."]
    like = same_comfort(comparison, subject)
    if like is not None:
        said.append(f"At the same comfort it costs {against(subject, like, ranged=ranged)}.")
    return said + _cheapest(comparison, subject, ranged=ranged)


def subject_of(comparison: Comparison) -> Year | None:
    """The option that a case is about: the first heated otherwise than its baseline, else the first other one."""
    others = [year for year in comparison.years if year is not comparison.base]
    changed = [year for year in others if year.case.heat_source != comparison.base.case.heat_source]
    return next(iter([*changed, *others]), None)


def same_comfort(comparison: Comparison, subject: Year) -> Year | None:
    """The baseline's own heat source made to keep the rooms as warm as the subject, where the baseline does not."""
    base = comparison.base
    if _as_warm(base, subject):
        return None
    alike = (year for year in comparison.years if year.case.heat_source == base.case.heat_source)
    return next((year for year in alike if year is not base and _as_warm(year, subject)), None)


def against(year: Year, other: Year, *, ranged: bool = True) -> str:
    """Word what one year costs against another, to follow "costs".

    Parameters
    ----------
    year, other
        Years of one comparison, which share their samples.
    ranged
        Whether to sample the likely range as well.
    """
    currency, name = year.case.currency, quoted(other.case.name)
    more = year.bill.total - other.bill.total
    if even := about_even(year, other):
        return f"about the same as {name} ({even})"
    if not ranged:
        return f"{more_or_less(more, currency)} a year {'as' if round(more) == 0 else 'than'} {name}"
    found = difference(year, other)
    likely = f"likely range {span_of_difference(found.low, found.high, currency)}"
    if either_way(found):
        return f"about the same as {name}: {more_or_less(more, currency)} a year, but it could go either way ({likely})"
    return f"{more_or_less(more, currency)} a year {'as' if round(more) == 0 else 'than'} {name} ({likely})"


def difference(year: Year, other: Year) -> Range:
    """Range of what one year costs more than another, taken on differences: both met the same samples [currency]."""
    return Range.of(year.samples.total - other.samples.total, year.bill.total - other.bill.total)


def either_way(found: Range) -> bool:
    """Whether the range of a difference spans zero."""
    return found.low < 0.0 < found.high


def quoted(name: str) -> str:
    """Put a name in quotation marks: names of options hold commas and verbs."""
    return f"“{name}”"


def split_notes(notes: tuple[str, ...]) -> tuple[list[str], list[str], list[str]]:
    """Tell the notes of a case or of a year apart: cautions, what was assumed, and how it was worked out."""
    cautions = [note for note in notes if note.startswith(CAUTION)]
    assumed = [note for note in notes if note.startswith(ASSUMED)]
    return cautions, assumed, [note for note in notes if not note.startswith((CAUTION, ASSUMED))]


def _rooms(year: Year, other: Year) -> str:
    """Word whose rooms are warmer, to follow a difference in cost; nothing where it would not be felt."""
    warmer = other.comfort.degree_hours_below - year.comfort.degree_hours_below
    if warmer > COLD_DEGREE_HOURS:
        return ", and it keeps the rooms warmer"
    return ", and it leaves the rooms cooler" if warmer < -COLD_DEGREE_HOURS else ""


def _cheapest(comparison: Comparison, subject: Year, *, ranged: bool) -> list[str]:
    """Name the cheapest option with rooms about as warm as the subject's, where that is neither it nor the baseline."""
    warm = [year for year in comparison.years if _as_warm(year, subject)]
    best = min(warm, key=lambda year: year.bill.total)
    if best in (subject, comparison.base) or len(comparison.years) < 3:
        return []
    cost = money(best.bill.total, best.case.currency)
    said = f"The cheapest with rooms as warm is {quoted(best.case.name)} at {cost} a year"
    return [f"{said}: it costs {against(best, comparison.base, ranged=ranged)}."]


def _as_warm(year: Year, other: Year) -> bool:
    """Whether the rooms of one are no cooler than the other's by what would be felt."""
    return year.comfort.degree_hours_below <= other.comfort.degree_hours_below + COLD_DEGREE_HOURS
