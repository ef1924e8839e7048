"""A schedule or an optimum in; what the terminal shows of it out."""

from __future__ import annotations

from calendar import month_abbr

import pandas as pd
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from simkit.decide.optimum.optimum import Optimum
from simkit.decide.schedule.search import BestSchedule
from simkit.decide.schedule.setback import SetBack
from simkit.decide.schedule.settings_sheet import settings_sheet
from simkit.reporting.money import money
from simkit.reporting.terminal import columns, heading, paragraph

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


def _sheet(sheet: pd.DataFrame) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style="dim")
    for title in ("", "Winter", "Summer"):
        table.add_column(Text(title), overflow="fold")
    for name, row in sheet.iterrows():
        same = row["summer"] == row["winter"]
        table.add_row(Text(str(name), style="bold"), Text(row["winter"]), Text("the same" if same else row["summer"]))
    return table


def _verdict(verdict: pd.DataFrame, currency: str) -> Table:
    titles = ("Schedule", "Recovery", currency, "Heat kWh", "Power kWh", "Mean °C", "Least °C", "Short K·h")
    table = columns(titles, left=2)
    for row in verdict.reset_index().to_dict("records"):
        table.add_row(
            Text(row["schedule"]), Text(row["recovery"]), f"{row['cost']:,.0f}", f"{row['space_heat_kwh']:,.0f}",
            f"{row['heat_pump_kwh']:,.0f}", f"{row['mean_room_c']:.1f}", f"{row['min_room_c']:.1f}",
            f"{row['degree_hours_below']:,.0f}",
        )  # fmt: skip
    return table


def optimum_view(found: Optimum) -> RenderableType:
    """Four numbers in order, and where in the year the gap lies."""
    currency = found.today.case.currency
    numbers = columns(("", "A year", "Above the bound"))
    for name, row in found.table().iterrows():
        above = "" if abs(row["above_bound"]) < 1e-9 else f"{row['above_bound']:.1%}"
        numbers.add_row(Text(str(name)), money(row["cost"], currency), above)
    control = columns(("Its hours go", "A year", "Above the bound"))
    for name, row in found.control.table().iterrows():
        above = "" if abs(row["above_bound"]) < 1e-9 else f"{row['above_bound']:.1%}"
        control.add_row(Text(str(name)), money(row["cost"], currency), above)
    months = columns(("", "Best schedule", "Plan of the bound", "Gap"))
    for month, row in found.gap_by_month.iterrows():
        cells = (money(row[name], currency) for name in ("best_schedule", "plan", "gap"))
        months.add_row(Text(month_abbr[int(str(month))]), *cells)
    note = (
        "The bound knows the weather of the whole year, runs the machine at the coolest water that will do and "
        "switches within the hour: no controller reaches it. The months are energy alone, without standing charges."
    )
    return Group(
        heading(found.today.case.name, "how good could a schedule be"), numbers, Text(),
        heading("What its control would have to know"), control,
        paragraph(f"{CONTROL} {found.control.sentence}"), Text(),
        heading("Where in the year the gap lies"), months, Text(), paragraph(" ".join((note, *found.notes)), "dim"),
    )  # fmt: skip
