"""Simulated years in; what the terminal shows of them out: the answer first, then the figures behind it."""

from __future__ import annotations

from calendar import month_abbr

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from simkit.comparison import Comparison
from simkit.performance import Performance
from simkit.reporting.money import money, more_or_less, span, span_of_difference
from simkit.reporting.terminal import ACCENT, NAME, NOTE, bullets, columns, heading, paragraph, rail
from simkit.reporting.words import (
    ESTIMATE,
    RANGE_MEANS,
    comparison_answer,
    either_way,
    split_notes,
    year_answer,
)
from simkit.year import Range, Year

RAIL_FROM_WIDTH = 104  # narrower windows show the ranges in figures only
TABLE_WIDTH = 80
BOUNDARIES = {
    "h1": "compressor alone",
    "h2": "with the source fan",
    "h3": "with back-up and immersion heaters",
    "h4": "with circulation pumps and standby",
    "space_h4": "  of which for the rooms",
    "water_h4": "  of which for hot water",
}
ENERGY_ROWS = {
    "space_heat": "heat to the rooms", "hot_water": "heat into the cylinder", "tap_water": "hot water drawn",
    "tap_water_unmet": "hot water wanted and not had", "heat_pump_electricity": "heat pump, electricity",
    "backup_heater": "back-up heater", "immersion": "immersion heater", "pumps": "circulation pumps",
    "standby": "standby", "boiler_electricity": "boiler, electricity", "household": "household", "car": "car",
    "solar": "solar panels", "curtailed": "solar given up", "battery_charge": "into the battery",
    "battery_discharge": "out of the battery", "import": "bought from the grid", "export": "sold to the grid",
}  # fmt: skip


def comparison_view(comparison: Comparison, *, title: str, width: int, ranged: bool = True) -> RenderableType:
    """Lay out a comparison: the answer, one row of two lines for each option, and what the words mean.

    Parameters
    ----------
    comparison
        The options.
    title
        Name of the home.
    width
        Width of the window [characters].
    ranged
        Whether to sample and show the ranges.
    """
    parts: list[RenderableType] = [heading(title, "what a year costs")]
    first, *more = comparison_answer(comparison, ranged=ranged)
    parts += [paragraph(first, NAME), *(paragraph(sentence) for sentence in more)]
    parts += [_options(comparison, width=width, ranged=ranged), Text()]
    said = [RANGE_MEANS.format(lanes=comparison.base.case.uncertainty.lanes)] if ranged else []
    said.append("SPF H4: heat per electricity over the year, heaters, pumps and standby included.")
    return Group(*parts, Text(" ".join([*said, ESTIMATE]), style=NOTE), _cautions(comparison.years))


def year_view(year: Year, *, ranged: bool = True) -> RenderableType:
    """Lay out one year: the answer, bill, months, energy, performance, comfort, sizing, cautions.

    Parameters
    ----------
    year
        The simulated year.
    ranged
        Whether to sample and show the range.
    """
    parts = [heading(year.case.name, "one year"), paragraph(year_answer(year, ranged=ranged), NAME)]
    parts += [heading("Bill", year.case.tariff.name), _bill(year), Text()]
    parts += [heading("Months"), _months(year), Text()]
    parts += [heading("Energy", "kWh in the year"), _energy(year), Text()]
    if year.spf.h4 is not None:
        parts += [heading("Performance", "heat per electricity over the year"), _performance(year.spf), Text()]
    parts += [heading("Comfort"), paragraph(comfort_sentence(year))]
    if year.sizing is not None:
        parts += [heading("Size"), paragraph(year.sizing.words)]
    said = [RANGE_MEANS.format(lanes=year.case.uncertainty.lanes)] if ranged else []
    return Group(*parts, Text(" ".join([*said, ESTIMATE]), style=NOTE), _cautions((year,)))


def comfort_sentence(year: Year) -> str:
    """Say how warm the rooms were against what was needed."""
    comfort = year.comfort
    words = comfort.words[0].upper() + comfort.words[1:]
    return (
        f"{words}. The coldest mean over a step was {comfort.min_room_c:.1f} °C, {comfort.degree_hours_below:,.0f} K·h "
        f"were missing from the needed temperature, {comfort.hours_below_18:,.0f} h were under 18 °C and "
        f"{comfort.degree_hours_over:,.0f} K·h were too warm."
    )


def _options(comparison: Comparison, *, width: int, ranged: bool) -> Table:
    years, currency = comparison.years, comparison.base.case.currency
    titles = ["Option, and its rooms", "A year, likely range" if ranged else "A year", "Against the baseline", "SPF H4"]
    with_rail = ranged and width >= RAIL_FROM_WIDTH
    ranges = [year.range() for year in years] if ranged else []
    least, most = (min(r.low for r in ranges), max(r.high for r in ranges)) if ranges else (0.0, 1.0)
    table = columns([*titles, f"From {span(least, most, currency)}"] if with_rail else titles)
    table.columns[0].ratio = 1
    if with_rail:
        table.columns[-1].justify = "left"
    cheapest = min(years, key=lambda year: year.bill.total)
    for place, year in enumerate(years):
        cost = Text(money(year.bill.total, currency), style=NAME if year is cheapest else "")
        difference = _difference(comparison, year, ranged=ranged)
        spf = Text("–" if year.spf.h4 is None else f"{year.spf.h4:.2f}")
        row: list[Text] = [Text.assemble(year.case.name, "\n", (year.comfort.words, NOTE)), cost, difference, spf]
        if ranged:
            found = ranges[place]
            cost.append(f"\n{span(found.low, found.high, currency)}", style=NOTE)
            if with_rail:
                drawn = rail(found.low, year.bill.total, found.high, least=least, most=most, width=width - TABLE_WIDTH)
                row.append(Text(drawn, style=ACCENT))
        table.add_row(*row)
        if place + 1 < len(years):
            table.add_row()
    return table


def _difference(comparison: Comparison, year: Year, *, ranged: bool) -> Text:
    """What an option costs more or less than the baseline, with its range."""
    currency = year.case.currency
    if year is comparison.base:
        return Text("is the baseline", style=NOTE)
    text = Text(more_or_less(year.bill.total - comparison.base.bill.total, currency))
    if ranged:
        saved = comparison.saving_range(year)
        more = Range(-saved.high, -saved.middle, -saved.low)
        text.append(f"\n{span_of_difference(more.low, more.high, currency)}", style=NOTE)
        if either_way(more):
            text.append("\neither way", style=NOTE)
    return text


def _bill(year: Year) -> Table:
    currency = year.case.currency
    table = columns(["", "Quantity", "Amount"])
    table.columns[0].min_width = 34
    for line in year.bill.lines:
        if line.amount or line.quantity:
            quantity = f"{line.quantity:,.1f} {line.unit}" if line.kind != "tax" else ""
            table.add_row(Text(line.label), Text(quantity), Text(money(line.amount, currency, cents=True)))
    table.add_row(Text("Total", style=NAME), Text(), Text(money(year.bill.total, currency, cents=True), style=NAME))
    return table


def _months(year: Year) -> Table:
    fuel = bool(year.fuel_kwh)
    titles = ["", "Outdoor °C", "Rooms °C", "Heat kWh", "Hot water kWh", "Bought kWh", *(["Fuel kWh"] if fuel else []), "Cost"]
    table = columns(titles)
    for month, row in year.months.iterrows():
        figures = [f"{row['outdoor_c']:.1f}", f"{row['air_c']:.1f}"]
        names = ["space_heat_kwh", "hot_water_kwh", "import_kwh", *(["fuel_kwh"] if fuel else [])]
        figures += [f"{row[name]:,.0f}" for name in names]
        label = month_abbr[int(str(month))]
        table.add_row(Text(label), *(Text(figure) for figure in figures), Text(money(row["month_cost"], year.case.currency)))
    return table


def _energy(year: Year) -> Table:
    """Energies that are not zero, in two columns side by side."""
    rows = [(label, year.totals[name]) for name, label in ENERGY_ROWS.items() if round(year.totals[name])]
    rows += [(f"{kind} burnt, gross", kwh) for kind, kwh in year.fuel_kwh.items()]
    half = (len(rows) + 1) // 2
    table = columns(["", "", "", ""])
    table.show_header = False
    table.columns[2].justify = "left"
    table.columns[0].min_width = table.columns[2].min_width = 26
    for place in range(half):
        pair = [rows[place], rows[half + place] if half + place < len(rows) else ("", float("nan"))]
        table.add_row(*(Text(text) for label, kwh in pair for text in (label, f"{kwh:,.0f}" if label else "")))
    return table


def _performance(spf: Performance) -> Table:
    table = columns(["", "", ""], left=3)
    table.show_header = False
    for name, words in BOUNDARIES.items():
        value = getattr(spf, name)
        boundary = name.upper() if name.startswith("h") else ""
        shown = "not available: the fan's share is not stated" if value is None and name == "h1" else "–"
        figure = shown if value is None else f"{value:.2f}"
        table.add_row(Text(boundary), Text(figure, style=NAME if name == "h4" else ""), Text(words))
    return table


def _cautions(years: tuple[Year, ...]) -> RenderableType:
    """Every caution once, and how many assumptions there are."""
    cautions = list(dict.fromkeys(note for year in years for note in split_notes(year.notes)[0]))
    assumed = {note for year in years for note in split_notes(year.notes)[1]}
    parts: list[RenderableType] = [Text()]
    if cautions:
        parts += [bullets(cautions), Text()]
    count = len(assumed)
    word = "1 value was" if count == 1 else f"{count} values were"
    parts.append(Text(f"{word} assumed for you: `simkit check` lists them with their sources.", style=NOTE))
    return Group(*parts)
