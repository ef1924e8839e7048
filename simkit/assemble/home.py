"""A validated case on its weather and prices in; one home's inputs for the kernel out, as stated or as sampled.

Everything dear is memoised on the frozen part of the case it comes from, so that a slider recomputes only what it
moved, and homes that share a series share the very array.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.battery_fill import fill_by_weather
from simkit.assemble.building import CERTIFICATE_BASE_C, Shell, shell, stated_loss_w_per_k
from simkit.assemble.electricity import (
    NO_LIMIT_KW,
    battery_constants,
    battery_series,
    car_series,
    gains_kw,
    household_series,
    panels_kw,
)
from simkit.assemble.machine import machine_map, machine_series
from simkit.assemble.room_limits import room_lines
from simkit.assemble.rooms import check_rooms, design_flow_c, least_rating_kw, room_set, rooms_bend
from simkit.assemble.schedule import inside, temperature_c
from simkit.assemble.water import Store, store, water_series
from simkit.billing.signal import PriceSignal
from simkit.case.build import Case
from simkit.case.heating.hot_water import HotWater
from simkit.case.home.site import Site
from simkit.clock import TimeAxis
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.prepare import cheaper_by_boiler, curve
from simkit.physics.building import INTERNAL_GAIN_TO_AIR, SOLAR_GAIN_TO_AIR
from simkit.physics.emitters import excess_for_k, first_guess, relative_output
from simkit.physics.heat_pump import KNOTS
from simkit.physics.records import Home, State
from simkit.profiles.water import cold_water_c, draw_kwh
from simkit.solar.sun import window_gain_kw
from simkit.weather.record import Weather

NEVER_C = -1e6
BOILER_WATER_FLOW_C = 75.0  # common practice: hotter to the cylinder than to the radiators, so that it reaches 60 °C
BOILER_RESERVE_K = 10.0  # own: radiators were sized with reserve under the boiler's flow

NO_MACHINE: dict[str, float] = {  # stands in for a heat pump: nothing runs on it
    **{f"knot_{k}_c": 35.0 for k in range(KNOTS - 1)}, **{f"per_span_{k}": 0.0 for k in range(KNOTS - 1)},
    "least_lift_k": 15.0, "cycling_degradation": 1.0, "part_load_gain": 0.0, "highest_flow_c": 60.0, "pump_kw": 0.0,
    "standby_kw": 0.0, "backup_kw": 0.0, "backup_below_c": NEVER_C,
}  # fmt: skip


@dataclass(frozen=True, eq=False)
class Setting:
    """What surrounds a home in one run: its time axis, weather, prices and the folder its files are relative to."""

    axis: TimeAxis
    weather: Weather
    signal: PriceSignal
    folder: Path


@dataclass(frozen=True)
class Adjustment:
    """How one sampled home differs from the home as stated.

    Attributes
    ----------
    efficiency
        Factor on the heat pump's COP (installation, ageing).
    set_point_k
        What is really held, over the set-point [K].
    boiler
        Factor on the boiler's efficiencies.
    loss
        Factor on the heat loss, where it was not found from fuel.
    draws
        Factor on the hot water drawn.
    """

    efficiency: float = 1.0
    set_point_k: float = 0.0
    boiler: float = 1.0
    loss: float = 1.0
    draws: float = 1.0


AS_STATED = Adjustment()


def heat_loss_w_per_k(case: Case, weather: Weather) -> float | None:
    """Heat loss as the case states it [W/K]; None where it is to be found from a year of fuel."""
    return stated_loss_w_per_k(case.home, _degree_hours(weather))[0]


@lru_cache(maxsize=64)
def _degree_hours(weather: Weather) -> float:
    """Degree-hours of the weather to the base that certificates are read at [K·h]."""
    outdoor = weather.frame["outdoor_c"].to_numpy()
    return float(np.maximum(CERTIFICATE_BASE_C - outdoor, 0.0).sum() * weather.axis.hours)


def home_inputs(case: Case, setting: Setting, loss_w_per_k: float, adjustment: Adjustment = AS_STATED) -> HomeInputs:
    """Describe one home to the kernel.

    Parameters
    ----------
    case
        The home, validated.
    setting
        Its axis, weather and prices.
    loss_w_per_k
        Steady heat loss as stated or found [W/K]; `adjustment.loss` is applied to it here.
    adjustment
        How a sampled home differs.
    """
    if adjustment is AS_STATED:
        check_rooms(case, loss_w_per_k)
    house = shell(case.home, loss_w_per_k * adjustment.loss, case.emitters.mass_share, setting.axis.hours)
    values: dict[str, float] = dict(house.response._asdict())
    values |= _building_constants(case, house)
    values |= _emitter_constants(case, house)
    values |= _machine_constants(case, adjustment)
    values |= _boiler_constants(case, adjustment)
    values |= _water_constants(case, setting.axis.hours, adjustment)
    values |= battery_constants(case.battery, case.solar)
    limit = case.solar.export_limit_kw if case.solar else None
    values["export_limit_kw"] = NO_LIMIT_KW if limit is None else limit
    values["tolerance_k"], values["over_c"] = case.comfort.tolerance_k, case.comfort.over_c
    series = home_series(case, setting)
    if case.battery is not None and case.battery.fill_by != "share":
        series["charge_to"] = fill_by_weather(
            case.battery, setting.signal, series, values, loss_w_per_k=house.loss_w_per_k, hours=setting.axis.hours
        )
    home = Home(**values)
    series["by_boiler"] = _by_boiler(case, setting, home, series)
    held = float(series["set_point_c"][0])
    start = State(
        held, held - 1.0, case.hot_water.target_c, case.hot_water.target_c, 1.0, 0.0, values["reserve_kwh"], np.inf,
        0.0, 0.0, 0.0,
    )  # fmt: skip
    return HomeInputs(home, start, series)


def home_series(case: Case, setting: Setting) -> dict[str, Floats]:
    """Every series of the home, (steps,) each, by the kernel's names."""
    axis, weather = setting.axis, setting.weather
    series: dict[str, Floats] = {"outdoor_c": _column(weather, "outdoor_c")}
    series |= _machine_rows(case, weather)
    controls = case.controls
    exponent = 1.0 if controls.straight or controls.slope is not None else rooms_bend(case)
    zero = controls.curve_zero_c(design_room_c(case))
    shares = _curve(weather, zero, case.site.design_outdoor_c, exponent)
    series["curve_share"], series["curve_shape"] = shares
    series["heating_season"] = _season(weather, controls.heating_limit_c)
    series["solar_gain_kw"] = _window_gain(weather, case.site, case.home.window)
    series["internal_gain_kw"] = gains_kw(case.household, axis, setting.folder, case.site.country)
    held = case.boiler.as_operated if case.as_operated and case.boiler and case.boiler.as_operated else controls
    series["set_point_c"] = temperature_c(held.periods, held.setback_c, axis)
    series["needed_c"] = temperature_c(case.comfort.periods, case.comfort.setback_c, axis)
    series["occupied"] = inside(case.comfort.periods, axis)
    series["draw_kw"], series["cold_water_c"] = _draws(case.hot_water, axis, case.site.latitude_deg < 0)
    series |= water_series(case.hot_water, axis, case.heat_source == "boiler")
    series["household_kw"] = household_series(case.household, axis, setting.folder, case.site.country)
    series["car_kw"] = car_series(case.car, axis, setting.signal) if case.car else _zeros(axis)
    given, cut = panels_kw(case.solar, case.site, weather) if case.solar else (_zeros(axis), _zeros(axis))
    behind = case.battery is not None and case.battery.coupling == "dc"
    series["solar_kw"], series["clipped_kw"] = given, cut if behind else _zeros(axis)
    series |= battery_series(case.battery, setting.signal)
    return series


@lru_cache(maxsize=64)
def _zeros(axis: TimeAxis) -> Floats:
    return np.zeros(axis.steps)


@lru_cache(maxsize=64)
def _ones(axis: TimeAxis) -> Floats:
    return np.ones(axis.steps)


@lru_cache(maxsize=64)
def _column(weather: Weather, name: str) -> Floats:
    return np.ascontiguousarray(weather.frame[name].to_numpy(), dtype=np.float64)


@lru_cache(maxsize=64)
def _no_machine(weather: Weather) -> dict[str, Floats]:
    """Rows of a home without a heat pump: it makes no heat."""
    zeros, some = _zeros(weather.axis), np.full(weather.axis.steps, 0.3)
    rows = {f"efficiency_{k}": some for k in range(KNOTS)} | {f"capacity_{k}_kw": zeros for k in range(KNOTS)}
    rows |= {f"minimum_modulation_{k}": some for k in range(KNOTS)}
    return {"source_c": _column(weather, "outdoor_c")} | rows


def _machine_rows(case: Case, weather: Weather) -> dict[str, Floats]:
    return machine_series(case.heat_pump, weather) if case.heat_pump else _no_machine(weather)


@lru_cache(maxsize=64)
def _curve(weather: Weather, heating_limit_c: float, design_outdoor_c: float, exponent: float) -> tuple[Floats, Floats]:
    return curve(_column(weather, "outdoor_c"), heating_limit_c, design_outdoor_c, exponent)


@lru_cache(maxsize=64)
def _season(weather: Weather, heating_limit_c: float) -> Floats:
    """Where the mean of the last 24 hours outdoors lies under the heating limit (own; controllers damp by a day or so).

    A cool summer night does not start the heating. The first day looks back to the end of the year.
    """
    outdoor = _column(weather, "outdoor_c")
    day = round(24.0 / weather.axis.hours)
    sums = np.cumsum(np.concatenate([outdoor[-day:], outdoor]))
    return ((sums[day:] - sums[:-day]) / day < heating_limit_c).astype(np.float64)


@lru_cache(maxsize=64)
def _window_gain(weather: Weather, site: Site, windows: tuple[object, ...]) -> Floats:
    return np.ascontiguousarray(window_gain_kw(weather, site, windows))


@lru_cache(maxsize=64)
def _draws(water: HotWater, axis: TimeAxis, southern: bool) -> tuple[Floats, Floats]:
    """Draws [kW, mean over the step] and cold feed [°C]."""
    return draw_kwh(axis, water, southern=southern) / axis.hours, cold_water_c(axis, water, southern=southern)


def design_room_c(case: Case) -> float:
    """Room temperature that curve and emitters are designed for [°C]: the warmest needed."""
    return case.comfort.warmest_c


def design_load_kw(case: Case, loss_w_per_k: float) -> float:
    """Heat needed on the design day, gains left out [kW]."""
    return loss_w_per_k / 1000.0 * (design_room_c(case) - case.site.design_outdoor_c)


def emitter_rating_kw(case: Case, loss_w_per_k: float) -> float:
    """Output of the emitters at 50 K above the room [kW]: stated, or what meets the design load at the stated flow.

    With a boiler the radiators are not what limits the home: there they meet the design load `BOILER_RESERVE_K` below
    the boiler's flow, whatever emitters the heat pump is planned with. So the same house burns the same fuel in every
    option.
    """
    emitters = case.emitters
    by_boiler = case.heat_source == "boiler" and case.boiler is not None
    if case.room and not by_boiler:
        return sum(room.at_50_kw for room in case.room)
    if emitters.rated_kw is not None and not by_boiler:
        return emitters.rated_kw
    flow = float(emitters.sized_for_flow_c or 0.0)
    if by_boiler and case.boiler is not None:
        flow = case.boiler.flow_c - BOILER_RESERVE_K
    excess = max(flow - 0.5 * emitters.water_difference_k - design_room_c(case), 1.0)
    return float(design_load_kw(case, loss_w_per_k) / relative_output(excess, emitters.exponent))


def _building_constants(case: Case, house: Shell) -> dict[str, float]:
    share, exact = case.emitters.mass_share, house.response
    return {
        "air_side_kw_per_k": house.air_side_kw_per_k,
        "fabric_side_kw_per_k": house.fabric_side_kw_per_k,
        "internal_to_air": INTERNAL_GAIN_TO_AIR,
        "solar_to_air": SOLAR_GAIN_TO_AIR,
        "open_windows_above_c": case.home.open_windows_above_c,
        "open_window_kw_per_k": house.open_window_kw_per_k,
        "per_end_aqa": 1.0 / exact.end_aqa,
        "per_end_by_emitter": 1.0 / ((1.0 - share) * exact.end_aqa + share * exact.end_aqf),
    }


def _emitter_constants(case: Case, house: Shell) -> dict[str, float]:
    emitters, controls, exact, share = case.emitters, case.controls, house.response, case.emitters.mass_share
    rated, load = emitter_rating_kw(case, house.loss_w_per_k), design_load_kw(case, house.loss_w_per_k)
    water = load / emitters.water_difference_k
    bend, flow_c = rooms_bend(case), design_flow_c(case, house.loss_w_per_k)
    needed_k = excess_for_k(load / rated, bend)  # mean water over the room at the design load
    design_k = flow_c - 0.5 * emitters.water_difference_k - design_room_c(case)
    least_rated = rated
    if case.room and case.heat_source != "boiler":
        least_rated = least_rating_kw(room_set(case, house.loss_w_per_k), load, design_room_c(case), bend)
    least_k = excess_for_k(load / least_rated, bend)
    warming = (1.0 - share) * exact.mean_aqa + share * exact.mean_aqf
    return {
        "rated_kw": rated,
        "per_rated_kw": 1.0 / least_rated,
        "exponent": bend,
        "inverse_exponent": 1.0 / bend,
        "emitter_mass_share": emitters.mass_share,
        "per_water_kw_per_k": 1.0 / water,
        "water_difference_k": emitters.water_difference_k,
        "flow_fixed": float(controls.flow == "fixed"),
        "flow_least": float(controls.flow == "least"),
        "design_flow_c": flow_c,
        # the least flow is held under the curve that the emitters themselves need
        "design_excess_k": least_k if controls.flow == "least" else design_k,
        "first_share": first_guess(needed_k, load, 0.5 / water + warming),
        "floor_c": controls.floor_c,
        "ceiling_c": controls.ceiling_c,
        "recovery_lift_k": controls.recovery_lift_k,
        "room_influence": controls.room_influence,
        "buffer_pump_kw": controls.buffer_pump_w / 1000.0,
        "mixing_penalty_k": controls.mixing_penalty_k,
    } | _room_lines(case, house.loss_w_per_k)


def _room_lines(case: Case, loss_w_per_k: float) -> dict[str, float]:
    """Lines under which the heat of single rooms lies, five of each; of a house without rooms all emitters' own."""
    shares, slopes = room_lines(case, loss_w_per_k)
    named = [(f"room_share_{k}", share) for k, share in enumerate(shares)]
    return dict(named + [(f"room_slope_{k}", slope) for k, slope in enumerate(slopes)])


def _machine_constants(case: Case, adjustment: Adjustment) -> dict[str, float]:
    shift, machine = {"set_point_shift_k": adjustment.set_point_k}, case.heat_pump
    if machine is None:
        return shift | NO_MACHINE | {"efficiency_scale": adjustment.efficiency}
    made = machine_map(machine)
    values = {f"knot_{k}_c": float(made.flows_c[k]) for k in range(KNOTS - 1)}
    values |= {f"per_span_{k}": float(1.0 / d) if d > 0 else 0.0 for k, d in enumerate(np.diff(made.flows_c))}
    running = float(case.heat_source != "boiler")
    held_pump = "pump" in (machine.points_hold or ())
    return values | shift | {
        "least_lift_k": made.least_lift_k,
        "efficiency_scale": machine.efficiency_scale * adjustment.efficiency,
        "cycling_degradation": machine.cycling_degradation,
        "part_load_gain": made.part_load_gain,
        "highest_flow_c": machine.highest_flow_c,
        "pump_kw": 0.0 if held_pump else running * machine.pump_w / 1000.0,
        "standby_kw": running * machine.standby_w / 1000.0,
        "backup_kw": running * machine.backup_kw,
        "backup_below_c": machine.backup_below_c,
    }  # fmt: skip


def _boiler_constants(case: Case, adjustment: Adjustment) -> dict[str, float]:
    boiler, fuel = case.boiler, case.fuel
    stands_by = boiler is not None and case.heat_source != "heat_pump"
    space = min((boiler.space_efficiency if boiler else 1.0) * adjustment.boiler, 1.0)
    water = min((boiler.water_efficiency if boiler else 1.0) * adjustment.boiler, 1.0)
    return {
        "boiler_kw": boiler.capacity_kw if boiler else 0.0,
        "boiler_flow_c": boiler.flow_c if boiler else 60.0,
        "boiler_water_flow_c": max(boiler.flow_c, BOILER_WATER_FLOW_C) if boiler else BOILER_WATER_FLOW_C,
        "per_space_efficiency": 1.0 / space,
        "per_water_efficiency": 1.0 / water,
        "boiler_pump_kw": boiler.pump_w / 1000.0 if boiler else 0.0,
        "boiler_standby_kw": boiler.standby_w / 1000.0 if boiler and stands_by else 0.0,
        "fuel_is_electric": float(fuel is not None and fuel.kind == "electricity"),
    }


def _by_boiler(case: Case, setting: Setting, home: Home, series: dict[str, Floats]) -> Floats:
    """Where the step's heat comes from the boiler, (steps,) [0 or 1]: always, never, or as the hybrid chooses.

    A hybrid takes the boiler below its stated outdoor temperature, where the machine stops for cold, and (where it goes
    by price) where a kWh from the boiler costs less than one from the machine on its curve at full load.
    """
    if case.heat_source != "hybrid" or not (case.hybrid and case.boiler and case.heat_pump):
        return _ones(setting.axis) if case.heat_source == "boiler" else _zeros(setting.axis)
    stops = case.heat_pump.lowest_outdoor_c if case.heat_pump.source == "air" else NEVER_C
    cold = series["outdoor_c"] < max(case.hybrid.boiler_below_c, stops)
    if not (case.hybrid.by_price and case.fuel):
        return cold.astype(np.float64)
    per_kwh = case.fuel.price_per_unit / case.fuel.kwh_per_unit * home.per_space_efficiency
    return np.maximum(cold, cheaper_by_boiler(home, series, setting.signal.import_per_kwh, per_kwh))


def _water_constants(case: Case, hours: float, adjustment: Adjustment) -> dict[str, float]:
    water = case.hot_water
    highest = case.heat_pump.highest_flow_c if case.heat_pump else 60.0
    if case.boiler and (case.heat_source == "boiler" or not case.heat_pump):
        highest = max(case.boiler.flow_c, BOILER_WATER_FLOW_C)
    made: Store = store(water, highest, case.emitters.water_difference_k, hours)
    return {
        "water_highest_flow_c": highest if water.highest_flow_c is None else min(highest, water.highest_flow_c),
        "cylinder_kwh_per_k": made.kwh_per_k,
        "per_cylinder_kwh_per_k": 1.0 / made.kwh_per_k,
        "cylinder_decay": made.decay,
        "cylinder_loss_to_rooms": water.loss_to_rooms,
        "coil_kw_per_k": made.coil_kw_per_k,
        "per_coil_kw_per_k": 1.0 / made.coil_kw_per_k,
        "hysteresis_k": water.hysteresis_k,
        "sensor_height": water.sensor_height,
        "use_c": water.use_c,
        "draw_scale": adjustment.draws,
        "immersion_kw": water.immersion_kw,
    }
