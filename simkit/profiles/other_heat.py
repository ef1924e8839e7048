"""Heat beside the heating in: a stove, collectors, an electric heater; what they give rooms and water in each step out.

A stove and a heater are used in their hours and months, the more the colder the day; over the year they use what is
stated, whatever the weather. Collectors warm the water of the day before the heating does, and no more than is drawn.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from simkit.arrays import Floats
from simkit.case.case import Case
from simkit.case.heating.other_heat import Beside, RoomHeater, SolarThermal, Stove
from simkit.case.home.site import Site
from simkit.kept.disk import on_disk
from simkit.kept.memory import memo
from simkit.profiles.car import DAYS
from simkit.solar.sun import plane_w_m2

WARM_DAY_C = 15.0  # own: nobody lights a fire on a day that is warmer, while there are colder ones
OF_THE_SUN = 0.35  # common practice: of the sun on collectors for hot water, pipes and store taken off
OF_THE_DRAW = 0.95  # own: of a day's hot water, at most; the last kelvins are the heating's


def used_kw(beside: Beside, kwh: float, weather: Any) -> Floats:
    """A year's energy over the hours in which it is used, by how cold the day is, (steps,) [kW]."""
    axis = weather.axis
    weight = axis.window(beside.start, beside.end, weekdays=DAYS[beside.days], months=beside.months)
    outdoor = weather.frame["outdoor_c"].to_numpy()
    mean = np.bincount(axis.day, weights=outdoor) / np.bincount(axis.day)
    by_cold = weight * np.maximum(WARM_DAY_C - mean, 0.0)[axis.day]
    weight = by_cold if by_cold.any() else weight
    return weight * (kwh / (float(weight.sum()) * axis.hours))


@memo
def stove_kw(stove: Stove | None, weather: Any) -> Floats:
    """Heat of the stove that the home uses, (steps,) [kW]; zero where there is none any more."""
    if stove is None or not stove.goes_on:
        return np.zeros(weather.axis.steps)
    return used_kw(stove, stove.heat_kwh, weather)


@memo
def room_heater_kw(heater: RoomHeater | None, weather: Any) -> Floats:
    """Electricity and heat of the heater in one room, (steps,) [kW]; zero where there is none any more."""
    if heater is None or not heater.goes_on:
        return np.zeros(weather.axis.steps)
    return used_kw(heater, heater.kwh, weather)


@memo
@on_disk
def _sun_kwh(solar: SolarThermal, site: Site, weather: Any) -> Floats:
    """What the sun brings on a square metre of the collectors on each day, (days,) [kWh/m²]."""
    axis = weather.axis
    plane = plane_w_m2(weather, site, solar.tilt_deg, solar.azimuth_deg)
    return np.asarray(np.bincount(axis.day, weights=plane) * axis.hours / 1000.0)


def left_to_heat(solar: SolarThermal | None, site: Site, weather: Any, draw_kw: Floats) -> Floats:
    """Hot water that is left to the heating, (steps,) [kW], of what is drawn.

    Collectors whose heat was metered give that much, shared out over the days by their sun; of others it is a share of
    the sun on them. No day gives more than `OF_THE_DRAW` of its own draws.
    """
    if solar is None or not solar.goes_on or not draw_kw.any():
        return draw_kw
    axis, sun = weather.axis, _sun_kwh(solar, site, weather)
    drawn: Floats = np.asarray(np.bincount(axis.day, weights=draw_kw) * axis.hours)
    most = OF_THE_DRAW * drawn
    if solar.area_m2 is not None:
        given = np.minimum(OF_THE_SUN * solar.area_m2 * sun, most)
    else:
        given = _sharing(sun, most, float(solar.heat_kwh or 0.0))
    return draw_kw * (1.0 - given / np.where(drawn > 0.0, drawn, 1.0))[axis.day]


def _sharing(sun: Floats, most: Floats, wanted: float) -> Floats:
    """Heat of each day in proportion to its sun, no day above its most, that adds up to what is wanted, or to all."""
    days = sun > 0.0
    low, high = 0.0, float((most[days] / sun[days]).max(initial=0.0))
    for _ in range(60):
        middle = (low + high) / 2.0
        enough = float(np.minimum(middle * sun, most).sum()) >= wanted
        low, high = (low, middle) if enough else (middle, high)
    return np.minimum(high * sun, most)


def rooms_kw(case: Case, weather: Any) -> Floats:
    """Heat that stove and heater give the home, (steps,) [kW]."""
    return _both(case.stove, case.room_heater, weather)


@memo
def _both(stove: Stove | None, heater: RoomHeater | None, weather: Any) -> Floats:
    return stove_kw(stove, weather) + room_heater_kw(heater, weather)


def gives(case: Case) -> bool:
    """Whether anything in a case gives heat beside the heating."""
    return any(one is not None and one.goes_on for one in (case.stove, case.solar_thermal, case.room_heater))


def beside_then(before: Case) -> dict[str, object]:
    """What to change in a case so that it has the air and the heat beside the heating of the year of the fuel.

    Whichever home of a street it is, its fuel says the same of it.
    """
    found: dict[str, object] = {"ventilation": None} if before.ventilation is not None else {}
    for name in ("stove", "solar_thermal", "room_heater"):
        part = getattr(before, name)
        if part is not None:
            found |= {f"{name}.goes_on": True} if part.in_fuel_year else {name: None}
    if before.household.home_number is not None:
        found["household.home_number"] = None
    return found
