"""Years that an answer speaks of in; what may hurt in them, who to ask and who says so, out: the one register.

Every answer asks this register for what touches it, so that a caution whose condition holds stands on every face. A
caution never advises less than a published minimum. What is said of a setting is read off what the year did, not off
what was set: water is as hot as the cylinder became, rooms as cold as they fell.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from simkit.case.case import Case
from simkit.case.heating.boiler import FUELS_BOUGHT
from simkit.year.year import Year

STORED_C = 60.0  # HSE, HSG274 part 2: hot water stored at 60 °C or more
SAFE_C = 18.0  # WHO Housing and Health Guidelines 2018
REACHED_K = 0.5  # own: a cylinder within half a kelvin of 60 °C has been through its cycle
CERTIFICATE_YEARS = 10  # Directive 2010/31/EU, article 12: an energy performance certificate is valid ten years at most
FUSE_MARGIN = 0.1  # own: a tenth of the fuse
LAST = "This is an estimate, no design: local codes and the advice of licensed trades come before anything said here."
LEGIONELLA = (
    "legionella grows between 20 and 45 °C, and published guidance is to store hot water at 60 °C or more "
    "(Health and Safety Executive, HSG274 part 2)"
)


class Subject(NamedTuple):
    """What a caution is judged by: a year, the case it is of, and what the answer proposes beyond it."""

    year: Year
    case: Case
    topics: frozenset[str]


class Caution(NamedTuple):
    """One entry of the register.

    Parameters
    ----------
    name
        What it is about, for tests and JSON.
    found
        The words where its condition holds, else None.
    ask
        Who knows, or does, it.
    source
        Who says so.
    by_option
        Whether options differ in it, so that each is named.
    """

    name: str
    found: Callable[[Subject], str | None]
    ask: str
    source: str
    by_option: bool = False


def _stored_water(on: Subject) -> str | None:
    hottest = float(on.year.hourly["cylinder_hot_c"].max())
    water = on.case.hot_water
    if hottest < STORED_C - REACHED_K:
        return f"Hot water never gets hotter than {hottest:.0f} °C, whatever is set: {LEGIONELLA}."
    if water.target_c < STORED_C:
        cycle = f", with a cycle to {water.hygiene.target_c:g} °C every {water.hygiene.every}"
        return f"Hot water is stored at {water.target_c:g} °C{cycle}: {LEGIONELLA}."
    return None


def _scald(on: Subject) -> str | None:
    hottest = float(on.year.hourly["cylinder_hot_c"].max())
    return f"Water of {hottest:.0f} °C scalds within seconds." if hottest >= STORED_C - REACHED_K else None


def _cold_rooms(on: Subject) -> str | None:
    hours = on.year.comfort.hours_below_18
    if hours < 1.0:
        return None
    lowest = on.year.comfort.min_room_c
    return f"Rooms are under 18 °C for {hours:,.0f} hours a year, down to {lowest:.1f} °C: a risk to health."


def _water_short(on: Subject) -> str | None:
    comfort = on.year.comfort
    return f"Hot water runs short by {comfort.unmet_litres:,.0f} litres a year." if comfort.water_short else None


def _machine(on: Subject) -> str | None:
    sizing, machine = on.year.sizing, on.case.heat_pump
    if sizing is None or machine is None:
        return None
    coldest = float(on.year.hourly["outdoor_c"].min())
    if machine.source == "air" and coldest < machine.lowest_outdoor_c:
        hours = float((on.year.hourly["outdoor_c"] < machine.lowest_outdoor_c).sum()) * on.year.axis.hours
        return f"The machine stops below {machine.lowest_outdoor_c:g} °C, which this year has for {hours:,.0f} hours."
    if sizing.design_capacity_kw < 0.95 * sizing.design_load_kw:
        made, load = sizing.design_capacity_kw, sizing.design_load_kw
        return f"On the design day the machine makes {made:.1f} kW of the {load:.1f} kW that the home loses."
    return None


def _fuse(on: Subject) -> str | None:
    use = on.year.fuse
    if use is None or use.margin_a > FUSE_MARGIN * use.fuse_a:
        return None
    over = f", over it for {use.hours_over:,.0f} hours" if use.hours_over > 0 else ""
    return f"The highest import is {use.peak_kw:.1f} kW against a main fuse of {use.limit_kw:.1f} kW{over}."


def _battery(on: Subject) -> str | None:
    if on.case.battery is None and "battery" not in on.topics:
        return None
    return "A battery can burn and gas: its place, its ventilation and its way out of the house are decided first."


def _panels(on: Subject) -> str | None:
    if on.case.solar is None and "panels" not in on.topics:
        return None
    return "Panels are work at height; their current can't be switched off in daylight; the roof must carry them."


def _refrigerant(on: Subject) -> str | None:
    if on.case.heat_pump is None or on.case.heat_source == "boiler":
        return None
    return "The heat pump holds refrigerant under pressure, some of it flammable: never open its circuit."


def _hot_circuit(on: Subject) -> str | None:
    if not on.topics & {"emitters", "cylinder", "heat source", "flow"}:
        return None
    return "The heating circuit and the cylinder are hot and under pressure: draining and filling are no work for you."


def _solar_thermal(on: Subject) -> str | None:
    if "solar thermal" not in on.topics:
        return None
    return (
        "An old solar-thermal circuit holds hot fluid under pressure: it is emptied and capped before anything is cut."
    )


def _burner(on: Subject) -> str | None:
    fuel = on.case.fuel
    burns = on.case.heat_source in ("boiler", "hybrid") or (fuel is not None and fuel.other_use_kwh > 0)
    if fuel is None or fuel.kind not in FUELS_BOUGHT or not burns:
        return None
    kind = fuel.kind.replace("lpg", "LPG")
    return (
        f"Something in the home burns {kind}, so that carbon monoxide can form: keep an audible alarm in every "
        "room with a burner or a flue."
    )


def _giving_up(on: Subject) -> str | None:
    fuel = on.case.fuel
    if fuel is None or fuel.kind not in FUELS_BOUGHT or on.case.heat_source != "heat_pump":
        return None
    kind = fuel.kind.replace("lpg", "LPG")
    return (
        f"Giving up {kind}: the supply is cut off, the tank or the pipes made safe, and only then the contract ended."
    )


def _asbestos(on: Subject) -> str | None:
    if "old boiler" not in on.topics:
        return None
    return "Old boiler rooms, flues and pipes may hold asbestos: have it looked for before anything is cut or lifted."


def _noise(on: Subject) -> str | None:
    machine = on.case.heat_pump
    if machine is None or on.case.heat_source == "boiler" or machine.source != "air":
        return None
    return "An outdoor unit is heard: limits at the neighbour's window, and distances, are set locally."


def _certificate(on: Subject) -> str | None:
    loss = on.case.home.loss
    if loss.certificate_kwh_m2 is None:
        return None
    return (
        "The heat loss comes from a certificate: such figures usually say more than the home uses, and one of "
        f"over {CERTIFICATE_YEARS} years is out of date."
    )


LOCAL, PLUMBER, ELECTRICIAN = "the building authority", "a licensed heating engineer", "a licensed electrician"
REGISTER = (
    Caution("stored water", _stored_water, PLUMBER, "HSE, HSG274 part 2", True),
    Caution("scald", _scald, f"{PLUMBER}, for mixing valves at the taps", "HSE, HSG274 part 2", True),
    Caution("cold rooms", _cold_rooms, "whoever is old, ill or has small children in the home", "WHO 2018", True),
    Caution("hot water short", _water_short, PLUMBER, "this simulation", True),
    Caution("machine", _machine, f"{PLUMBER}, for a room-by-room heat loss", "EN 12831-1", True),
    Caution("main fuse", _fuse, f"the network's operator or {ELECTRICIAN}: nobody else changes it", "IEC 60364", True),
    Caution("battery", _battery, f"{ELECTRICIAN} and the insurer", "IEC 62485-5"),
    Caution("panels", _panels, f"{ELECTRICIAN} and a roofer", "IEC 60364-7-712"),
    Caution("refrigerant", _refrigerant, "a technician certified for refrigerants", "Regulation (EU) 2024/573"),
    Caution("hot circuit", _hot_circuit, PLUMBER, "EN 12828"),
    Caution("solar thermal", _solar_thermal, PLUMBER, "common practice"),
    Caution("carbon monoxide", _burner, "a licensed engineer, who services each burner every year", "EN 50291"),
    Caution("giving up a fuel", _giving_up, "a licensed engineer for that fuel", "common practice"),
    Caution("asbestos", _asbestos, "a surveyor for asbestos", "Directive 2009/148/EC"),
    Caution("noise", _noise, LOCAL, "common practice"),
    Caution("certificate", _certificate, "an energy assessor", "Directive 2010/31/EU"),
)  # fmt: skip


def cautions_for(years: Sequence[Year], topics: frozenset[str] | set[str] = frozenset()) -> tuple[str, ...]:
    """Ask the register what touches an answer.

    Parameters
    ----------
    years
        The years that the answer speaks of.
    topics
        What it proposes beyond them: ``battery``, ``panels``, ``emitters``, ``cylinder``, ``flow``, ``heat source``,
        ``old boiler``, ``solar thermal``.

    Returns
    -------
    tuple
        One text for each entry whose condition holds in any of the years, worst year first where its words differ, and
        last the deference to local codes and licensed practice.
    """
    said = []
    for entry in REGISTER:
        found: dict[str, list[str]] = {}
        for year in years:
            words = entry.found(Subject(year, year.case, frozenset(topics)))
            if words is not None:
                found.setdefault(words, []).append(year.case.name)
        for words, names in found.items():
            whose = f" ({'; '.join(names)})" if entry.by_option and len(names) < len(years) else ""
            said.append(f"{words[:-1]}{whose}. Ask {entry.ask} ({entry.source}).")
    return (*said, LAST)
