"""A case in, the values that the form shows for it out; and the case that values which were changed stand for.

Only what was changed is laid over the case, so that a form nobody touched answers with the case itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from simkit.assemble.heat_loss import Burnt, fuel_burnt, loss_w_per_k
from simkit.assemble.water import coil_w_per_k
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.case.heating.heat_pump import capacity_kw, sized
from simkit.case.heating.hot_water import HotWater
from simkit.case.load import read_case
from simkit.case.sample_homes import sample_file
from simkit.panels.fields import Value
from simkit.panels.form.extras import degree_days, first_stove, price_changes, stove_changes, weather_changes
from simkit.panels.form.fields import (
    COLD_FEED,
    CYLINDERS,
    FILE,
    FLAT,
    FUELS,
    LITRES_EACH,
    OWN,
    SURVEY_INDOOR_C,
    TWO,
    UNKNOWN,
)
from simkit.panels.form.set_points import held, lived
from simkit.physics.constants import KWH_PER_LITRE_K
from simkit.physics.emitters import excess_for_k
from simkit.profiles.water import USE_C, tapping_draws

Values = Mapping[str, Value | None]
Changes = dict[str, Any]

# field of the form: key of the case that it is, where nothing else depends on it
PATHS = {
    "floor_area": "home.floor_area_m2", "mass": "home.thermal_mass",
    "household_kwh": "household.annual_kwh", "people": "household.people", "flow_c": "controls.design_flow_c",
    "sized_c": "emitters.sized_for_flow_c", "volume_l": "hot_water.volume_l",
}  # fmt: skip
COMFORT = {"day_c", "night_c", "from", "to"}
SURFACE = 2.0 / 3.0  # the loss of a cylinder grows as its surface does


def made_whole(case: Case) -> Case:
    """The case with a heat pump that heats alone, and with a boiler to compare it with, invented where it has none."""
    changes: Changes = {"heat_source": "heat_pump", "as_operated": False}
    if case.heat_pump is None:
        invented = {"name": "invented outdoor unit", "regression": "ruhnau2019_air", "capacity_7_35_kw": 9.0}
        changes["heat_pump"] = {**invented, "efficiency_scale": 1.0}
    if case.boiler is None:
        usual = FUELS["oil"]
        efficiencies = {"space_efficiency": usual.space_efficiency, "water_efficiency": usual.water_efficiency}
        changes["boiler"] = efficiencies
    if case.fuel is None or case.fuel.kind == "none":
        changes["fuel"] = {"kind": "oil", "unit": "litre", "kwh_per_unit": 10.35, "price_per_unit": 1.08}
    changes = {key: value for key, value in changes.items() if case.full.get(key) != value}
    return vary(case, changes) if changes else case


def first_values(case: Case) -> dict[str, Value | None]:
    """What the form shows for a case that `made_whole` has seen.

    The heat loss and the fuel of a year are each worked out from the other, so that both ways to say it agree.
    """
    loss = loss_w_per_k(case)
    operated = case.boiler.as_operated if case.boiler else None
    burnt_kwh = float(fuel_burnt(Burnt((), case), np.array([loss]))[0])
    assert case.heat_pump is not None  # made whole
    return {
        **_first_fuel(case, burnt_kwh),
        "survey_kw": round(loss * (SURVEY_INDOOR_C - case.site.design_outdoor_c) / 1000.0, 1),
        "survey_c": case.site.design_outdoor_c,
        "lived_c": max((period.c for period in operated.periods) if operated else (case.comfort.warmest_c,)),
        "lived": "parts" if operated and len(operated.periods) > 1 else "day",
        **first_stove(case), "floor_area": case.home.floor_area_m2, "mass": case.home.thermal_mass, "climate": OWN,
        "capacity_kw": round(capacity_kw(case.heat_pump), 1),
        "flow_c": case.controls.design_flow_c, "sized_c": _sized_c(case, loss),
        "volume_l": case.hot_water.volume_l, "cylinder": _kind_of_cylinder(case),
        "people": case.household.people, "draws": _kind_of_draws(case.hot_water, case.household.people),
        **_first_prices(case), "known": UNKNOWN, "known_spf": 3.0, "household_kwh": case.household.annual_kwh,
        "day_c": case.comfort.warmest_c, "night_c": case.comfort.setback_c,
        "from": min((period.start for period in case.comfort.periods), default="07:00"),
        "to": max((period.end for period in case.comfort.periods), default="22:30"),
    }  # fmt: skip


def _first_prices(case: Case) -> dict[str, Value | None]:
    """One or two prices where the tariff is no more than that, else its file."""
    tariff = case.tariff
    prices = [float(band.price_per_kwh) for band in tariff.band or ()]
    plain = len(prices) in (1, 2) and tariff.prices_include_tax and not (tariff.tier or tariff.demand or tariff.levy)
    plain = plain and not (tariff.export or tariff.version or tariff.rebate or tariff.series)
    cheap = min(tariff.band or (), key=lambda band: band.price_per_kwh, default=None)
    two = plain and len(prices) == 2 and cheap is not None and cheap.days == "all"
    offer = next((option.ledger for _, _, option in case.options() if option.ledger), None)
    kind = TWO if two else FLAT if plain and len(prices) == 1 else FILE
    return {
        "price_kind": kind, "price": max(prices, default=0.3), "cheap_price": min(prices, default=0.2),
        "cheap_from": cheap.start if two and cheap else "00:00", "cheap_to": cheap.end if two and cheap else "06:00",
        "standing": tariff.standing_per_day, "tariff": OWN,
        "offer": offer.price if offer else 0.0, "grant": offer.supports if offer else 0.0,
        "degree_days": round(float(degree_days(case).sum())),
    }  # fmt: skip


def _first_fuel(case: Case, burnt_kwh: float) -> dict[str, Value | None]:
    fuel, loss = case.fuel, case.home.loss
    assert fuel is not None  # made whole
    told = loss.fuel_amount is not None
    unit = str(loss.fuel_unit) if told else fuel.unit
    amount = float(loss.fuel_amount or 0.0) if told else float(f"{burnt_kwh / fuel.kwh_per_unit:.3g}")
    return {
        "know": "fuel" if told else "survey", "fuel_kind": fuel.kind, "fuel_amount": amount, "fuel_unit": unit,
        "kwh_per_unit": fuel.kwh_per_unit, "fuel_price": fuel.price_per_unit, "fuel_standing": fuel.standing_per_day,
    }  # fmt: skip


def _sized_c(case: Case, loss_w_per_k: float) -> float:
    """Flow at which the emitters meet the loss of the design day [°C]: stated, or by EN 442 from their rating."""
    emitters, room = case.emitters, case.comfort.warmest_c
    if emitters.sized_for_flow_c is not None:
        return emitters.sized_for_flow_c
    load_kw = loss_w_per_k / 1000.0 * (room - case.site.design_outdoor_c)
    excess = excess_for_k(load_kw / float(emitters.rated_kw or 1.0), emitters.exponent)
    return round(room + excess + emitters.water_difference_k / 2.0, 1)


def _kind_of_cylinder(case: Case) -> str:
    assert case.heat_pump is not None  # made whole
    coil = coil_w_per_k(case.hot_water, case.heat_pump.highest_flow_c, case.emitters.water_difference_k)
    return next(kind for kind, (_, _, _, below) in CYLINDERS.items() if coil < below)


def _kind_of_draws(water: HotWater, people: float) -> str:
    litres = water.litres_per_day_at_40
    if litres is None:
        drawn = sum(kwh for _, kwh in tapping_draws(str(water.tapping)))
        litres = drawn / (KWH_PER_LITRE_K * (USE_C - water.cold_water_c))
    each = litres / max(people, 0.5)
    return min(LITRES_EACH, key=lambda kind: abs(LITRES_EACH[kind] - each))


def changes_of(case: Case, first: Values, values: Values, folder: Path) -> Changes:
    """What is to be laid over a case, by dotted path, for the values of a form that was changed.

    Parameters
    ----------
    case
        The case that the form began with, made whole.
    first, values
        What the form showed then and shows now.
    folder
        Beside which sample homes are looked for.
    """
    moved = {name for name, value in values.items() if value != first[name]}
    changes: Changes = {path: values[name] for name, path in PATHS.items() if name in moved}
    if "climate" in moved:
        sample = read_case(sample_file(str(values["climate"]), folder))
        changes |= {table: sample.stated[table] for table in ("site", "weather")}
        changes |= {f"hot_water.{key}": sample.stated["hot_water"].get(key) for key in COLD_FEED}
    for part in (stove_changes, _loss, _fuel, _boiler, _machine, _cylinder, _draws, _comfort):
        changes |= part(case, values, moved)
    changes |= price_changes(case, values, moved, folder)
    return changes | weather_changes(case, values, moved)


def _loss(case: Case, values: Values, moved: set[str]) -> Changes:
    by_fuel = values["know"] == "fuel"
    if by_fuel and moved & {"know", "fuel_amount", "fuel_unit", "fuel_kind"}:
        return {"home.loss": {"fuel_amount": values["fuel_amount"], "fuel_unit": values["fuel_unit"]}}
    if not by_fuel and moved & {"know", "survey_kw", "survey_c"}:
        surveyed = {"design_kw": values["survey_kw"], "design_outdoor_c": values["survey_c"]}
        return {"home.loss": {**surveyed, "design_indoor_c": SURVEY_INDOOR_C}}
    return {}


def _fuel(case: Case, values: Values, moved: set[str]) -> Changes:
    asked = {"fuel_kind", "fuel_unit", "kwh_per_unit", "fuel_price", "fuel_standing"}
    if not moved & asked:
        return {}
    kind = values["fuel_kind"]
    if kind == "electricity":
        return {"fuel": None} | {"fuel.kind": kind}
    changed: Changes = {
        "fuel.kind": kind, "fuel.unit": values["fuel_unit"], "fuel.kwh_per_unit": values["kwh_per_unit"],
        "fuel.price_per_unit": values["fuel_price"], "fuel.standing_per_day": values["fuel_standing"],
    }  # fmt: skip
    return ({"fuel": None} if "fuel_kind" in moved else {}) | changed


def _boiler(case: Case, values: Values, moved: set[str]) -> Changes:
    changes: Changes = {}
    if "fuel_kind" in moved:
        made = FUELS[str(values["fuel_kind"])]
        changes["boiler.space_efficiency"] = made.space_efficiency
        changes["boiler.water_efficiency"] = made.water_efficiency
        if values["fuel_kind"] == "electricity":
            changes |= {"boiler.pump_w": 0.0, "boiler.standby_w": 0.0}
    if moved & {"lived", "lived_c"} or (moved & COMFORT and case.boiler is not None and not case.boiler.as_operated):
        changes["boiler.as_operated"] = lived(values)
    return changes


def _machine(case: Case, values: Values, moved: set[str]) -> Changes:
    if "capacity_kw" not in moved:
        return {}
    assert case.heat_pump is not None  # made whole
    found = sized(case.heat_pump, float(values["capacity_kw"] or 0.0))
    return {f"heat_pump.{key}": value for key, value in found.items()}


def _cylinder(case: Case, values: Values, moved: set[str]) -> Changes:
    changes: Changes = {}
    if "volume_l" in moved:
        loss = case.hot_water.standing_loss_w
        if loss is not None:
            larger = float(values["volume_l"] or 0.0) / case.hot_water.volume_l
            changes["hot_water.standing_loss_w"] = round(loss * larger**SURFACE, 1)
    if "cylinder" in moved:
        _, coil_m2, loss_class, _ = CYLINDERS[str(values["cylinder"])]
        changes.pop("hot_water.standing_loss_w", None)
        changes |= {"hot_water.coil_area_m2": coil_m2, "hot_water.loss_class": loss_class}
    return changes


def _draws(case: Case, values: Values, moved: set[str]) -> Changes:
    if not moved & {"people", "draws"}:
        return {}
    return {"hot_water.litres_per_day_at_40": LITRES_EACH[str(values["draws"])] * float(values["people"] or 0.0)}


def _comfort(case: Case, values: Values, moved: set[str]) -> Changes:
    """Needed comfort, and what the controller then holds."""
    if not moved & COMFORT:
        return {}
    made = held(values)
    return {f"{table}.{key}": value for table, keys in made.items() for key, value in keys.items()}
