"""The least that any schedule could cost in; how near one comes that can be typed in, and why not nearer, out."""

from __future__ import annotations

from calendar import month_abbr
from typing import Any

import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.schedule import sheet_table
from simkit.answers.wording import closing, provenance_of, wrong_first
from simkit.decide.optimum.foresight import BY_CLOCK, BY_DAY, BY_FORECAST, BY_YESTERDAY, Controls
from simkit.decide.optimum.optimum import Optimum
from simkit.notation import Notation

LEAST = "lowest conceivable cost"
WHY_NEVER = (
    "The lowest conceivable cost knows the weather of the whole year, runs the machine at the coolest water that will "
    "do and switches within the hour: no controller reaches it."
)
NOT_WORTH_IT = (
    "Is a smarter control worth it? Not here: the best schedule, typed in once, comes as cheap as a controller with a "
    "forecast."
)
MOVED = (
    "By the clock: the best schedule. The others begin with it and settle each day anew at midnight: the course of "
    "the rooms, the hottest flow, hot water, the battery. By yesterday: its weather, prices and use, taken for those "
    "of the days ahead. By a forecast: half of what changes in the weather, and the prices of the coming day. By the "
    "day itself: all of it beforehand. Each is a simulated year that ends as it began and keeps today's comfort."
)


def optimum_answer(found: Optimum, *, ranged: bool = True) -> Answer:
    """Say how good a schedule could be.

    Parameters
    ----------
    found
        The bound, its plan simulated, the best schedule and today.
    ranged
        Whether to sample the likely range of what the best schedule costs as well.
    """
    case = found.today.case
    notation = case.notation
    sheet = sheet_table(found.schedule.best, found.schedule.today)
    return Answer(
        case.name, "How good could a schedule be?", tuple(optimum_sentences(found, notation, ranged=ranged)), notation,
        tables=(_costs(found, ranged=ranged), _controls(found, ranged=ranged), _months(found), sheet),
        pictures=(_picture(found),), cautions=cautions_for([found.schedule.best]),
        notes=(*found.notes, *found.schedule.best.notes), provenance=provenance_of(found.today), data=_data(found),
    )  # fmt: skip


def optimum_sentences(found: Optimum, notation: Notation, *, ranged: bool) -> list[str]:
    """How far the best schedule and today's lie above what could be conceived, and what knowing the day is worth."""
    best, today, bound = found.schedule.best, found.today, found.bound
    span = best.range() if ranged else None
    likely = f" (likely {notation.span(span)})" if span is not None else ""
    above, now = (notation.share(year.bill.total / bound - 1.0, 1) for year in (best, today))
    said = (
        f"the best schedule that you can type in costs about {notation.estimate(best.bill.total, span)} a year"
        f"{likely}, {above} above the lowest conceivable cost of {notation.money(bound)}; today's lies {now} above it"
    )
    return [
        wrong_first(best, said),
        WHY_NEVER,
        *control_sentences(found.control, notation),
        closing(best.case, ranged=ranged),
    ]


def control_sentences(control: Controls, notation: Notation) -> list[str]:
    """What a controller that settles each day anew would save, and what no schedule could."""
    clock, money = control.costs[BY_CLOCK], notation.money
    saved = {name: clock - cost for name, cost in control.costs.items()}
    most = f"No schedule could save more than {money(clock - control.bound)} a year over the best one; that is proved."
    if saved[BY_DAY] < 1.0:
        return [
            f"Settling each day anew saves nothing that counts over the best schedule, {money(saved[BY_DAY])}.",
            NOT_WORTH_IT,
            most,
        ]
    worth = (
        f"Is a smarter control worth it? Ten such years save {money(_ten_years(control))} by a forecast: one "
        "that costs more, its upkeep counted, does not pay for itself."
    )
    return [
        f"A controller that settles each day anew would save {money(saved[BY_FORECAST])} a year over the best schedule "
        f"by a forecast, {money(saved[BY_YESTERDAY])} by what yesterday was like, and {money(saved[BY_DAY])} if it "
        "knew every day beforehand.",
        NOT_WORTH_IT if saved[BY_FORECAST] < 1.0 else worth,
        most,
    ]


def _ten_years(control: Controls) -> float:
    """What ten years by a forecast save over ten by the clock [currency]."""
    return 10.0 * (control.costs[BY_CLOCK] - control.costs[BY_FORECAST])


def _above(table: pd.DataFrame) -> pd.DataFrame:
    return table.rename(columns={"cost": "year_cost", "above_bound": "above_least_share"})


def _costs(found: Optimum, *, ranged: bool) -> Table:
    frame, best = _above(found.table()), found.schedule.best
    spans = {"best schedule to type in": best.range(), "today": found.today.range()} if ranged else {}
    for end in ("low", "high"):
        frame[f"year_cost_{end}"] = [getattr(spans.get(name), end, None) for name in frame.index]
    comforts = {"best schedule to type in": best, "today": found.today}
    frame["comfort"] = [
        comforts[name].comfort.worded(best.case.notation.number) if name in comforts else "as today, or warmer"
        for name in frame.index
    ]
    shown = (
        Column("year_cost", "year_cost_low", "year_cost_high"), Column("above_least_share"), Column("comfort"),
    )  # fmt: skip
    return Table("costs", "From the lowest conceivable cost to today's", frame, shown, first="Schedule")


def _controls(found: Optimum, *, ranged: bool) -> Table:
    """Today's schedule, the best one and each controller, with ranges where a year can be run in other weather."""
    frame = found.control.table().rename(index={"bound": LEAST})
    bill = found.today.bill.total
    today = pd.DataFrame({"cost": [bill], "above_bound": [bill / found.bound - 1.0]}, index=["as today"])
    frame = _above(pd.concat([today, frame])).rename_axis(index="control")
    spans = {"as today": found.today.range(), BY_CLOCK: found.schedule.best.range()} if ranged else {}
    for end in ("low", "high"):
        frame[f"year_cost_{end}"] = [getattr(spans.get(name), end, None) for name in frame.index]
    shown = (Column("year_cost", "year_cost_low", "year_cost_high"), Column("above_least_share"))
    return Table("control", "What its control would have to know", frame, shown, note=MOVED, first="Its hours go")


def _months(found: Optimum) -> Table:
    gap = found.gap_by_month
    frame = pd.DataFrame(
        {"schedule_cost": gap["best_schedule"], "plan_cost": gap["plan"], "gap_cost": gap["gap"]}
    )  # fmt: skip
    frame.index = pd.Index([month_abbr[int(month)] for month in gap.index], name="month")
    note = "Energy alone, without standing charges."
    return Table("gap_by_month", "Where in the year the gap lies", frame, note=note, first="Month")


def _picture(found: Optimum) -> Picture:
    from simkit import figures
    from simkit.figures.style import Sheet

    months, notation = found.gap_by_month, found.today.case.notation
    return Picture(
        "gap_by_month",
        lambda figure: figures.gap_by_month(
            months, notation=notation, ax=Sheet(right=2.25).axes([2.5], figure=figure)[0]
        ),
        figures.gap_by_month_sentence(months, notation=notation),
    )


def _data(found: Optimum) -> dict[str, Any]:
    """Money in the currency of the case."""
    months = found.gap_by_month
    return {
        "case": found.today.case.name,
        "currency": found.today.case.currency,
        "bound": found.bound,
        "optimum_simulated": found.followed.bill,
        "best_schedule": found.schedule.best.bill.total,
        "today": found.today.bill.total,
        "control": found.control.table()["cost"].to_dict(),
        "ten_years_of_a_forecast": _ten_years(found.control),
        "gap_by_month": months["gap"].tolist(),
        "gap": float(months["gap"].sum()),
        "gap_closed": float((months["best_schedule"] - months["simulated"]).sum()),
    }
