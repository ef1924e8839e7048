"""A schedule or an optimum in; what the terminal and `--json` show of it out."""

from __future__ import annotations

from calendar import month_abbr
from typing import Any

import pandas as pd
from rich.console import Group, RenderableType
from rich.text import Text

from simkit.decide.optimum.optimum import Optimum
from simkit.decide.schedule.search import BestSchedule
from simkit.decide.schedule.setback import SetBack
from simkit.decide.schedule.settings_sheet import settings_sheet
from simkit.reporting.grid import Grid
from simkit.reporting.money import money
from simkit.reporting.terminal import NAME, NOTE, heading, paragraph

CONTROL = (
    "Each begins with the best schedule and moves hot water, a little warmth, car and battery into the hours that its "
    "control takes for the cheapest; even by the clock that is finer than what was searched."
)


def schedules_view(found: BestSchedule, verdict: SetBack) -> RenderableType:
    """The answer, what to type in, and the verdict on set-backs."""
    currency = found.today.case.currency
    answer = (
        f"The best schedule costs {money(found.best.bill.total, currency)} a year, "
        f"{money(found.saving, currency)} less than today's; {found.best.comfort.words}. "
        f"{found.tried:,} schedules were simulated, {found.too_cold:,} of them thrown out because they keep the home "
        "too cool, whatever they cost."
    )
    return Group(
        heading(found.today.case.name, "what to type in"),
        paragraph(answer),
        _sheet(settings_sheet(found)),
        Text(),
        heading("Steady, set back or pre-heat", "cost beside comfort"),
        _verdict(verdict.table(), currency),
        Text(),
        paragraph(verdict.sentence),
    )


def schedules_object(found: BestSchedule, verdict: SetBack) -> dict[str, Any]:
    """The same as one JSON object."""
    return {
        "case": found.today.case.name,
        "currency": found.today.case.currency,
        "today": {"cost": found.today.bill.total, "comfort": found.today.comfort.words},
        "best": {"cost": found.best.bill.total, "comfort": found.best.comfort.words},
        "saving": found.saving,
        "tried": found.tried,
        "thrown_out_for_comfort": found.too_cold,
        "settings": [{"setting": name, **row} for name, row in settings_sheet(found).to_dict("index").items()],
        "verdict": verdict.table().reset_index().to_dict("records"),
    }


def _sheet(sheet: pd.DataFrame) -> Grid:
    rows = tuple(
        (Text(str(name), style=NAME), row["winter"], "the same" if row["summer"] == row["winter"] else row["summer"])
        for name, row in sheet.iterrows()
    )
    return Grid(("", "Winter", "Summer"), rows, words=(0, 1, 2))


def _verdict(verdict: pd.DataFrame, currency: str) -> Grid:
    rows = tuple(
        (
            row["schedule"], row["recovery"], f"{row['cost']:,.0f}", f"{row['space_heat_kwh']:,.0f}",
            f"{row['heat_pump_kwh']:,.0f}", f"{row['mean_room_c']:.1f}", f"{row['min_room_c']:.1f}",
            f"{row['degree_hours_below']:,.0f}",
        )
        for row in verdict.reset_index().to_dict("records")
    )  # fmt: skip
    titles = ("Schedule", "Recovery", currency, "Heat kWh", "Power kWh", "Mean °C", "Least °C", "Short K·h")
    return Grid(titles, rows, words=(0, 1))


def _over_bound(table: pd.DataFrame, title: str, currency: str) -> Grid:
    """Costs by name, and how far each lies above the bound."""
    rows = tuple(
        (
            str(name),
            money(row["cost"], currency),
            "" if abs(row["above_bound"]) < 1e-9 else f"{row['above_bound']:.1%}",
        )
        for name, row in table.iterrows()
    )
    return Grid((title, "A year", "Above the bound"), rows)


def optimum_view(found: Optimum) -> RenderableType:
    """Four numbers in order, and where in the year the gap lies."""
    currency = found.today.case.currency
    months = tuple(
        (month_abbr[int(str(month))], *(money(row[name], currency) for name in ("best_schedule", "plan", "gap")))
        for month, row in found.gap_by_month.iterrows()
    )
    note = (
        "The bound knows the weather of the whole year, runs the machine at the coolest water that will do and "
        "switches within the hour: no controller reaches it. The months are energy alone, without standing charges."
    )
    return Group(
        heading(found.today.case.name, "how good could a schedule be"), _over_bound(found.table(), "", currency),
        Text(),
        heading("What its control would have to know"), _over_bound(found.control.table(), "Its hours go", currency),
        paragraph(f"{CONTROL} {found.control.sentence}"), Text(),
        heading("Where in the year the gap lies"),
        Grid(("", "Best schedule", "Plan of the bound", "Gap"), months), Text(),
        paragraph(" ".join((note, *found.notes)), NOTE),
    )  # fmt: skip


def optimum_object(found: Optimum) -> dict[str, Any]:
    """The same as one JSON object."""
    return {
        "case": found.today.case.name,
        "currency": found.today.case.currency,
        "bound": found.bound,
        "optimum_simulated": found.followed.bill,
        "best_schedule": found.schedule.best.bill.total,
        "today": found.today.bill.total,
        "control": found.control.table()["cost"].to_dict(),
        "notes": list(found.notes),
        "gap_by_month": found.gap_by_month["gap"].tolist(),
    }
