"""A projection or an account in; its months as a table of the terminal out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from simkit.reporting.terminal import columns

if TYPE_CHECKING:
    from rich.table import Table

    from simkit.meter.projection import Projection
    from simkit.meter.statement import Statement


def month_table(projection: Projection) -> Table:
    """Months with their ranges, for a terminal."""
    currency = projection.fit.case.currency
    table = columns(["Month", "kWh", "likely", currency, "likely"])
    for month, row in projection.months.iterrows():
        table.add_row(
            f"{month}", f"{row['import_kwh_middle']:,.0f}",
            f"{row['import_kwh_low']:,.0f}–{row['import_kwh_high']:,.0f}",
            f"{row['month_cost_middle']:,.0f}", f"{row['month_cost_low']:,.0f}–{row['month_cost_high']:,.0f}",
        )  # fmt: skip
    return table


def account_table(statement: Statement) -> Table:
    """Months of an account, for a terminal."""
    known = statement.saved is not None
    titles = ["Month", "Days", "kWh", "expected", "Cost"] + (["Old fuel", "Saved", "to date"] if known else [])
    table = columns(titles)
    for month, row in statement.months.iterrows():
        cells = [
            str(month),
            f"{row['days']:.0f}",
            f"{row['metered_kwh']:,.0f}",
            f"{row['expected_kwh']:,.0f}",
            f"{row['cost']:,.0f}",
        ]
        if known:
            cells += [f"{row['old_cost']:,.0f}", f"{row['saved']:+,.0f}", f"{row['running_saved']:+,.0f}"]
        table.add_row(*cells)
    return table
