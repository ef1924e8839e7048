"""Options over the years in; ledger and yearly cash table of each out, so that every figure can be checked by hand."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.text import Text

from simkit.finance.cashflow import COLUMNS, OptionMoney
from simkit.finance.worth import Worth
from simkit.reporting.grid import Grid
from simkit.reporting.terminal import NOTE, heading, paragraph

TITLES = {
    "outlay_cost": "outlay", "spared_cost": "spared", "electricity_cost": "power", "standing_cost": "standing",
    "fuel_cost": "fuel", "export_cost": "export", "service_cost": "service", "replacement_cost": "parts",
    "residual_cost": "left", "total_cost": "total", "worth_today": "today",
}  # fmt: skip
HOW = (
    "Under today is what each total is worth now. Its sum is the whole-life cost, which over the annuity factor is the "
    "even cost a year; a gain is the alternative's sum less the option's; payback and rate of return are those of the "
    "difference of two columns of totals."
)


def cash_years_view(worth: Worth) -> RenderableType:
    """Lay out ledger and yearly table of every option, and what its cost of heat is made from."""
    currency = worth.base.year.bill.currency
    parts: list[RenderableType] = []
    for option in worth.options:
        parts.append(heading(option.name, f"{currency} by year, received is negative"))
        parts += [years_grid(worth, option), Text(), paragraph(heat_sentence(option), NOTE)]
        if option.settled.payments:
            parts += [ledger_grid(option), Text()]
    return Group(*parts, Text(HOW, style=NOTE))


def years_grid(worth: Worth, option: OptionMoney) -> Grid:
    """The yearly table of an option, without columns of nothing, and its carbon."""
    cash, carbon = option.cash, worth.carbon[option.name]
    shown = [name for name in COLUMNS if (cash[name].abs() >= 0.5).any()] + ["total_cost", "worth_today"]
    kg = [0.0, *carbon.by_year_kg.tolist()]
    rows = tuple(
        (str(year), *(f"{row[name]:,.0f}" for name in shown), f"{kg[k]:,.0f}")
        for k, (year, row) in enumerate(cash.iterrows())
    )
    return Grid(("Year", *(TITLES[name] for name in shown), "CO2 kg"), rows)


def ledger_grid(option: OptionMoney) -> Grid:
    """The ledger of an option line by line, each with its date and source."""
    rows = tuple(
        (str(row["line"]), str(row["date"]), f"{row['amount']:,.2f}", f"{row['running']:,.2f}", str(row["source"]))
        for _, row in option.settled.frame().iterrows()
    )
    return Grid(("Ledger", "date", "amount", "so far", "source"), rows, words=(0, 1, 4))


def heat_sentence(option: OptionMoney) -> str:
    """Say what a cost of heat is divided by, and what is no part of it."""
    return (
        f"Heat of a year {option.heat_kwh:,.0f} kWh. Household and car take {option.household_share:.2%} of the power, "
        "which is no cost of heat."
    )
