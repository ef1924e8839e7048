"""The options of a case in; what each costs against the baseline, at what comfort, and which is cheapest, out."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.money.difference import difference_data, difference_picture, difference_table
from simkit.answers.wording import (
    FLOW_MEANS,
    NO_LIKE,
    SPF_MEANS,
    beside,
    closing,
    costs_against,
    like_for_like,
    provenance_of,
    with_option,
    wrong_first,
)
from simkit.answers.year import flow_words, year_data, year_pictures, year_tables
from simkit.decide.flow.worth import sent_flow
from simkit.finance.difference import Difference, difference
from simkit.notation import Notation, named
from simkit.uncertainty.ranges import Range
from simkit.year.comfort import rule
from simkit.year.compare import STEP_SHARE, Comparison, about_even, changes_of
from simkit.year.year import Year

NOTHING_BESIDE = "This case lists no [[option]], so that nothing stands beside it."
RUNNING_ONLY = "That is running alone: what it costs to buy and to keep up is weighed by `simkit worth`."


def comparison_answer(comparison: Comparison, title: str = "", *, ranged: bool = True, whole: bool = True) -> Answer:
    """Say what the options of a case come to.

    Parameters
    ----------
    comparison
        The options.
    title
        Name of the home; that of the baseline where it is left out.
    ranged
        Whether to sample the likely ranges as well.
    whole
        Whether bill, months and performance of the option that it is about belong to it.
    """
    notation, base = comparison.base.case.notation, comparison.base
    subject, title = subject_of(comparison) or base, title or base.case.name
    options = options_table({one.case.name: one for one in comparison.years}, base, ranged=ranged)
    tables, pictures = [options], [_picture(comparison, ranged=ranged)]
    whys = {year.case.name: difference(base, year) for year in comparison.years if year is not base}
    if subject is not base:
        tables.append(difference_table(whys[subject.case.name]))
        pictures.append(difference_picture(whys[subject.case.name]))
    if whole:
        whose = named(subject.case.name)
        shown = [table for table in year_tables(subject) if table.name in ("bill", "months", "performance")]
        tables += [replace(table, title=f"{table.title}, with {whose}") for table in shown]
        pictures += [replace(one, sentence=f"{whose}: {one.sentence}") for one in year_pictures(subject)]
    said = comparison_sentences(comparison, notation, ranged=ranged)
    return Answer(
        title, "What does a year cost with each option?", tuple(said), notation,
        tables=tuple(tables), pictures=tuple(pictures),
        cautions=cautions_for(comparison.years, _topics(comparison)),
        notes=_notes(comparison), notes_of_case=True,
        provenance=provenance_of(base),
        data={
            "case": title, "baseline": comparison.baseline,
            "options": _data(comparison, title, subject, whys, ranged=ranged),
        },
    )  # fmt: skip


def _notes(comparison: Comparison) -> tuple[str, ...]:
    """Every note of the options once; where several say the same with other numbers, whose it is."""
    whose: dict[str, list[str]] = {}
    for year in comparison.years:
        for note in year.notes:
            whose.setdefault(note, []).append(named(year.case.name))
    wordings = {note: re.sub(r"[\d\W]+", "", note) for note in whose}
    alike = Counter(wordings.values())
    return tuple(
        note if alike[wordings[note]] == 1 else f"{', '.join(sorted(names))}: {note}" for note, names in whose.items()
    )


def subject_of(comparison: Comparison) -> Year | None:
    """The option that a case is about, whatever their order.

    Of those heated otherwise than the baseline, or of all others where none is: the one that changes least of the case.
    """
    others = [year for year in comparison.years if year is not comparison.base]
    changed = [year for year in others if year.case.heat_source != comparison.base.case.heat_source]
    return min(changed or others, key=lambda year: (changes_of(year.case), year.case.name), default=None)


def comparison_sentences(comparison: Comparison, notation: Notation, *, ranged: bool) -> list[str]:
    """The subject at equal comfort first, then as it was lived, then the cheapest that is as comfortable as needed."""
    base, subject = comparison.base, subject_of(comparison)
    ends = closing(*(year.case for year in comparison.years), ranged=ranged)
    if subject is None:
        cost = notation.estimate(base.bill.total, base.range() if ranged else None)
        return [wrong_first(base, f"a year costs about {cost}"), NOTHING_BESIDE, ends]
    like = as_comfortable(comparison, subject)
    others = [base] if like is None or like is base else [like, base]
    said = [f"{_against(comparison, subject, other, notation, ranged=ranged)}." for other in others]
    lacks = with_option(subject, subject.case.name)
    said[0] = f"{lacks} {said[0]}" if lacks else said[0]
    return [*said, *_cheapest(comparison, subject, notation, ranged=ranged), RUNNING_ONLY, ends]


def _against(comparison: Comparison, year: Year, other: Year, notation: Notation, *, ranged: bool) -> str:
    """One option against another: at equal comfort, at the old one, or for less of it, and what the other lacks."""
    more = year.bill.total - other.bill.total
    found = Range.of(year.samples.total - other.samples.total) if ranged else None
    against, alike = named(other.case.name), like_for_like(year.comfort, other.comfort)
    ends = f"{'' if alike else f'; {NO_LIKE}'}{beside(other, other.case.name)}"
    if about_even(year, other):
        steps = f"one runs on steps of {year.axis.step_minutes} minutes and the other of {other.axis.step_minutes}"
        alone = f"{steps}, which alone can move a bill by {notation.share(STEP_SHARE, 1)}"
        return f"{alike}{named(year.case.name)} is about even with {against}: {alone}{ends}"
    return f"{alike}{named(year.case.name)} {costs_against(more, found, against, notation)}{ends}"


def as_comfortable(comparison: Comparison, subject: Year) -> Year | None:
    """The baseline's own heat source where it keeps rooms and water as the subject does; the baseline itself first."""
    alike = [year for year in comparison.years if year.case.heat_source == comparison.base.case.heat_source]
    ordered = sorted(alike, key=lambda year: (year is not comparison.base, year.bill.total, year.case.name))
    return next((year for year in ordered if year.comfort.as_warm_as(subject.comfort)), None)


def _cheapest(comparison: Comparison, subject: Year, notation: Notation, *, ranged: bool) -> list[str]:
    """The cheapest option that is as comfortable as needed; or that none is, and which comes nearest."""
    if len(comparison.years) < 3:
        return []
    held = [year for year in comparison.years if year.comfort.held]
    if not held:
        nearest = min(comparison.years, key=lambda year: (*year.comfort.how_far, year.case.name))
        name, comfort = named(nearest.case.name), nearest.comfort.worded(notation.number)
        return [f"No option is as comfortable as needed; {name} comes nearest: {comfort}."]
    best = min(held, key=lambda year: (year.bill.total, year.case.name))
    if best is subject:
        return [f"No other option that is as comfortable as needed costs less to run than {named(best.case.name)}."]
    found = best.range() if ranged else None
    price = notation.estimate(best.bill.total, found)
    said = f"The cheapest to run of those as comfortable as needed is {named(best.case.name)} at about {price} a year"
    if ranged:
        gap = Range.of(best.samples.total - subject.samples.total)
        less = notation.more_or_less(best.bill.total - subject.bill.total, gap)
        said += f": {less} than {named(subject.case.name)} (likely {notation.span_more_or_less(gap)})"
    return [f"{said}."]


def options_table(years: Mapping[str, Year], base: Year, *, ranged: bool, against: str = "") -> Table:
    """One row by option: cost, difference from the baseline, performance, energy, comfort.

    Parameters
    ----------
    years
        The options by name, in the order shown.
    base
        The one of them that the others are compared with.
    ranged
        Whether to sample the likely ranges as well.
    against
        Name of that one, where another of the options may be the same year.
    """
    rows, notation = [], base.case.notation
    against = against or next(name for name, year in years.items() if year is base)
    for name, year in years.items():
        is_base, cost = year is base, year.range() if ranged else None
        more = year.bill.total - base.bill.total
        found = Range.of(year.samples.total - base.samples.total, more) if ranged and not is_base else None
        rows.append(
            {
                "option": name, "year_cost": year.bill.total,
                "year_cost_low": cost.low if cost else None, "year_cost_high": cost.high if cost else None,
                "more_cost": None if is_base else more,
                "more_cost_low": found.low if found else None, "more_cost_high": found.high if found else None,
                "spf_h4": year.spf.h4, "flow_words": flow_words(sent_flow(year), notation),
                "comfort": year.comfort.worded(notation.number),
                "bought_kwh": year.totals["import"], "burnt_kwh": sum(year.fuel_kwh.values()),
                "carbon_kg": year.carbon_kg, "min_room_c": year.comfort.min_room_c, "cool_h": year.comfort.cool_hours,
                "below_18_h": year.comfort.hours_below_18,
            }
        )  # fmt: skip
    frame = pd.DataFrame(rows).set_index("option")
    against_base = Column("more_cost", "more_cost_low", "more_cost_high", as_difference=True)
    shown = (
        Column("comfort"),
        Column("year_cost", "year_cost_low", "year_cost_high"),
        *([against_base] if len(years) > 1 else []),
        Column("spf_h4"),
        Column("flow_words"),
    )
    held_to = f"Against the baseline: {named(against)}. " if len(years) > 1 else ""
    note = f"{held_to}{SPF_MEANS} {FLOW_MEANS} {rule(notation.number)}"
    return Table("options", "The options", frame, shown, note, first="Option")


def _picture(comparison: Comparison, *, ranged: bool) -> Picture:
    from simkit import figures
    from simkit.figures.money.cost import ROW_INCHES, SHEET

    rows = []
    for year in comparison.years:
        row = {"option": year.case.name, "comfort": year.comfort.lacks, "year_cost": year.bill.total}
        row |= year.costs.by_use
        if ranged:
            found, saved = year.range(), comparison.saving_range(year)
            row |= {"year_cost_low": found.low, "year_cost_high": found.high}
            row |= {"more_cost_low": -saved.high, "more_cost_high": -saved.low}
        rows.append(row)
    table = pd.DataFrame(rows).set_index("option")
    words: dict[str, Any] = {"notation": comparison.base.case.notation, "baseline": comparison.baseline}
    lacks = any(not year.comfort.held for year in comparison.years)
    return Picture(
        "cost",
        lambda figure: figures.year_cost(table, ax=SHEET.axes([ROW_INCHES * len(rows)], figure=figure)[0], **words),
        f"What a year costs with each option, by what it goes on{', with its likely range' if ranged else ''}"
        f"{'; what an option lacks stands beside its name' if lacks else ''}.",
    )


def _topics(comparison: Comparison) -> set[str]:
    """What the options propose beyond what is there."""
    sources = {year.case.heat_source for year in comparison.years}
    return {"heat source", "old boiler"} if len(sources) > 1 else set()


def _data(
    comparison: Comparison, title: str, subject: Year, whys: Mapping[str, Difference], *, ranged: bool
) -> list[dict[str, Any]]:
    options = []
    for year in comparison.years:
        saved = comparison.saving_range(year) if ranged else None
        found = year.range() if ranged else None
        option = {"name": year.case.name, "note": year.case.note} | year_data(year, found) | {"notes": list(year.notes)}
        option["case"] = title
        option["difference"] = difference_data(whys[year.case.name]) if year.case.name in whys else None
        option["saving"] = {
            "amount": comparison.saving(year),
            "range": None if saved is None else [saved.low, saved.high],
        }
        option["against_subject"] = {
            "subject": subject.case.name,
            "amount": year.bill.total - subject.bill.total,
            "range": Range.of(year.samples.total - subject.samples.total) if ranged else None,
        }
        options.append(option)
    return options
