"""A simulated year in; its bill, months, energy and performance as tables of text out, for terminal and page alike."""

from __future__ import annotations

from calendar import month_abbr

from simkit.decide.flow.worth import sent_flow
from simkit.reporting.grid import Grid
from simkit.reporting.money import money
from simkit.year.year import Year

NONE = "–"
BOUNDARIES = {
    "h1": "compressor alone",
    "h2": "with the source fan",
    "h3": "with back-up and immersion heaters",
    "h4": "with circulation pumps and standby",
    "space_h4": "of which for the rooms",
    "water_h4": "of which for hot water",
}
ENERGY_LABELS = {
    "space_heat": "heat to the rooms", "hot_water": "heat into the cylinder", "tap_water": "hot water drawn",
    "tap_water_unmet": "hot water wanted and not had", "heat_pump_electricity": "heat pump, electricity",
    "backup_heater": "back-up heater", "immersion": "immersion heater", "pumps": "circulation pumps",
    "standby": "standby", "boiler_electricity": "boiler, electricity", "household": "household", "car": "car",
    "solar": "solar panels", "curtailed": "solar given up", "battery_charge": "into the battery",
    "battery_discharge": "out of the battery", "import": "bought from the grid", "export": "sold to the grid",
}  # fmt: skip


def bill_grid(year: Year) -> Grid:
    """Lines of the bill that come to anything, and their total."""
    currency = year.case.currency
    rows = [
        (
            line.label,
            "" if line.kind == "tax" else f"{line.quantity:,.1f} {line.unit}",
            money(line.amount, currency, cents=True),
        )
        for line in year.bill.lines
        if line.amount or line.quantity
    ]
    total = ("Total", "", money(year.bill.total, currency, cents=True))
    return Grid(("", "Quantity", "Amount"), (*rows, total), total=True)


def months_grid(year: Year) -> Grid:
    """Temperatures, energies and cost of each month, and of the year."""
    energies = {"space_heat_kwh": "Heat kWh", "hot_water_kwh": "Hot water kWh", "import_kwh": "Bought kWh"}
    energies |= {"fuel_kwh": "Fuel kWh"} if year.fuel_kwh else {}
    table, currency = year.months, year.case.currency
    rows = [
        (
            month_abbr[int(str(month))],
            f"{row['outdoor_c']:.1f}",
            f"{row['air_c']:.1f}",
            *(f"{row[name]:,.0f}" for name in energies),
            money(row["month_cost"], currency),
        )
        for month, row in table.iterrows()
    ]
    sums = (f"{table[name].sum():,.0f}" for name in energies)
    means = (f"{year.hourly[name].mean():.1f}" for name in ("outdoor_c", "air_c"))
    titles = ("", "Outdoor °C", "Rooms °C", *energies.values(), "Cost")
    return Grid(titles, (*rows, ("Year", *means, *sums, money(year.bill.total, currency))), total=True)


def performance_grid(year: Year) -> Grid | None:
    """Seasonal performance by boundary; None where no heat pump runs."""
    if year.spf.h4 is None:
        return None
    rows = []
    for name, words in BOUNDARIES.items():
        value = getattr(year.spf, name)
        said = f"{words}: not available, the fan's share is not stated" if name == "h1" and value is None else words
        rows.append((name.upper() if name.startswith("h") else "", NONE if value is None else f"{value:.2f}", said))
    return Grid(("Boundary", "SPF", "What it holds"), tuple(rows), words=(0, 2))


def flow_sentence(year: Year) -> str:
    """Say which flow the year was designed for and which was sent; nothing where no heat pump heated the rooms."""
    found = sent_flow(year)
    return "" if found is None else found.words


def flow_pair(year: Year) -> str:
    """Design flow beside the mean one that was sent; a dash where no heat pump heated the rooms."""
    found = sent_flow(year)
    return NONE if found is None else found.pair


def energy_grid(year: Year) -> Grid:
    """Energies of the year that are not zero, named, in kWh, two side by side."""
    named = [(label, year.totals[name]) for name, label in ENERGY_LABELS.items() if round(year.totals[name])]
    named += [(f"{kind} burnt, gross", kwh) for kind, kwh in year.fuel_kwh.items()]
    cells = [(label, f"{kwh:,.0f}") for label, kwh in named]
    half = (len(cells) + 1) // 2
    right = [*cells[half:], ("", "")]
    return Grid(
        ("", "", "", ""), tuple((*one, *other) for one, other in zip(cells[:half], right, strict=False)), words=(0, 2)
    )


def comfort_sentence(year: Year) -> str:
    """Say how warm the rooms were against what was needed."""
    comfort = year.comfort
    words = comfort.words[0].upper() + comfort.words[1:]
    return (
        f"{words}. The coldest mean over a step was {comfort.min_room_c:.1f} °C, {comfort.degree_hours_below:,.0f} K·h "
        f"were missing from the needed temperature, {comfort.hours_below_18:,.0f} h were under 18 °C and "
        f"{comfort.degree_hours_over:,.0f} K·h were too warm."
    )


def spf_text(year: Year) -> str:
    """Headline performance H4, or a dash."""
    return NONE if year.spf.h4 is None else f"{year.spf.h4:.2f}"
