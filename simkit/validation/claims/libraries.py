"""What general libraries give for the same thing by other code, and what the kit gives."""

from __future__ import annotations

import datetime as dt
import math
import warnings
from functools import cache
from zoneinfo import ZoneInfo

import numpy as np
from scipy import linalg, optimize, signal
from scipy.integrate import solve_ivp

from simkit.arrays import Floats
from simkit.case.build import Case
from simkit.clock import TimeAxis
from simkit.physics.building import response
from simkit.physics.constants import KWH_PER_LITRE_K
from simkit.physics.emitters import emitter_limit_kw, first_guess
from simkit.physics.law import exponential_2, logarithm_2, power
from simkit.physics.rooms import room_load_kw, steady_room_c
from simkit.solar.sun import plane_w_m2, sun_position
from simkit.validation.claim import LIBRARIES, Claim, Naive
from simkit.validation.homes import home
from simkit.weather.hours import weather_on
from simkit.weather.record import Weather
from simkit.weather.sky import heaven

HOUSE = (0.07, 0.92, 0.14, 0.8, 4.0)  # kW/K to outside, between, to outside; kWh/K of air and of fabric
START, HELD = np.array([20.5, 18.0]), np.array([-3.0, 4.0, 1.5])
BASES = np.geomspace(1e-6, 1e3, 401).tolist()
EXPONENTS = (0.5, 1 / 1.3, 0.9, 1.0, 1.1, 1.3, 1.5, 2.0)
ROOM = (-3.0, 20.0, 0.040, 0.020)  # outside, middle of the house [°C]; loss and exchange [kW/K]
RATED, PER_WATER = 1.5, 5.0 / 0.9
SHARES = np.geomspace(0.01, 2.5, 30).tolist()


def _rates() -> tuple[Floats, Floats]:
    """The two nodes' equations, dT/dt = A·T + B·(outdoor, heat to air, heat to fabric) [1/h]."""
    out, tie, side, air, fabric = HOUSE
    a = np.array([[-(out + tie) / air, tie / air], [tie / fabric, -(tie + side) / fabric]])
    return a, np.array([[out / air, 1.0 / air, 0.0], [side / fabric, 0.0, 1.0 / fabric]])


def _zero_order_hold(hours: float) -> Floats:
    a, b = _rates()
    end, held, *_ = signal.cont2discrete((a, b, np.eye(2), np.zeros((2, 3))), hours, method="zoh")
    return np.hstack([end, held])


def _euler(hours: float) -> Floats:
    a, b = _rates()
    return np.hstack([np.eye(2) + hours * a, hours * b])


def _fine(hours: float) -> Floats:
    """Ends and means of both nodes by a general solver."""
    a, b = _rates()

    def course(_: float, y: Floats) -> Floats:
        return np.concatenate([a @ y[:2] + b @ HELD, y[:2]])

    y = solve_ivp(course, (0.0, hours), [*START, 0.0, 0.0], rtol=1e-12, atol=1e-12, method="DOP853").y[:, -1]
    return np.concatenate([y[:2], y[2:] / hours])


def _ours(hours: float) -> Floats:
    return (np.array(response(*HOUSE, hours=hours)).reshape(4, 5) @ np.concatenate([START, HELD])).ravel()


def _limits(exact: bool) -> list[float]:
    """What a radiator gives from 1 % to 250 % of its design load, return and room following."""
    load, design_k, exponent, nearer = 6.0, 31.5, 1.3, 0.5 * 5.0 / 6.0 + 0.4
    rated = load / (design_k / 50.0) ** exponent
    start = first_guess(design_k, load, nearer)
    excesses = [design_k * share ** (1.0 / exponent) + nearer * load * share for share in SHARES]
    if not exact:
        return [emitter_limit_kw(rated, exponent, k, nearer, start) for k in excesses]
    return [
        float(
            optimize.brentq(lambda q, k=k: q - rated * (max(0.0, k - nearer * q) / 50.0) ** exponent, 0.0, k / nearer)
        )
        for k in excesses
    ]


def _room_by_root(flow: float) -> float:
    def left_over(room: float) -> float:
        load = room_load_kw(room, *ROOM)
        return RATED * max((flow - 0.5 * PER_WATER * load - room) / 50.0, 0.0) ** 1.3 - load

    return float(optimize.brentq(left_over, -3.0, 40.0, xtol=1e-12))


def _room(flow: float) -> float:
    outdoor, middle, loss, exchange = ROOM
    return steady_room_c(flow, outdoor, middle, 30.0, loss, exchange, RATED, 1.3, PER_WATER)


@cache
def _sky() -> tuple[Case, Weather]:
    case = home("canal_terrace")
    return case, weather_on(case.site, case.weather, TimeAxis(case.site.zone, case.site.year, 60))


def _plane(tilt: float, azimuth: float, model: str | None) -> Floats:
    """A year of a plane while the sun stands well up: by pvlib, or by the kit where no model is named [kWh/m²]."""
    from pvlib import irradiance

    case, weather = _sky()
    sun = sun_position(weather.axis, case.site.latitude_deg, case.site.longitude_deg, case.site.altitude_m)
    high = sun.zenith_deg < 86.0
    if model is None:
        return plane_w_m2(weather, case.site, tilt, azimuth)[high]
    parts = [weather.frame[name].to_numpy() for name in ("dni_w_m2", "ghi_w_m2", "dhi_w_m2")]
    found = irradiance.get_total_irradiance(
        tilt, azimuth, sun.zenith_deg, sun.azimuth_deg, *parts, dni_extra=sun.beyond_air_w_m2, albedo=0.2, model=model
    )
    return np.asarray(found["poa_global"], dtype=float)[high]


def _sun(by_ephemeris: bool) -> Floats:
    """Zenith and azimuth at the middle of every hour while the sun is well up and not overhead."""
    from pvlib import solarposition

    case, weather = _sky()
    site, middle = case.site, weather.axis.utc + np.timedelta64(30, "m")
    ours = sun_position(weather.axis, site.latitude_deg, site.longitude_deg, site.altitude_m)
    high = ours.zenith_deg < 80.0
    if not by_ephemeris:
        return np.concatenate([ours.zenith_deg[high], ours.azimuth_deg[high]])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it asks pandas by an old name
        other = solarposition.ephemeris(middle, site.latitude_deg, site.longitude_deg)
    return np.concatenate([other["apparent_zenith"].to_numpy()[high], other["azimuth"].to_numpy()[high]])


def _daylight(by_library: bool) -> Floats:
    """Length of every day by the sun's rise and set, without what the air bends [h]."""
    from pvlib import solarposition

    case, weather = _sky()
    place = (case.site.latitude_deg, case.site.longitude_deg)
    if not by_library:
        return heaven(weather.axis, *place, case.site.altitude_m).daylight_h
    noon = weather.axis.utc[np.flatnonzero(weather.axis.minute_of_day == 12 * 60)].tz_convert(case.site.zone)
    found = solarposition.sun_rise_set_transit_spa(noon, *place)
    return np.asarray((found["sunset"] - found["sunrise"]).dt.total_seconds(), dtype=float) / 3600.0


def _midnights(by_library: bool) -> Floats:
    """Local midnights of three years of clock changes, in hours after the first."""
    found = []
    for zone, number in (("Europe/Dublin", 2024), ("Australia/Adelaide", 2025), ("America/Sao_Paulo", 2018)):
        axis, first = TimeAxis(zone, number, 30), dt.datetime(number, 1, 1, tzinfo=ZoneInfo(zone))
        at = np.flatnonzero(np.diff(axis.day, prepend=-1)) * axis.hours
        stamps = [dt.datetime.fromisoformat(f"{date}T00:00").replace(tzinfo=ZoneInfo(zone)) for date in axis.dates]
        found.append([(one.timestamp() - first.timestamp()) / 3600.0 for one in stamps] if by_library else at)
    return np.concatenate([np.asarray(one, dtype=float) for one in found])


CLAIMS = (
    Claim(LIBRARIES, "A step of the two nodes of a home, 0.25 to 24 h", "scipy.signal.cont2discrete, zero-order hold",
          lambda: [_zero_order_hold(hours) for hours in (0.25, 0.5, 1.0, 24.0)], 1e-13, "rounding",
          lambda: [np.array(response(*HOUSE, hours=hours)).reshape(4, 5)[:2] for hours in (0.25, 0.5, 1.0, 24.0)],
          Naive("one step of Euler", lambda: [_euler(hours) for hours in (0.25, 0.5, 1.0, 24.0)])),
    Claim(LIBRARIES, "How two nodes cool on their own over 1 and 8 h", "scipy.linalg.expm of the equations",
          lambda: [linalg.expm(hours * _rates()[0]) for hours in (1.0, 8.0)], 1e-12, "rounding",
          lambda: [np.array(response(*HOUSE, hours=hours)).reshape(4, 5)[:2, :2] for hours in (1.0, 8.0)]),
    Claim(LIBRARIES, "Ends and means of both nodes over 0.25 and 1 h [°C]", "scipy.integrate.solve_ivp, eighth order",
          lambda: [_fine(hours) for hours in (0.25, 1.0)], 1e-9, "the solver's own tolerance",
          lambda: [_ours(hours) for hours in (0.25, 1.0)]),
    Claim(LIBRARIES, "What a radiator gives from 1 to 250 % of its load, return following [kW]",
          "scipy.optimize.brentq on EN 442's form", lambda: _limits(True),
          tuple(5e-4 * 6.0 * share for share in SHARES),
          "one iteration: 0.05 %", lambda: _limits(False)),
    Claim(LIBRARIES, "Room that a small radiator holds at 36, 42 and 48 °C of flow [°C]",
          "scipy.optimize.brentq on the same balance", lambda: [_room_by_root(flow) for flow in (36.0, 42.0, 48.0)],
          1e-8,
          "Newton ends before that", lambda: [_room(flow) for flow in (36.0, 42.0, 48.0)]),
    Claim(LIBRARIES, "Powers over nine decades, as laws use them, over the library's [-]", "math.pow of the C library",
          np.ones(len(BASES) * len(EXPONENTS)), 2e-14, "rounding of some forty operations",
          lambda: [power(base, n) / math.pow(base, n) for n in EXPONENTS for base in BASES]),
    Claim(LIBRARIES, "Logarithms to base 2 over eighteen decades [-]", "math.log2 of the C library",
          lambda: [math.log2(x) for x in np.geomspace(1e-9, 1e9, 301)], 6e-13, "rounding",
          lambda: [logarithm_2(x) for x in np.geomspace(1e-9, 1e9, 301).tolist()]),
    Claim(LIBRARIES, "Powers of 2 from −900 to 900, over the library's [-]", "math.exp2 of the C library", np.ones(301),
          2e-14, "rounding", lambda: [exponential_2(x) / math.exp2(x) for x in np.linspace(-900.0, 900.0,
          301).tolist()]),
    Claim(LIBRARIES, "Heat of a kilogram of water from 10 to 40, 55 and 60 °C [kWh]", "CoolProp, computed with it",
          (0.034855, 0.052274, 0.058084), (4.2e-5, 6.3e-5, 7e-5), "0.12 %: one heat capacity for all temperatures",
          lambda: [KWH_PER_LITRE_K * (t - 10.0) for t in (40.0, 55.0, 60.0)]),
    Claim(LIBRARIES, "Sun on a roof of 40° to the south-south-west, hour by hour [W/m²]", "pvlib: Hay and Davies 1980",
          lambda: _plane(40.0, 200.0, "haydavies"), 1e-6, "same model, other code", lambda: _plane(40.0, 200.0, None),
          Naive("the sky alike all over", lambda: _plane(40.0, 200.0, "isotropic"))),
    Claim(LIBRARIES, "Zenith and azimuth of the sun at every hour [°]",
          "pvlib.solarposition.ephemeris, another algorithm",
          lambda: _sun(True), 0.05, "the plainer of the two is good to some hundredths", lambda: _sun(False)),
    Claim(LIBRARIES, "Length of every day of a year [h]", "pvlib: rise and set by Reda and Andreas 2004",
          lambda: _daylight(True), 0.3, "the air lifts the sun and its rim counts: 17 minutes in June",
          lambda: _daylight(False)),
    Claim(LIBRARIES, "Local midnights of three years in three zones [h]", "zoneinfo of Python",
          lambda: _midnights(True), 0.0, "whole half-hours", lambda: _midnights(False),
          Naive("every 24 hours", lambda: np.concatenate([24.0 * np.arange(n) for n in (366, 365, 365)]))),
)  # fmt: skip
