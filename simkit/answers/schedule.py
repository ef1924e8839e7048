"""The best schedule found in; what it saves at no loss of comfort, what to type in, and what a set-back does, out."""

from __future__ import annotations

from typing import Any

import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.setback import setback_sentences, setback_table
from simkit.answers.wording import (
    ALL_WELL,
    closing,
    comfort_is,
    either_way,
    provenance_of,
    what_would_mend,
    wrong_first,
)
from simkit.decide.schedule.search import BestSchedule
from simkit.decide.schedule.setback import SetBack
from simkit.decide.schedule.settings_sheet import cheap_hours, seasons_of, settings_sheet
from simkit.notation import Notation
from simkit.uncertainty.ranges import Range
from simkit.year.comfort import rule
from simkit.year.year import Year


def schedule_answer(found: BestSchedule, verdict: SetBack | None = None, *, ranged: bool = True) -> Answer:
    """Say what the best schedule saves, and what to type in for it.

    Parameters
    ----------
    found
        The best schedule, beside today's.
    verdict
        What a set-back does in the same home; None leaves it out.
    ranged
        Whether to sample the likely range of the saving as well.
    """
    notation = found.case.notation
    tables = [_both(found, notation, ranged=ranged), sheet_table(found.best, found.today)]
    tables += [setback_table(verdict, notation)] if verdict is not None else []
    said = schedule_sentences(found, notation, ranged=ranged)
    return Answer(
        found.case.name, "Which schedule costs least without costing comfort?",
        (*said, *(setback_sentences(verdict, notation) if verdict is not None else ()),
         closing(found.case, ranged=ranged)),
        notation, tables=tuple(tables), pictures=tuple(_pictures(found)), cautions=cautions_for([found.best]),
        notes=found.best.notes, notes_of_case=True, provenance=provenance_of(found.today),
        data=_data(found, verdict, ranged=ranged),
    )  # fmt: skip


def schedule_sentences(found: BestSchedule, notation: Notation, *, ranged: bool) -> list[str]:
    """What the best schedule costs against today's, at what comfort, and how many were looked at.

    Where none gives the needed comfort, that is said first, then the nearest, and what would help.
    """
    year, today = found.best, found.today
    looked = (
        f"{notation.number(found.tried)} schedules were simulated. {notation.number(found.too_cold)} of them were left "
        f"aside whatever they cost: {_left_aside(found)}."
    )
    if not year.comfort.held:
        return [_lacks(found, notation, ranged=ranged), *filter(None, [what_would_mend(year)]), looked]
    cost = notation.estimate(year.bill.total, year.range() if ranged else None)
    if found.rule is None:
        clause = f"keep what is set: a year costs about {cost}, and no schedule that was tried costs less"
    else:
        clause = f"the best schedule costs about {cost} a year, {_against_today(found, notation, ranged=ranged)}"
    first = wrong_first(year, clause, well=ALL_WELL)
    if found.rule is not None and not today.comfort.held:
        first += f" Today {comfort_is(today.comfort, notation)}."
    return [first, looked]


def _left_aside(found: BestSchedule) -> str:
    """Why candidates were thrown out."""
    if found.best.comfort.held or not found.kept:
        than = "today" if found.today.comfort.held else "needed"
        return f"rooms would be colder or hotter than {than}, hot water shorter, or the main fuse loaded more"
    return "rooms would be colder than today or too cold, hot water shorter, or the main fuse loaded more"


def _lacks(found: BestSchedule, notation: Notation, *, ranged: bool) -> str:
    """That no schedule gives the needed comfort, what the nearest does, and what it costs."""
    year = found.best
    cost = notation.estimate(year.bill.total, year.range() if ranged else None)
    then, before = (comfort_is(one.comfort, notation) for one in (year, found.today))
    first = f"No schedule that was simulated gives the needed comfort: {with_which(found)} {then}"
    if found.rule is None:
        return f"{first}. A year costs about {cost}."
    against = _against_today(found, notation, ranged=ranged)
    said = f"{first}. A year then costs about {cost}, {against}"
    return f"{said}; today {before}." if before != then else f"{said}."


def with_which(found: BestSchedule) -> str:
    """Which schedule is shown where none gives the needed comfort."""
    if found.rule is None:
        return f"with today's, which {'is the cheapest no worse than it' if found.kept else 'comes nearest'},"
    return "with the nearest" if not found.kept else "with the cheapest that is no worse than today's"


def _against_today(found: BestSchedule, notation: Notation, *, ranged: bool) -> str:
    """How much less, or more, than today's, with the range of that."""
    if not ranged:
        return f"{notation.more_or_less(-found.saving)} than today's"
    saved = found.saving_range
    more = Range(-saved.high, -saved.middle, -saved.low)
    likely = f"likely {notation.span_more_or_less(more)}"
    if either_way(more):
        return f"about the same as today's: it could go either way ({likely})"
    return f"{notation.more_or_less(-found.saving, more)} than today's ({likely})"


def _both(found: BestSchedule, notation: Notation, *, ranged: bool) -> Table:
    rows = {}
    for name, year in {"today": found.today, _called(found): found.best}.items():
        cost = year.range() if ranged else None
        rows[name] = {
            "comfort": year.comfort.worded(notation.number), "year_cost": year.bill.total,
            "year_cost_low": cost.low if cost else None, "year_cost_high": cost.high if cost else None,
            "bought_kwh": year.totals["import"], "min_room_c": year.comfort.min_room_c,
            "cool_h": year.comfort.cool_hours,
        }  # fmt: skip
    frame = pd.DataFrame(rows.values(), index=pd.Index(rows, name="schedule"))
    names = ("bought_kwh", "min_room_c", "cool_h")
    shown = (Column("comfort"), Column("year_cost", "year_cost_low", "year_cost_high"), *map(Column, names))
    return Table("schedules", f"Today and the {_called(found)}", frame, shown, rule(notation.number), first="Schedule")


def _called(found: BestSchedule) -> str:
    return "best schedule" if found.kept else "nearest schedule"


def sheet_table(year: Year, today: Year) -> Table:
    """What to type into the controller, winter beside summer."""
    sheet = settings_sheet(year, today).rename(columns={"winter": "winter_words", "summer": "summer_words"})
    sheet["summer_words"] = sheet["summer_words"].where(sheet["summer_words"] != sheet["winter_words"], "the same")
    return Table("settings", "What to type in", sheet, note="Times are wall time, all year.", first="Setting")


def _pictures(found: BestSchedule) -> list[Picture]:
    from simkit import figures
    from simkit.figures.money.cost import ROW_INCHES, SHEET

    years = {"today": found.today, _called(found): found.best}
    rows = [
        {"option": name, "comfort": year.comfort.lacks, "year_cost": year.bill.total, **year.costs.by_use}
        for name, year in years.items()
    ]
    table, notation = pd.DataFrame(rows).set_index("option"), found.case.notation
    words: dict[str, Any] = {"notation": notation, "baseline": "today"}
    hourly = found.best.hourly_local
    return [
        Picture(
            "cost",
            lambda figure: figures.year_cost(table, ax=SHEET.axes([ROW_INCHES * len(rows)], figure=figure)[0], **words),
            figures.year_cost_sentence(table, **words),
        ),
        Picture(
            "cold_week", lambda figure: figures.cold_week(hourly, notation=notation, figure=figure),
            figures.cold_week_sentence(hourly, notation=notation),
        ),
    ]  # fmt: skip


def _data(found: BestSchedule, verdict: SetBack | None, *, ranged: bool) -> dict[str, Any]:
    """Money in the currency of the case, energy in kWh, temperatures in °C."""
    return {
        "case": found.case.name,
        "currency": found.case.currency,
        "today": {"cost": found.today.bill.total, "comfort": found.today.comfort.worded(found.case.notation.number)},
        "best": {"cost": found.best.bill.total, "comfort": found.best.comfort.worded(found.case.notation.number)},
        "saving": found.saving,
        "saving_range": found.saving_range if ranged else None,
        "holds_needed_comfort": found.best.comfort.held,
        "tried": found.tried,
        "thrown_out_for_comfort": found.too_cold,
        "cheap_hours": [cheap_hours(found.best, month)._asdict() for month in seasons_of(found.case)],
        "settings": [
            {"setting": name, **row} for name, row in settings_sheet(found.best, found.today).to_dict("index").items()
        ],
        "verdict": [] if verdict is None else verdict.table().reset_index().to_dict("records"),
    }
