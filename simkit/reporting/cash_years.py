"""Options over the years in; the yearly cash table of each out, whole, so that every figure can be checked by hand."""

from __future__ import annotations

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from simkit.finance.cashflow import COLUMNS, OptionMoney
from simkit.finance.money import Worth
from simkit.reporting.terminal import NOTE, columns, heading, paragraph

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
    """Lay out the yearly table of every option, without columns of nothing, and what its cost of heat is made from."""
    currency = worth.base.year.bill.currency
    parts: list[RenderableType] = []
    for option in worth.options:
        parts += [heading(option.name, f"{currency} by year, received is negative"), _years(worth, option), Text()]
        parts.append(paragraph(_heat(option), NOTE))
    return Group(*parts, Text(HOW, style=NOTE))


def _years(worth: Worth, option: OptionMoney) -> Table:
    cash, carbon = option.cash, worth.carbon[option.name]
    shown = [name for name in COLUMNS if (cash[name].abs() >= 0.5).any()] + ["total_cost", "worth_today"]
    table = columns(["Year", *(TITLES[name] for name in shown), "CO2 kg"], gap=1)
    for year, row in cash.iterrows():
        kg = carbon.by_year_kg[int(str(year)) - 1] if int(str(year)) else 0.0
        table.add_row(str(year), *(f"{row[name]:,.0f}" for name in shown), f"{kg:,.0f}")
    return table


def _heat(option: OptionMoney) -> str:
    return (
        f"Heat of a year {option.heat_kwh:,.0f} kWh. Household and car take {option.household_share:.2%} of the power, "
        "which is no cost of heat."
    )
