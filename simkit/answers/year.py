"""One simulated year in; what it costs, and what belongs to that, out."""

from __future__ import annotations

from calendar import month_abbr, month_name
from typing import Any

import pandas as pd

from simkit.answers.answer import Answer, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.wording import ALL_WELL, SPF_MEANS, closing, provenance_of, wrong_first
from simkit.decide.flow.worth import SentFlow, sent_flow
from simkit.notation import Notation, in_notation
from simkit.uncertainty.ranges import Range
from simkit.year.comfort import rule
from simkit.year.year import Year

BOUNDARIES = {
    "h1": "compressor alone", "h2": "with the source fan", "h3": "with back-up and immersion heaters",
    "h4": "with circulation pumps and standby", "space_h4": "H4, heating only", "water_h4": "H4, hot water only",
}  # fmt: skip
ENERGIES = {
    "space_heat": "heat to the rooms", "hot_water": "heat into the cylinder", "tap_water": "hot water drawn",
    "tap_water_unmet": "hot water wanted and not had", "heat_pump_electricity": "heat pump, electricity",
    "backup_heater": "back-up heater", "immersion": "immersion heater", "pumps": "circulation pumps",
    "standby": "standby", "boiler_electricity": "boiler, electricity", "household": "household", "car": "car",
    "solar": "solar panels", "curtailed": "solar given up", "battery_charge": "into the battery",
    "battery_discharge": "out of the battery", "battery_idle": "battery's own draw", "import": "bought from the grid",
    "export": "sold to the grid",
}  # fmt: skip

BESIDE = {
    "stove_heat": "heat of the stove, of use to the home", "stove_fuel": "burnt in the stove, gross",
    "collectors": "heat of the collectors into hot water", "heater": "heater in one room, electricity and heat",
    "fans": "fans of the heat recovery",
}  # fmt: skip

LINE_KEYS = ("label", "quantity", "unit", "amount", "kind")


def year_answer(year: Year, *, ranged: bool = True) -> Answer:
    """Say what a home costs to run.

    Parameters
    ----------
    year
        The simulated year.
    ranged
        Whether to sample the likely range as well.
    """
    notation = year.case.notation
    found = year.range() if ranged else None
    return Answer(
        year.case.name, "What does a year cost to run?", tuple(year_sentences(year, found, notation)), notation,
        tables=tuple(year_tables(year)), pictures=tuple(year_pictures(year)), cautions=cautions_for([year]),
        notes=year.notes, notes_of_case=True, provenance=provenance_of(year), data=year_data(year, found),
    )  # fmt: skip


def year_sentences(year: Year, found: Range | None, notation: Notation) -> list[str]:
    """What speaks against a year, where something does; what it costs, with its range where it was sampled."""
    cost = notation.estimate(year.bill.total, found)
    likely = f" (likely {notation.span(found)})" if found is not None else ""
    said = [wrong_first(year, f"a year costs about {cost}{likely}, all electricity and fuel included", well=ALL_WELL)]
    if year.spf.h4 is not None:
        said.append(
            f"Over the year the heat pump gives {notation.number(year.spf.h4, 1)} units of heat for one of "
            "electricity, heaters, circulation pumps and standby counted (SPF H4)."
        )
    return [*said, closing(year.case, ranged=found is not None)]


def year_tables(year: Year) -> list[Table]:
    """Months, bill, energy, performance and comfort of a year."""
    tables = [_months(year), _bill(year), _energy(year)]
    if year.spf.h4 is not None:
        tables.append(_performance(year))
    return [*tables, _comfort(year)]


def _months(year: Year) -> Table:
    names = [
        "outdoor_c",
        "air_c",
        "space_heat_kwh",
        "hot_water_kwh",
        "import_kwh",
        *(["fuel_kwh"] if year.fuel_kwh else []),
    ]
    frame = year.months[[*names, "month_cost"]].copy()
    frame.index = pd.Index([month_abbr[int(month)] for month in frame.index], name="month")
    whole = frame.sum()
    whole[["outdoor_c", "air_c"]] = year.hourly[["outdoor_c", "air_c"]].mean()
    frame.loc["Year"] = whole
    return Table("months", "Month by month", frame, total=True, first="Month")


def _bill(year: Year) -> Table:
    lines = [line for line in year.bill.lines if line.amount or line.quantity]
    frame = pd.DataFrame(
        {
            "quantity": [None if line.kind == "tax" else line.quantity for line in lines] + [None],
            "unit_words": ["" if line.kind == "tax" else line.unit for line in lines] + [""],
            "bill_amount": [line.amount for line in lines] + [year.bill.total],
        },
        index=pd.Index([in_notation(line.label, year.case.notation) for line in lines] + ["Total"], name="line"),
    )
    return Table("bill", f"The bill, on {year.case.tariff.name}", frame, total=True, first="Line")


def _energy(year: Year) -> Table:
    rows = {words: year.totals[name] for name, words in ENERGIES.items() if round(year.totals[name])}
    rows |= {f"{kind} burnt, gross": kwh for kind, kwh in year.fuel_kwh.items()}
    rows |= {BESIDE[name]: kwh for name, kwh in year.beside_kwh.items()}
    frame = pd.DataFrame({"energy_kwh": rows.values()}, index=pd.Index(list(rows), name="use"))
    return Table("energy", "Energy of the year", frame, first="Use")


def _performance(year: Year) -> Table:
    frame = pd.DataFrame(
        {
            "spf": [getattr(year.spf, name) for name in BOUNDARIES],
            "boundary_words": [
                f"{words}: not available, the fan's share is not stated"
                if name == "h1" and year.spf.h1 is None else words
                for name, words in BOUNDARIES.items()
            ],
        },
        index=pd.Index([name.upper() if name.startswith("h") else "of it" for name in BOUNDARIES], name="boundary"),
        dtype=object,
    )  # fmt: skip
    sent = sent_flow(year)
    note = f"{SPF_MEANS} {_sent(sent, year.case.notation)}".strip()
    return Table("performance", "Performance", frame, note=note, first="Boundary")


def _comfort(year: Year) -> Table:
    comfort, number = year.comfort, year.case.notation.number
    frame = pd.DataFrame(
        {
            "comfort": [comfort.worded(number)], "min_room_c": [comfort.min_room_c], "cool_h": [comfort.cool_hours],
            "below_18_h": [comfort.hours_below_18],
        },
        index=pd.Index([year.case.name], name="option"),
    )  # fmt: skip
    size = f"{year.sizing.worded(number)} " if year.sizing is not None else ""
    fuse = f"{year.fuse.worded(number)} " if year.fuse is not None else ""
    return Table("comfort", "Rooms and hot water", frame, note=f"{size}{fuse}{rule(number)}", first="Option")


def flow_words(sent: SentFlow | None, notation: Notation) -> str:
    """Flow on the coldest day and on average over the heat given, in whole degrees; empty without a heat pump."""
    if sent is None:
        return ""
    led = "follows the load"
    if sent.design_flow_c is not None:
        led = f"{notation.number(sent.design_flow_c)} °C on the coldest day"
    return f"{led}, {notation.number(sent.mean_flow_c)} °C on average"


def _sent(sent: SentFlow | None, notation: Notation) -> str:
    """Design flow and what was sent, in a sentence; empty where no heat pump heated the rooms."""
    if sent is None:
        return ""
    mean, hottest = (f"{notation.number(flow)} °C" for flow in (sent.mean_flow_c, sent.hottest_flow_c))
    led = "The flow follows the load"
    if sent.design_flow_c is not None:
        led = f"Design flow: {notation.number(sent.design_flow_c)} °C"
    return f"{led}; sent: {mean} on average over the heat, {hottest} at most."


def year_pictures(year: Year) -> list[Picture]:
    """The months, the coldest week and, of a heat pump, its COP against outdoor temperature."""
    from simkit import figures
    from simkit.figures.style import Sheet

    words: dict[str, Any] = {"notation": year.case.notation}
    hourly = year.hourly_local
    pictures = [
        Picture(
            "months", lambda figure: figures.months(year.months, figure=figure, **words),
            _months_sentence(year),
        ),
        Picture(
            "cold_week", lambda figure: figures.cold_week(hourly, figure=figure, **words),
            figures.cold_week_sentence(hourly, **words),
        ),
    ]  # fmt: skip
    if year.spf.h4 is not None:
        pictures.append(
            Picture(
                "cop",
                lambda figure: figures.cop_by_outdoor(hourly, ax=Sheet().axes([2.9], figure=figure)[0], **words),
                figures.cop_by_outdoor_sentence(hourly, **words),
            )
        )
    return pictures


def _months_sentence(year: Year) -> str:
    """Which month costs most, and which least."""
    cost, money = year.months["month_cost"], year.case.notation.money
    most, least = (month_name[int(month)] for month in (cost.idxmax(), cost.idxmin()))
    return f"A month costs from {money(cost.min())} in {least} to {money(cost.max())} in {most}."


def year_data(year: Year, found: Range | None) -> dict[str, Any]:
    """The object of one year: energies in kWh, money in the bill's currency, temperatures in °C, time in h."""
    sent, number = sent_flow(year), year.case.notation.number
    bill, comfort, sizing = year.bill, year.comfort, year.sizing
    return {
        "case": year.case.name,
        "steps": year.axis.steps,
        "step_minutes": year.axis.step_minutes,
        "heat_source": year.case.heat_source,
        "heat_loss_w_per_k": year.loss_w_per_k,
        "energy_kwh": {name: year.totals[name] for name in ENERGIES},
        "fuel_kwh": dict(year.fuel_kwh),
        "beside_kwh": dict(year.beside_kwh),
        "spf": {name: getattr(year.spf, name) for name in BOUNDARIES},
        "flow": None if sent is None else vars(sent),
        "carbon_kg": year.carbon_kg,
        "carbon_source": year.case.carbon.source,
        "bill": {
            "currency": bill.currency, "total": bill.total,
            "range": None if found is None else [found.low, found.high],
            "lines": [{name: getattr(line, name) for name in LINE_KEYS} for line in bill.lines],
            "months": bill.months, "by_use": year.costs.by_use,
        },
        "comfort": {
            "min_room_c": comfort.min_room_c, "degree_hours_below": comfort.degree_hours_below,
            "hours_below_18": comfort.hours_below_18, "degree_hours_over": comfort.degree_hours_over,
            "level": comfort.level, "water_short": comfort.water_short, "words": comfort.worded(number),
        },
        "sizing": None if sizing is None else {
            **{name: value for name, value in vars(sizing).items() if name != "comfort"},
            "coldest_week_start": sizing.coldest_week_start.isoformat(), "words": sizing.worded(number),
        },
        "balance_kwh": year.balance(),
    }  # fmt: skip
