"""The valid parts of a case in, what is wrong between them out: the rules that no single table can check."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from operator import ge, gt, le
from typing import Any

from simkit.case.heating.boiler import FUELS_BOUGHT, fuel_kwh
from simkit.case.home.room_rules import rooms_and_house, slope_and_design_flow
from simkit.case.money.money_rules import ledger_over_years
from simkit.errors import Fault, perhaps
from simkit.schema.money_codes import CURRENCIES
from simkit.tariff.prices import DEAREST_DAY_IN_KWH, DEAREST_PER_KWH, day_fault

Parts = Mapping[str, Any]
FUEL_OF_DEAREST = 0.5  # own: no fuel costs half as much by the kWh as the dearest electricity
NEEDED_BY = {
    "heat_pump": ("heat_pump", "hybrid"),
    "boiler": ("boiler", "hybrid"),
    "fuel": ("boiler", "hybrid"),
    "hybrid": ("hybrid",),
}
ABOVE_MACHINE = "is above what the heat pump can give: [heat_pump] highest_flow_c = {:g}"
NOT_ABOVE_ROOM = "is not above the warmest room, {:g} °C, and water heats a room only from above it"
WELL_ABOVE_ROOM = "Write a flow temperature well above the room, such as 50"
# What may not be between two figures (of twelve the least): path of the one, how it may not stand to the other, path of
# that, what is wrong and what to do, with the other for {}.
ORDERS = (
    ("controls.design_flow_c", gt, "heat_pump.highest_flow_c", ABOVE_MACHINE,
     "Write design_flow_c = {:g} or less, or state the highest_flow_c of a machine that goes higher"),
    ("controls.floor_c", gt, "heat_pump.highest_flow_c", ABOVE_MACHINE, "Write a floor below it, such as 25"),
    ("emitters.sized_for_flow_c", le, "controls.warmest_c", NOT_ABOVE_ROOM, WELL_ABOVE_ROOM),
    ("boiler.flow_c", le, "controls.warmest_c", NOT_ABOVE_ROOM, WELL_ABOVE_ROOM),
    ("site.design_outdoor_c", ge, "weather.mean_c",
     "is not below the coldest month of [weather] mean_c, {:g} °C, and 99.6 % of all hours are warmer than it",
     "Look up the design temperature of the place; it lies some kelvin below the coldest month"),
    ("controls.heating_limit_c", le, "site.design_outdoor_c",
     "is not above [site] design_outdoor_c = {:g}, so that no heat would ever be needed",
     "Write the outdoor temperature at which heating begins, such as 16"),
)  # fmt: skip
CONTRADICTS = 'contradicts regression = "{regression}"'
FOR_THAT_SOURCE = "Leave source out, or choose the regression for that source"
# What may not stand together: the paths with their values (None for what is left out), place and the other three parts
# of the fault, each value under the last word of its path.
COMBINATIONS: tuple[tuple[dict[str, tuple[Any, ...]], str, str, str, str], ...] = (
    *(({"heat_source": sources, name: (None,)}, "", 'heat_source = "{heat_source}"',
       f"needs a table [{name}], which is missing", f"Add [{name}], or choose another heat_source")
      for name, sources in NEEDED_BY.items()),
    ({"as_operated": (True,), "heat_source": ("heat_pump", "hybrid")}, "", "as_operated = true",
     'holds the set-points of the boiler, and heat_source is not "boiler"',
     "Take as_operated out, or set it in the option that keeps the boiler"),
    ({"as_operated": (True,), "heat_source": ("boiler",), "boiler.as_operated": (None,)}, "[boiler]",
     "as_operated = true", "needs the set-points that were held with the boiler, which are missing",
     "Add [boiler.as_operated] with periods and setback_c"),
    ({"heat_pump.regression": ("staffell2012_air", "ruhnau2019_air"), "heat_pump.source": ("ground", "constant")},
     "[heat_pump]", 'source = "{source}"', CONTRADICTS, FOR_THAT_SOURCE),
    ({"heat_pump.regression": ("staffell2012_ground", "ruhnau2019_ground", "ruhnau2019_groundwater"),
      "heat_pump.source": ("air",)}, "[heat_pump]", 'source = "{source}"', CONTRADICTS, FOR_THAT_SOURCE),
    ({"battery.coupling": ("dc",), "solar": (None,)}, "[battery]", 'coupling = "dc"',
     "puts it behind the inverter of the panels, and there is no table [solar]",
     'Add [solar], or write coupling = "ac" for a battery with an inverter of its own'),
    ({"fuel.kind": ("none",), "heat_source": ("boiler", "hybrid")}, "[fuel]", 'kind = "none"',
     'leaves nothing to burn with heat_source = "{heat_source}"',
     f"Name the fuel: one of {', '.join(FUELS_BOUGHT)}, or electricity"),
    ({"fuel.kind": ("electricity",), "heat_source": ("hybrid",)}, "[fuel]", 'kind = "electricity"',
     'makes no hybrid: heat_source = "hybrid" burns a fuel beside the heat pump',
     "Use backup_kw of [heat_pump] for electric back-up"),
    ({"controls.design_flow_from_rooms": (True,), "room": (None,)}, "[controls]", "design_flow_from_rooms = true",
     "needs rooms, and the case has none", "Add [[room]] tables, or write design_flow_c instead"),
)  # fmt: skip


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


def _held(parts: Parts, path: str) -> Any:
    """What stands under a path; "" where its whole table is missing."""
    section, dot, key = path.partition(".")
    part = parts.get(section)
    if not dot:
        return part
    return "" if part is None else getattr(part, key)


def _orders(parts: Parts, _: frozenset[str]) -> Iterator[Fault]:
    for path, is_wrong, against, allowed, remedy in ORDERS:
        if against.startswith("heat_pump.") and parts.get("heat_source") == "boiler":
            continue
        value, held = _held(parts, path), _held(parts, against)
        other = min(held) if isinstance(held, tuple) else held
        if value not in ("", None) and other not in ("", None) and is_wrong(value, other):
            section, _dot, key = path.partition(".")
            yield Fault(f"[{section}]", f"{key} = {value:g}", allowed.format(other), remedy.format(other))


def _combinations(parts: Parts, broken: frozenset[str]) -> Iterator[Fault]:
    for together, where, *said in COMBINATIONS:
        found = {path: _held(parts, path) for path in together}
        if not (broken - parts.keys()) & found.keys() and all(
            found[path] in values for path, values in together.items()
        ):
            words = {path.rpartition(".")[2]: value for path, value in found.items()}
            yield Fault(where, *(phrase.format(**words) for phrase in said))


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


# What is given to each: the validated sections by name, with the keys outside all tables under their own names (what is
# absent or not valid is missing), and the names of what is there but not valid, of which nothing more is said.
RULES: tuple[Callable[[Parts, frozenset[str]], Iterator[Fault]], ...] = (
    _combinations,
    _loss_from_fuel,
    _range_of_a_known_loss,
    _orders,
    _fuel_price,
    _money,
    rooms_and_house,
    slope_and_design_flow,
    ledger_over_years,
)
