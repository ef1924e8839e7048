"""A projection or an account in; its months as a table out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from simkit.reporting.grid import Grid
from simkit.times_of_day import MONTHS

if TYPE_CHECKING:
    from simkit.meter.account.statement import Statement
    from simkit.meter.fitting.projection import Projection


def month_grid(projection: Projection) -> Grid:
    """Months with their ranges."""
    currency = projection.fit.case.currency
    fuel = projection.fit.case.fuel
    kinds = {"import_kwh": "kWh"} | ({"fuel_kwh": f"{fuel.kind} kWh"} if projection.burns and fuel is not None else {})
    kinds["month_cost"] = currency
    rows = []
    for name, row in zip(MONTHS, projection.months.to_dict("records"), strict=True):
        cells = [
            text
            for kind in kinds
            for text in (f"{row[f'{kind}_middle']:,.0f}", f"{row[f'{kind}_low']:,.0f}–{row[f'{kind}_high']:,.0f}")
        ]
        rows.append((name, *cells))
    return Grid(("Month", *(text for title in kinds.values() for text in (title, "likely"))), tuple(rows))


def account_grid(statement: Statement) -> Grid:
    """Months of an account."""
    known = statement.saved is not None
    rows = []
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
        rows.append(tuple(cells))
    titles = ("Month", "Days", "kWh", "expected", "Cost", *(("Old fuel", "Saved", "to date") if known else ()))
    return Grid(titles, tuple(rows))
