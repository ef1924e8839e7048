"""The valid parts of a case in, what is wrong between them out: the rules that no single table can check."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from simkit.case.heating.boiler import FUELS_BOUGHT, fuel_kwh
from simkit.case.home.room_rules import rooms_and_house, slope_and_design_flow
from simkit.case.money.money_rules import ledger_over_years
from simkit.errors import Fault, perhaps
from simkit.schema.money_codes import CURRENCIES
from simkit.tariff.prices import DEAREST_DAY_IN_KWH, DEAREST_PER_KWH, day_fault

Parts = Mapping[str, Any]
FUEL_OF_DEAREST = 0.5  # own: no fuel costs half as much by the kWh as the dearest electricity
NEEDED = {
    "heat_pump": ("heat_pump",),
    "boiler": ("boiler", "fuel"),
    "hybrid": ("heat_pump", "boiler", "fuel", "hybrid"),
}


def crossing_faults(parts: Parts, broken: frozenset[str]) -> list[Fault]:
    """Check the parts of a case against each other.

    Parameters
    ----------
    parts
        The validated sections by name, with the keys outside all tables under their own names; what is absent or not
        valid is missing here.
    broken
        Names of the sections that are there but not valid: nothing is said about those.

    Returns
    -------
    list
        Every fault found, `where` without the name of the file.
    """
    return [fault for rule in RULES for fault in rule(parts, broken)]


def _missing_parts(parts: Parts, broken: frozenset[str]) -> Iterator[Fault]:
    source = parts.get("heat_source")
    for name in NEEDED.get(str(source), ()):
        if name not in parts and name not in broken:
            yield Fault(
                "",
                f'heat_source = "{source}"',
                f"needs a table [{name}], which is missing",
                f"Add [{name}], or choose another heat_source",
            )


def _range_of_a_known_loss(parts: Parts, broken: frozenset[str]) -> Iterator[Fault]:
    """A loss that is found from fuel has no range of its own: what was burnt is known; of others nothing is."""
    home, spread = parts.get("home"), parts.get("uncertainty")
    if home is None or spread is None:
        return
    named = {one.of for one in spread.input or ()}
    if home.loss.fuel_amount is None:
        for name in sorted(named & {"fuel_amount", "fuel_winter"}):
            why = "has no meaning: the heat loss of this home is not found from fuel"
            yield Fault("[uncertainty]", f'input of "{name}"', why, 'Leave this range out, or give one of "loss"')
        return
    if "loss" in named:
        yield Fault(
            "[uncertainty]",
            'input of "loss"',
            "contradicts fuel_amount in [home.loss]: the loss is found anew in each sample, so that what was burnt "
            "stays known",
            'Leave this range out, and give one of "fuel_amount", "boiler" or "set_point_k" if you doubt those',
        )


def _loss_from_fuel(parts: Parts, broken: frozenset[str]) -> Iterator[Fault]:
    home = parts.get("home")
    if home is None or home.loss.fuel_amount is None:
        return
    unit = home.loss.fuel_unit
    given = f"fuel_amount = {home.loss.fuel_amount:g}"
    if "boiler" not in parts and "boiler" not in broken:
        yield Fault(
            "[home.loss]",
            given,
            "needs a table [boiler], which is missing: heat is fuel times its efficiency",
            "Add [boiler] with space_efficiency and water_efficiency of the boiler that burnt it",
        )
    fuel = parts.get("fuel")
    if fuel is None:
        if unit != "kWh" and "fuel" not in broken:
            yield Fault(
                "[home.loss]",
                given,
                f"needs a table [fuel], which is missing: a {unit} must be turned into kWh",
                'Add [fuel] with kwh_per_unit, or give the amount in kWh with fuel_unit = "kWh"',
            )
    elif fuel_kwh(fuel, home.loss.fuel_amount, unit) is None:
        yield Fault(
            "[home.loss]",
            f'fuel_unit = "{unit}"',
            f'can\'t be turned into kWh: [fuel] is sold in "{fuel.unit}"',
            f'Write the amount in "{fuel.unit}" or in "kWh"',
        )


def _as_operated(parts: Parts, broken: frozenset[str]) -> Iterator[Fault]:
    if not parts.get("as_operated"):
        return
    if parts.get("heat_source") in ("heat_pump", "hybrid"):
        yield Fault(
            "",
            "as_operated = true",
            'holds the set-points of the boiler, and heat_source is not "boiler"',
            "Take as_operated out, or set it in the option that keeps the boiler",
        )
    elif parts.get("boiler") is not None and parts["boiler"].as_operated is None:
        yield Fault(
            "[boiler]",
            "as_operated = true",
            "needs the set-points that were held with the boiler, which are missing",
            "Add [boiler.as_operated] with periods and setback_c",
        )


def _flow(parts: Parts, _: frozenset[str]) -> Iterator[Fault]:
    controls, machine = parts.get("controls"), parts.get("heat_pump")
    if controls is None or machine is None or parts.get("heat_source") == "boiler":
        return
    most = machine.highest_flow_c
    if controls.design_flow_c > most:
        yield Fault(
            "[controls]",
            f"design_flow_c = {controls.design_flow_c:g}",
            f"is above what the heat pump can give: [heat_pump] highest_flow_c = {most:g}",
            f"Write design_flow_c = {most:g} or less, or state the highest_flow_c of a machine that goes higher",
        )
    if controls.floor_c > most:
        yield Fault(
            "[controls]",
            f"floor_c = {controls.floor_c:g}",
            f"is above what the heat pump can give: [heat_pump] highest_flow_c = {most:g}",
            "Write a floor below it, such as 25",
        )


def _above_room(parts: Parts, _: frozenset[str]) -> Iterator[Fault]:
    controls = parts.get("controls")
    if controls is None:
        return
    emitters, boiler = parts.get("emitters"), parts.get("boiler")
    flows = {
        ("emitters", "sized_for_flow_c"): None if emitters is None else emitters.sized_for_flow_c,
        ("boiler", "flow_c"): None if boiler is None else boiler.flow_c,
    }
    for (section, key), flow in flows.items():
        if flow is not None and flow <= controls.warmest_c:
            yield Fault(
                f"[{section}]",
                f"{key} = {flow:g}",
                f"is not above the warmest room, {controls.warmest_c:g} °C, and water heats a room only from above it",
                "Write a flow temperature well above the room, such as 50",
            )


def _cold(parts: Parts, _: frozenset[str]) -> Iterator[Fault]:
    site, weather, controls = parts.get("site"), parts.get("weather"), parts.get("controls")
    if site is None:
        return
    if weather is not None and weather.mean_c is not None and site.design_outdoor_c >= min(weather.mean_c):
        yield Fault(
            "[site]",
            f"design_outdoor_c = {site.design_outdoor_c:g}",
            f"is not below the coldest month of [weather] mean_c, {min(weather.mean_c):g} °C, "
            "and 99.6 % of all hours are warmer than it",
            "Look up the design temperature of the place; it lies some kelvin below the coldest month",
        )
    if controls is not None and site.design_outdoor_c >= controls.heating_limit_c:
        yield Fault(
            "[controls]",
            f"heating_limit_c = {controls.heating_limit_c:g}",
            f"is not above [site] design_outdoor_c = {site.design_outdoor_c:g}, so that no heat would ever be needed",
            "Write the outdoor temperature at which heating begins, such as 16",
        )


def _battery_behind_panels(parts: Parts, broken: frozenset[str]) -> Iterator[Fault]:
    battery = parts.get("battery")
    if battery is not None and battery.coupling == "dc" and "solar" not in parts and "solar" not in broken:
        yield Fault(
            "[battery]",
            'coupling = "dc"',
            "puts it behind the inverter of the panels, and there is no table [solar]",
            'Add [solar], or write coupling = "ac" for a battery with an inverter of its own',
        )


def _source_of_machine(parts: Parts, _: frozenset[str]) -> Iterator[Fault]:
    machine = parts.get("heat_pump")
    if machine is None or machine.regression is None:
        return
    if machine.regression.endswith("_air") != (machine.source == "air"):
        yield Fault(
            "[heat_pump]",
            f'source = "{machine.source}"',
            f'contradicts regression = "{machine.regression}"',
            "Leave source out, or choose the regression for that source",
        )


def _fuel_of_boiler(parts: Parts, _: frozenset[str]) -> Iterator[Fault]:
    fuel, source = parts.get("fuel"), parts.get("heat_source")
    if fuel is None:
        return
    if fuel.kind == "none" and source in ("boiler", "hybrid"):
        yield Fault(
            "[fuel]",
            'kind = "none"',
            f'leaves nothing to burn with heat_source = "{source}"',
            f"Name the fuel: one of {', '.join(FUELS_BOUGHT)}, or electricity",
        )
    if fuel.kind == "electricity" and source == "hybrid":
        yield Fault(
            "[fuel]",
            'kind = "electricity"',
            'makes no hybrid: heat_source = "hybrid" burns a fuel beside the heat pump',
            "Use backup_kw of [heat_pump] for electric back-up",
        )


def _fuel_price(parts: Parts, _: frozenset[str]) -> Iterator[Fault]:
    """A fuel that costs more than any does is priced in cents, by the MWh or by the thousand litres."""
    fuel, currency = parts.get("fuel"), parts.get("currency")
    if fuel is None or fuel.kind not in FUELS_BOUGHT or currency not in DEAREST_PER_KWH:
        return
    dearest = DEAREST_PER_KWH[currency]
    most, day = FUEL_OF_DEAREST * dearest * fuel.kwh_per_unit, DEAREST_DAY_IN_KWH * dearest
    price = fuel.price_per_unit
    if price > most:
        guesses = [f"If it is in hundredths (cents, pence), write {price / 100:.4g}"] if price / 100 <= most else []
        if most / 100 <= price / 1000 <= most:
            thousand = "a MWh" if fuel.unit == "kWh" else f"a thousand of its unit ({fuel.unit})"
            guesses.append(f"{'if' if guesses else 'If'} for {thousand}, write {price / 1000:.4g}")
        allowed = f"is outside 0 to {most:.4g} {currency} per {fuel.unit}, and no fuel costs more"
        remedy = "; ".join(guesses) or f"Write the price of one {fuel.unit} in {currency}, such as {most / 10:.2g}"
        yield Fault("[fuel]", f"price_per_unit = {price:g}", allowed, remedy)
    if fuel.standing_per_day > day:
        yield day_fault("[fuel]", fuel.standing_per_day, day, currency)


def _money(parts: Parts, _: frozenset[str]) -> Iterator[Fault]:
    currency, tariff = parts.get("currency"), parts.get("tariff")
    if currency is None:
        return
    if currency not in CURRENCIES:
        remedy = perhaps(currency.upper(), CURRENCIES, 'Write a code such as "EUR"')
        yield Fault("", f'currency = "{currency}"', "is not a currency code of ISO 4217", remedy)
    elif tariff is not None and tariff.currency != currency:
        yield Fault(
            "",
            f'currency = "{currency}"',
            f'is not the currency of the tariff, "{tariff.currency}"',
            "Use one currency throughout: prices are never converted",
        )


RULES: tuple[Callable[[Parts, frozenset[str]], Iterator[Fault]], ...] = (
    _missing_parts,
    _loss_from_fuel,
    _range_of_a_known_loss,
    _as_operated,
    _flow,
    _above_room,
    _cold,
    _source_of_machine,
    _battery_behind_panels,
    _fuel_of_boiler,
    _fuel_price,
    _money,
    rooms_and_house,
    slope_and_design_flow,
    ledger_over_years,
)
