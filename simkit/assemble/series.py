"""A case on its weather and prices in; every series of the home by the kernel's names out.

Everything costly is memoised on the frozen part of the case it comes from, so that homes that share a series share the
very array.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.building import fans_kw
from simkit.assemble.electricity import (
    battery_series,
    car_series,
    gains_kw,
    household_series,
    panels_kw,
    usual_home,
)
from simkit.assemble.machine import machine_map
from simkit.assemble.rooms import rooms_bend
from simkit.assemble.schedule import inside, temperature_c
from simkit.assemble.water import water_series
from simkit.billing.signal import PriceSignal
from simkit.case.case import Case
from simkit.case.heating.controls import Period
from simkit.case.heating.heat_pump import HeatPump
from simkit.case.heating.hot_water import HotWater
from simkit.case.home.household import Household
from simkit.case.home.site import Site
from simkit.clock import TimeAxis
from simkit.errors import DataError, Fault
from simkit.kept.memory import memo
from simkit.kernel.prepare import curve, defrost
from simkit.physics.heat_pump import KNOTS
from simkit.profiles.absence import drawn_share, lowered_c, somebody_there
from simkit.profiles.one_home import drawn_kwh, draws_differ
from simkit.profiles.other_heat import gives, left_to_heat, room_heater_kw, rooms_kw
from simkit.profiles.water import cold_water_c, draw_kwh
from simkit.solar.sun import window_gain_kw
from simkit.weather.record import Weather

DEFROST_DEPTH = 0.16  # own: 3.5 to 6 % of a season in damp maritime climates


@dataclass(frozen=True, eq=False)
class Setting:
    """What surrounds a home in one run: its time axis, weather, prices and the folder its files are relative to."""

    axis: TimeAxis
    weather: Weather
    signal: PriceSignal
    folder: Path

    def __post_init__(self) -> None:
        """Refuse weather by other steps than the run has: its values would be taken for those of other hours."""
        given, wanted = self.weather.axis, self.axis
        if (given.steps, given.step_minutes) != (wanted.steps, wanted.step_minutes):
            fault = Fault(
                "weather",
                f"{given.steps:,} steps of {given.step_minutes} minutes",
                f"can't be joined with a year of {wanted.steps:,} steps of {wanted.step_minutes} minutes",
                "Make the weather on the axis of the run",
            )
            raise DataError(fault)


def home_series(case: Case, setting: Setting, seed: int = 0) -> dict[str, Floats]:
    """Every series of the home, (steps,) each, by the kernel's names.

    `seed` is the number of its household where that is drawn as one home; 0 takes its own, or the most usual of them.
    """
    axis, weather = setting.axis, setting.weather
    series: dict[str, Floats] = {"outdoor_c": _column(weather, "outdoor_c")}
    series |= machine_series(case.heat_pump, weather) if case.heat_pump else _no_machine(weather)
    controls = case.controls
    exponent = 1.0 if controls.straight or controls.slope is not None else rooms_bend(case)
    zero = controls.curve_zero_c(case.comfort.warmest_c)
    shares = _curve(weather, zero, case.site.design_outdoor_c, exponent)
    series["curve_share"], series["curve_shape"] = shares
    series["heating_season"] = _season(weather, controls.heating_limit_c)
    series["solar_gain_kw"] = _window_gain(weather, case.site, case.home.window)
    series["internal_gain_kw"] = gains_kw(case.household, axis, setting.folder, case.site, seed)
    held = case.boiler.as_operated if case.as_operated and case.boiler and case.boiler.as_operated else controls
    needed = case.comfort.periods, case.comfort.setback_c
    series["set_point_c"] = temperature_c(held.periods, held.setback_c, axis)
    series["needed_c"] = temperature_c(*needed, axis)
    series["occupied"] = inside(case.comfort.periods, axis)
    series["draw_kw"] = _drawn_kw(case, setting, seed)
    series["cold_water_c"] = _draws(case.hot_water, axis, case.site.latitude_deg < 0)[1]
    if not case.household.usual:
        series |= _on_other_days(case.household, axis, ((held.periods, held.setback_c), needed))
    series["household_kw"] = household_series(case.household, axis, setting.folder, case.site, seed)
    if fans_kw(case):
        series["household_kw"] = series["household_kw"] + fans_kw(case)
    if gives(case):
        series |= _beside(case, weather, series)
    series |= water_series(case.hot_water, axis, case.heat_source == "boiler")
    series["car_kw"] = car_series(case.car, axis, setting.signal) if case.car else constant(axis)
    given, cut = panels_kw(case.solar, case.site, weather) if case.solar else (constant(axis), constant(axis))
    behind = case.battery is not None and case.battery.coupling == "dc"
    series["solar_kw"], series["clipped_kw"] = given, cut if behind else constant(axis)
    series |= battery_series(case.battery, setting.signal)
    return series


def _beside(case: Case, weather: Weather, series: dict[str, Floats]) -> dict[str, Floats]:
    """What a stove, collectors and a heater in one room change."""
    return {
        "internal_gain_kw": series["internal_gain_kw"] + rooms_kw(case, weather),
        "household_kw": series["household_kw"] + room_heater_kw(case.room_heater, weather),
        "draw_kw": left_to_heat(case.solar_thermal, case.site, weather, series["draw_kw"]),
    }


@memo
def _on_other_days(
    household: Household, axis: TimeAxis, asked: tuple[tuple[tuple[Period, ...], float], ...]
) -> dict[str, Floats]:
    """What is asked of rooms where nobody is at home on some days.

    `asked` are periods and set-back that are held, and those that are needed.
    """
    held, needed = (temperature_c(*one, axis) for one in asked)
    return {
        "set_point_c": lowered_c(held, household, axis, held=True),
        "needed_c": lowered_c(needed, household, axis, held=False),
        "occupied": inside(asked[1][0], axis) * somebody_there(household, axis),
    }


def beside_kwh(case: Case, setting: Setting) -> dict[str, float]:
    """What gives heat beside the heating or holds it back, by name [kWh].

    ``stove_heat``, ``stove_fuel``, ``collectors``, ``heater`` and ``fans``, each where there is one.
    """
    axis, found = setting.axis, {}
    if case.lit is not None:
        found = {"stove_heat": case.lit.heat_kwh, "stove_fuel": case.lit.fuel_kwh}
    if case.solar_thermal is not None and case.solar_thermal.goes_on:
        drawn = _drawn_kw(case, setting)
        left = left_to_heat(case.solar_thermal, case.site, setting.weather, drawn)
        found["collectors"] = float((drawn - left).sum()) * axis.hours
    if case.room_heater is not None and case.room_heater.goes_on:
        found["heater"] = case.room_heater.kwh
    if fans_kw(case):
        found["fans"] = fans_kw(case) * axis.steps * axis.hours
    return found


def _drawn_kw(case: Case, setting: Setting, seed: int = 0) -> Floats:
    """Hot water drawn, (steps,) [kW]: every day alike, or as one home draws it; `seed` as of `home_series`."""
    household, number = case.household, 0
    if draws_differ(case):
        number = seed or usual_home(setting.axis, case.site, household)
    elif household.usual:
        return _draws(case.hot_water, setting.axis, case.site.latitude_deg < 0)[0]
    return _drawn_by(household, setting.axis, case.hot_water, case.site.latitude_deg < 0, number)


@memo
def _drawn_by(household: Household, axis: TimeAxis, water: HotWater, southern: bool, number: int) -> Floats:
    """The same by the household of a number, or by the mean of many, 0."""
    mean = _draws(water, axis, southern)[0]
    if not household.usual:
        mean = mean * drawn_share(household, axis)
    return drawn_kwh(mean * axis.hours, axis, number) / axis.hours if number else mean


@memo
def constant(axis: TimeAxis, value: float = 0.0) -> Floats:
    """A series of one value, or of nothing, (steps,)."""
    return np.full(axis.steps, value)


@memo
def _column(weather: Weather, name: str) -> Floats:
    return np.ascontiguousarray(weather.frame[name].to_numpy(), dtype=np.float64)


@memo
def _no_machine(weather: Weather) -> dict[str, Floats]:
    """Rows of a home without a heat pump: it makes no heat."""
    nothing, some = constant(weather.axis), constant(weather.axis, 0.3)
    rows = {f"efficiency_{k}": some for k in range(KNOTS)} | {f"capacity_{k}_kw": nothing for k in range(KNOTS)}
    rows |= {f"minimum_modulation_{k}": some for k in range(KNOTS)}
    return {"source_c": _column(weather, "outdoor_c")} | rows


@memo
def machine_series(machine: HeatPump, weather: Weather) -> dict[str, Floats]:
    """Efficiency and capacity at the five knots, and the source temperature, in each step of this weather.

    Returns
    -------
    dict
        ``source_c`` [°C], ``efficiency_0`` to ``efficiency_4`` [-], ``capacity_0_kw`` to ``capacity_4_kw`` [kW],
        ``minimum_modulation_0`` to ``minimum_modulation_4`` [-], (steps,) each.
    """
    made = machine_map(machine)
    outdoor = weather.frame["outdoor_c"].to_numpy()
    source = outdoor if machine.source == "air" else _other_source(machine, outdoor)
    factor = np.ones(len(outdoor))
    if machine.source == "air" and machine.points_hold is not None and "defrost" not in machine.points_hold:
        factor = defrost(outdoor, weather.frame["humidity"].to_numpy(), DEFROST_DEPTH)
    runs = outdoor >= machine.lowest_outdoor_c if machine.source == "air" else np.ones(len(outdoor), dtype=bool)
    series: dict[str, Floats] = {"source_c": np.ascontiguousarray(source)}
    for k in range(KNOTS):
        series[f"efficiency_{k}"] = np.interp(source, made.sources_c, made.efficiency[:, k]) * factor
        series[f"capacity_{k}_kw"] = np.interp(source, made.sources_c, made.capacity_kw[:, k]) * factor * runs
        series[f"minimum_modulation_{k}"] = np.interp(source, made.sources_c, made.minimum_modulation[:, k])
    return series


def _other_source(machine: HeatPump, outdoor: Floats) -> Floats:
    """Ground or constant source: the stated mean; ground follows a fifth of the outdoor year, smoothed over 60 days."""
    mean = float(machine.source_c or 0.0)
    if machine.source == "constant":
        return np.full(len(outdoor), mean)
    window = max(1, round(len(outdoor) * 60 / 365))
    wrapped = np.concatenate([outdoor[-window:], outdoor])
    smooth = np.convolve(wrapped, np.full(window, 1.0 / window), mode="valid")[: len(outdoor)]
    return mean + 0.2 * (smooth - outdoor.mean())


@memo
def _curve(weather: Weather, heating_limit_c: float, design_outdoor_c: float, exponent: float) -> tuple[Floats, Floats]:
    return curve(_column(weather, "outdoor_c"), heating_limit_c, design_outdoor_c, exponent)


@memo
def _season(weather: Weather, heating_limit_c: float) -> Floats:
    """Where the mean of the last 24 hours outdoors lies under the heating limit (own; controllers damp by a day or so).

    A cool summer night does not start the heating. The first day looks back to the end of the year.
    """
    outdoor = _column(weather, "outdoor_c")
    day = round(24.0 / weather.axis.hours)
    sums = np.cumsum(np.concatenate([outdoor[-day:], outdoor]))
    return ((sums[day:] - sums[:-day]) / day < heating_limit_c).astype(np.float64)


@memo
def _window_gain(weather: Weather, site: Site, windows: tuple[object, ...]) -> Floats:
    return np.ascontiguousarray(window_gain_kw(weather, site, windows))


@memo
def _draws(water: HotWater, axis: TimeAxis, southern: bool) -> tuple[Floats, Floats]:
    """Draws [kW, mean over the step] and cold feed [°C]; nothing is drawn of what something else heats."""
    drawn = constant(axis) if water.heated_by == "something else" else draw_kwh(axis, water, southern=southern)
    return drawn / axis.hours, cold_water_c(axis, water, southern=southern)
