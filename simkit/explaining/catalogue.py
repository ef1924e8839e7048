"""Simulated years in; every figure that is shown of them and can be asked for, by its key, out."""

from __future__ import annotations

import re
from calendar import month_abbr, month_name
from collections.abc import Iterator
from functools import partial

import numpy as np
import pandas as pd

from simkit.answers.year import BESIDE, BOUNDARIES, ENERGIES
from simkit.decide.flow.worth import sent_flow
from simkit.explaining.chain import Figure, Link, Links, Years
from simkit.explaining.energy import KERNEL, Sums, energy_links, heat_loss_link, spf_links
from simkit.explaining.money import (
    gain_links,
    line_links,
    month_links,
    payback_links,
    saving_links,
    total_links,
    weighed,
)
from simkit.finance.cash import payback_years
from simkit.year.compare import Comparison
from simkit.year.year import Year

MONTH_COLUMNS = ("outdoor_c", "air_c", "space_heat_kwh", "hot_water_kwh", "import_kwh", "fuel_kwh")
COMFORT = {  # attribute: (label, column, which steps count)
    "cool_hours": ("hours felt cool", "cool_h", "cool"),
    "hours_below_18": ("hours under 18 °C", "below_18_h", "below_18"),
}


def slug(name: str) -> str:
    """A name as it stands in a key: small letters, digits and underlines."""
    return re.sub(r"[^\w]+", "_", name.lower()).strip("_") or "it"


def year_figures(year: Year, prefix: str = "") -> Iterator[Figure]:
    """Every figure of one year."""
    one = (year,)

    def figure(key: str, label: str, column: str, value: object, links: object) -> Figure:
        return Figure(prefix + key, label, column, one, value, links)  # type: ignore[arg-type]

    yield figure(
        "bill.total", "cost of the year", "year_cost", lambda ys: ys[-1].bill.total, partial(total_links, year)
    )
    yield from _bill(year, figure)
    for number in range(1, 13):
        yield from _month(year, number, figure)
    for column in ("outdoor_c", "air_c"):
        label = f"{column.removesuffix('_c')}, mean of the year"
        yield figure(f"mean.{column}", label, column, partial(_mean, column), partial(_mean_links, year, column))
    for name, words in ENERGIES.items():
        yield figure(f"energy.{name}", words, "energy_kwh", partial(_total, name), partial(_energy, year, name))
    for kind in year.fuel_kwh:
        yield figure(
            f"fuel.{kind}", f"{kind} burnt, gross", "burnt_kwh", partial(_fuel, kind), partial(_fuel_links, year, kind)
        )
    for name in year.beside_kwh:
        key, read = f"beside.{name}", partial(_beside, name)
        yield figure(key, BESIDE[name], "energy_kwh", read, partial(_beside_links, year, name))
    for name, words in BOUNDARIES.items():
        if getattr(year.spf, name) is not None:
            label = f"SPF {name.upper().replace('_', ' ')}, {words}"
            yield figure(f"spf.{name}", label, "spf", partial(_spf, name), partial(spf_links, year, name))
    for name, (words, column, flow) in COMFORT.items():
        yield figure(
            f"comfort.{name}", words, column, partial(_comfort, name), partial(_hours, year, words, flow, column)
        )
    yield figure(
        "comfort.min_room_c", "coldest room", "min_room_c", partial(_comfort, "min_room_c"), partial(_coldest, year)
    )
    yield figure("heat_loss", "heat loss of the home", "heat_loss_w_per_k", lambda ys: ys[-1].loss_w_per_k,
                 lambda: [heat_loss_link(year)])  # fmt: skip
    yield figure("carbon", "carbon dioxide of a year", "carbon_kg", lambda ys: ys[-1].carbon_kg, partial(_carbon, year))
    if sent_flow(year) is not None:
        yield figure(
            "flow.mean", "flow on average, over the heat", "mean_flow_c", _mean_flow, partial(_flow_links, year)
        )


def _bill(year: Year, figure: object) -> Iterator[Figure]:
    """The lines of the bill: what they come to, and how much of what."""
    for place, line in enumerate(year.bill.lines):
        if line.amount or line.quantity:
            key, links = f"bill.{line.kind}.{slug(line.label)}", partial(line_links, year, line)
            yield figure(key, f"{line.label}, on the bill", "bill_amount", partial(_line, place, "amount"), links)  # type: ignore[operator]
            if line.kind != "tax":
                quantity = partial(_quantity_links, year, place)
                label = f"{line.label}, {line.unit} on the bill"
                yield figure(f"{key}.quantity", label, "quantity", partial(_line, place, "quantity"), quantity)  # type: ignore[operator]


def _month(year: Year, number: int, figure: object) -> Iterator[Figure]:
    """The columns of a month."""
    key, name = f"month.{month_abbr[number].lower()}", month_name[number]
    cost = partial(month_links, year, number)
    yield figure(f"{key}.cost", f"cost of {name}", "month_cost", lambda ys: float(ys[-1].bill.months[number - 1]), cost)  # type: ignore[operator]
    for column in MONTH_COLUMNS:
        if column != "fuel_kwh" or year.fuel_kwh:
            read, links = partial(_of_month, number, column), partial(_month_links, year, number, column)
            yield figure(
                f"{key}.{column}", f"{column.rsplit('_', 1)[0].replace('_', ' ')} in {name}", column, read, links
            )  # type: ignore[operator]


def option_figures(base: Year, other: Year, prefix: str) -> Iterator[Figure]:
    """What an option saves against the baseline, and when it has paid for itself."""
    both = (base, other)
    yield Figure(
        f"{prefix}saving", "saved a year against the baseline", "more_cost", both,
        lambda ys: ys[0].bill.total - ys[1].bill.total, partial(saving_links, base, other),
    )  # fmt: skip
    if base.case.money is None or other.case.money is None:
        return
    rate = other.case.money.discount_rate
    gained = partial(gain_links, base, other)
    yield Figure(
        f"{prefix}payback", "years until it has paid for itself", "payback_years", both,
        partial(_pays_back, 0.0), partial(payback_links, base, other, 0.0),
    )  # fmt: skip
    yield Figure(
        f"{prefix}payback.discounted", "years until it has paid for itself, what waits worth less", "payback_years",
        both, partial(_pays_back, rate), partial(payback_links, base, other, rate),
    )  # fmt: skip
    yield Figure(
        f"{prefix}gain", "gain over the years, worth today", "worth_today_amount", both,
        _gain, gained,
    )  # fmt: skip


def comparison_figures(found: Comparison) -> Iterator[Figure]:
    """Every figure of every option."""
    for year in found.years:
        prefix = f"option.{slug(year.case.name)}."
        yield from year_figures(year, prefix)
        if year is not found.base:
            yield from option_figures(found.base, year, prefix)


def _total(name: str, years: Years) -> float:
    return years[-1].totals[name]


def _fuel(kind: str, years: Years) -> float:
    return years[-1].fuel_kwh.get(kind, 0.0)


def _beside(name: str, years: Years) -> float:
    return years[-1].beside_kwh[name]


def _beside_links(year: Year, name: str) -> Links:
    """What stands in the case of a stove, collectors or a heater, and what comes of it."""
    case, n, value = year.case, year.case.notation.number, year.beside_kwh[name]
    if name == "collectors":
        return [Link(BESIDE[name], "their sun day by day, no more than is drawn", value, "kWh", 1, "[solar_thermal]")]
    if name == "fans":
        return [Link(BESIDE[name], "all year, counted with the household", value, "kWh", 1, "[ventilation]")]
    if name == "heater":
        return [Link(BESIDE[name], "as stated", value, "kWh", 1, "[room_heater] kwh")]
    stove = case.lit
    assert stove is not None  # it is among what gives heat
    worked = f"{n(stove.amount, 1)} {stove.unit} of {stove.burns} × {n(stove.kwh_per_unit, 1)} kWh"
    burnt = Link(BESIDE["stove_fuel"], worked, stove.fuel_kwh, "kWh", 1, "[stove]")
    if name == "stove_fuel":
        return [burnt]
    used = f"{n(stove.fuel_kwh, 1)} kWh × {n(stove.efficiency, 2)} × {n(stove.reaches_rooms, 2)}"
    return [burnt, Link(BESIDE[name], used, value, "kWh", 1, "[stove] efficiency, reaches_rooms")]


def _spf(name: str, years: Years) -> float:
    found = getattr(years[-1].spf, name)
    return np.nan if found is None else float(found)


def _comfort(name: str, years: Years) -> float:
    return float(getattr(years[-1].comfort, name))


def _line(place: int, name: str, years: Years) -> float:
    lines = years[-1].bill.lines
    return float(getattr(lines[place], name)) if place < len(lines) else np.nan


def _of_month(number: int, column: str, years: Years) -> float:
    return float(years[-1].months.loc[number, column])


def _mean_flow(years: Years) -> float:
    found = sent_flow(years[-1])
    return np.nan if found is None else float(found.mean_flow_c)


def _pays_back(rate: float, years: Years) -> float:
    return payback_years(_saved(years)["saved"].to_numpy(), rate)


def _gain(years: Years) -> float:
    return float(_saved(years)["worth_today"].sum())


def _saved(years: Years) -> pd.DataFrame:
    """What the second saves of the first, year by year; no more than that is worked out for a year that was moved."""
    return weighed([year.case for year in years], years).difference(years[-1].case.name)


def up_to(links: Links, what: str, value: float) -> Links:
    """A chain cut where it comes to a value, or ended with it."""
    for place, link in enumerate(links):
        if abs(link.value - value) <= 1e-6 + 1e-9 * abs(value) and link.unit == "kWh":
            return links[: place + 1]
    return [*links, Link(what, "", value, "kWh", 1, KERNEL)]


def _energy(year: Year, name: str) -> Links:
    return up_to(energy_links(Sums(year)), ENERGIES[name], year.totals[name])


def _fuel_links(year: Year, kind: str) -> Links:
    fuel = year.case.fuel
    links, value = energy_links(Sums(year)), year.fuel_kwh[kind]
    if fuel is None or not fuel.other_use_kwh:
        return up_to(links, f"{kind} burnt", value)
    links = [link for link in links if link.what != "Electricity bought"]
    n = year.case.notation.number
    worked = f"{n(value - fuel.other_use_kwh, 1)} + {n(fuel.other_use_kwh, 1)} for other things"
    return [*links, Link(f"{kind} burnt", worked, value, "kWh", 1, "[fuel] other_use_kwh")]


def _quantity_links(year: Year, place: int) -> Links:
    line = year.bill.lines[place]
    links = line_links(year, line)
    end = next(k for k, link in enumerate(links) if link.what == f"{line.label}: quantity")
    return links[: end + 1]


def _month_links(year: Year, number: int, column: str) -> Links:
    steps = year.axis.month == number
    value = float(year.months.loc[number, column])
    if column.endswith("_c"):
        return [_mean_link(year, month_name[number], column, int(steps.sum()), value)]
    return up_to(energy_links(Sums(year, steps)), f"{month_name[number]}", value)


def _mean(column: str, years: Years) -> float:
    return float(years[-1].hourly[column].mean())


def _mean_links(year: Year, column: str) -> Links:
    return [_mean_link(year, "The year", column, year.axis.steps, _mean(column, (year,)))]


def _mean_link(year: Year, when: str, column: str, steps: int, value: float) -> Link:
    what = "weather of the case" if column == "outdoor_c" else "law closed, step by step"
    return Link(when, f"mean of {steps} steps of {year.axis.step_minutes} minutes", value, "°C", 1, what)


def _hours(year: Year, words: str, flow: str, column: str) -> Links:
    """Hours counted step by step."""
    steps = float((year.flow(flow) * (year.lived_in if flow == "below_18" else 1.0)).sum())
    worked = f"{year.case.notation.number(steps)} steps × {year.axis.step_minutes} minutes"
    return [
        Link("Needed temperature, highest", "", float(year.inputs.series["needed_c"].max()), "°C", 1, "[comfort]"),
        Link(words, worked, steps * year.axis.hours, "h", 0, "laws felt and unsafe of physics/rooms.py"),
    ]


def _coldest(year: Year) -> Links:
    place = int(np.argmin(np.where(year.lived_in > 0.0, year.flow("air_c"), np.inf)))
    stamp = f"{year.axis.local[place]:%Y-%m-%d %H:%M}"
    return [Link("Coldest mean over a step", f"the step of {stamp}", float(year.comfort.min_room_c), "°C", 1, KERNEL)]


def _carbon(year: Year) -> Links:
    fuel, n, bought = year.case.fuel, year.case.notation.number, year.totals["import"]
    burnt = sum(year.fuel_kwh.values())
    grams = year.case.carbon.electricity_g_per_kwh
    worked = f"{n(bought, 1)} kWh × {n(grams)} g/kWh"
    if burnt and fuel is not None:
        worked += f" + {n(burnt, 1)} kWh × {n(fuel.carbon_g_per_kwh)} g/kWh"
    if year.case.lit is not None:
        stove = year.case.lit
        worked += f" + {n(stove.fuel_kwh, 1)} kWh of {stove.burns} × {n(stove.carbon_g_per_kwh)} g/kWh"
    source = f"[carbon]: {year.case.carbon.source}"
    links = energy_links(Sums(year))
    return [*links, Link("Carbon dioxide", worked, year.carbon_kg, "kg", 0, source)]


def _flow_links(year: Year) -> Links:
    heat = year.flow("heat_pump_space_heat")
    value, n = _mean_flow((year,)), year.case.notation.number
    weighted = float(np.sum(heat * year.flow("flow_c"))) * year.axis.hours
    worked = f"{n(weighted)} kWh·°C ÷ {n(float(heat.sum()) * year.axis.hours)} kWh"
    return [Link("Flow on average, over the heat", worked, value, "°C", 0, "law commanded_flow_c, step by step")]
