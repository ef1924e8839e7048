"""A validated case on its weather and prices in; one home's inputs for the kernel out, as stated or as sampled.

Everything costly is memoised on the frozen part of the case it comes from, so that a slider recomputes only what it
moved, and homes that share a series share the very array.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.battery_fill import fill_by_weather
from simkit.assemble.building import Shell, air_saved_w_per_k, shell
from simkit.assemble.electricity import (
    NO_LIMIT_KW,
    battery_constants,
)
from simkit.assemble.emitters import emitter_constants
from simkit.assemble.machine import machine_map
from simkit.assemble.rooms import check_rooms
from simkit.assemble.series import Setting, constant, home_series
from simkit.assemble.water import Store, store
from simkit.case.case import Case
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.prepare import cheaper_by_boiler
from simkit.physics.building import INTERNAL_GAIN_TO_AIR, SOLAR_GAIN_TO_AIR
from simkit.physics.heat_pump import KNOTS, glycol_factor
from simkit.physics.records import Home, State
from simkit.profiles.other_heat import stove_kw

NEVER_C = -1e6
BOILER_WATER_FLOW_C = 75.0  # common practice: hotter to the cylinder than to the radiators, so that it reaches 60 °C

NO_MACHINE: dict[str, float] = {  # stands in for a heat pump: nothing runs on it
    **{f"knot_{k}_c": 35.0 for k in range(KNOTS - 1)}, **{f"per_span_{k}": 0.0 for k in range(KNOTS - 1)},
    "least_lift_k": 15.0, "tested_lift_k": 15.0, "rise_per_k": 0.0, "rise_per_k2": 0.0,
    "cycling_degradation": 1.0, "part_load_gain": 0.0, "highest_flow_c": 60.0, "pump_kw": 0.0,
    "standby_kw": 0.0, "backup_kw": 0.0, "backup_below_c": NEVER_C,
}  # fmt: skip


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
    stove
        Factor on the heat that a stove gives the home.
    household
        Number of the household where it is drawn as one home; 0 takes the most usual of them.
    """

    efficiency: float = 1.0
    set_point_k: float = 0.0
    boiler: float = 1.0
    loss: float = 1.0
    draws: float = 1.0
    stove: float = 1.0
    household: int = 0


AS_STATED = Adjustment()


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
    saved = air_saved_w_per_k(case)
    house = shell(case.home, loss_w_per_k * adjustment.loss, case.emitters.mass_share, setting.axis.hours, saved)
    values: dict[str, float] = dict(house.response._asdict())
    values |= _building_constants(case, house)
    values |= emitter_constants(case, house, setting.axis.hours)
    values |= _machine_constants(case, adjustment)
    values |= _boiler_constants(case, adjustment)
    values |= _water_constants(case, setting.axis.hours, adjustment)
    values |= battery_constants(case.battery, case.solar)
    limit = case.solar.export_limit_kw if case.solar else None
    values["export_limit_kw"] = NO_LIMIT_KW if limit is None else limit
    values["tolerance_k"], values["over_c"] = case.comfort.tolerance_k, case.comfort.over_c
    series = home_series(case, setting, adjustment.household)
    if adjustment.stove != 1.0 and case.lit is not None:
        more = (adjustment.stove - 1.0) * stove_kw(case.stove, setting.weather)
        series["internal_gain_kw"] = series["internal_gain_kw"] + more
    if case.battery is not None and case.battery.fill_by != "share":
        series["charge_to"] = fill_by_weather(
            case.battery, setting.signal, series, values, loss_w_per_k=house.loss_w_per_k, hours=setting.axis.hours
        )
    home = Home(**values)
    series["by_boiler"] = _by_boiler(case, setting, home, series)
    held = float(series["set_point_c"][0])
    start = State(
        held, held - 1.0, case.hot_water.target_c, case.hot_water.target_c, 1.0, 0.0, values["reserve_kwh"], np.inf,
        0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0,
    )  # fmt: skip
    return HomeInputs(home, start, series)


def heeds_prices(case: Case) -> bool:
    """Whether anything of a home goes by the price of electricity: else all tariffs of a step are one year."""
    return case.car is not None or case.battery is not None or (case.hybrid is not None and case.hybrid.by_price)


def _building_constants(case: Case, house: Shell) -> dict[str, float]:
    share, exact = case.emitters.mass_share, house.response
    return {
        "air_kwh_per_k": house.air_kwh_per_k,
        "fabric_kwh_per_k": house.fabric_kwh_per_k,
        "air_side_kw_per_k": house.air_side_kw_per_k,
        "fabric_side_kw_per_k": house.fabric_side_kw_per_k,
        "internal_to_air": INTERNAL_GAIN_TO_AIR,
        "solar_to_air": SOLAR_GAIN_TO_AIR,
        "open_windows_above_c": case.home.open_windows_above_c,
        "open_window_kw_per_k": house.open_window_kw_per_k,
        "per_end_aqa": 1.0 / exact.end_aqa,
        "per_end_by_emitter": 1.0 / ((1.0 - share) * exact.end_aqa + share * exact.end_aqf),
    }


def _machine_constants(case: Case, adjustment: Adjustment) -> dict[str, float]:
    shift, machine = {"set_point_shift_k": adjustment.set_point_k}, case.heat_pump
    if machine is None:
        return shift | NO_MACHINE | {"efficiency_scale": adjustment.efficiency}
    made = machine_map(machine)
    values = made.lift._asdict() | {f"knot_{k}_c": float(made.flows_c[k]) for k in range(KNOTS - 1)}
    values |= {f"per_span_{k}": float(1.0 / d) if d > 0 else 0.0 for k, d in enumerate(np.diff(made.flows_c))}
    running = float(case.heat_source != "boiler")
    return values | shift | {
        "efficiency_scale": machine.efficiency_scale * adjustment.efficiency * glycol_factor(machine.glycol_share),
        "cycling_degradation": machine.cycling_degradation,
        "part_load_gain": made.part_load_gain,
        "highest_flow_c": machine.highest_flow_c,
        # points hold the pump for the machine's own resistance only (EN 14511): that of the home's circuit is beside it
        "pump_kw": running * machine.pump_w / 1000.0,
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
        return constant(setting.axis, float(case.heat_source == "boiler"))
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
