"""Monthly radiation, sunshine or neither in; cloudy and clear days and hours of sun and sky out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats
from simkit.clock import TimeAxis
from simkit.kept.memory import memo
from simkit.solar.sun import Sun, clear_sky_w_m2, solar_time, split_beam_diffuse, sun_position
from simkit.weather.draws import normals, persistent
from simkit.weather.months import day_starts, month_sums

ANGSTROM = (0.25, 0.50)  # Allen, Pereira, Raes and Smith 1998, FAO Irrigation and Drainage Paper 56, equation 35
CLOUDLESS = 0.9  # own: no month is clearer all through
HARGREAVES = 0.16  # the same, equation 50, inland; 1/sqrt(K)
DARKEST, CLEAREST = 0.06, 1.05  # own: daily totals against a cloudless sky, from German test reference years
CLEARER_PER_KM = 0.05  # own: thinner air
HOUR_MEMORY, HOUR_SPREAD = 0.6, 0.9  # own: so that the hours' diffuse share is that of the German test reference years


@dataclass(frozen=True)
class Heaven:
    """What the sun does over a place, whatever the weather.

    Parameters
    ----------
    sun
        Its position.
    clear_w_m2
        Global radiation of a cloudless sky at its clearest, (steps,) [W/m²].
    beyond_w_m2
        Radiation on the level outside the atmosphere, (steps,) [W/m²].
    daylight_h
        Length of each day, (days,) [h].
    summer
        0 in the middle of winter to 1 in that of summer, (days,) [-]. Near the equator, where the sun's height hardly
        changes, so does the year: there the whole range shrinks.
    month_clear_kwh_m2, month_daylight_h
        The most radiation that a month can bring [kWh/m²] and its hours of daylight [h], (12,).
    solar_hour, sunrise_hour
        Apparent solar time of the middle of each step and the hour at which the sun rises on its day, (steps,) [h].
    """

    sun: Sun
    clear_w_m2: Floats
    beyond_w_m2: Floats
    daylight_h: Floats
    summer: Floats
    month_clear_kwh_m2: Floats
    month_daylight_h: Floats
    solar_hour: Floats
    sunrise_hour: Floats


@memo
def heaven(axis: TimeAxis, latitude_deg: float, longitude_deg: float, altitude_m: float) -> Heaven:
    """Return the sun's year over a place; computed once for each axis and place."""
    sun = sun_position(axis, latitude_deg, longitude_deg, altitude_m)
    middle = axis.utc + (axis.utc[1] - axis.utc[0]) / 2
    hour, tilt = solar_time(middle, longitude_deg)
    half = np.arccos(np.clip(-np.tan(np.radians(np.clip(latitude_deg, -89.9, 89.9))) * np.tan(tilt), -1.0, 1.0))
    hours = 24.0 * half / np.pi
    clear = clear_sky_w_m2(sun) * CLEAREST * (1.0 + CLEARER_PER_KM * max(altitude_m, 0.0) / 1000.0)
    starts = day_starts(axis)
    daylight = hours[starts + np.bincount(axis.day) // 2]
    beyond = sun.beyond_air_w_m2 * sun.height
    daily = np.bincount(axis.day, weights=beyond)
    seasons = min(1.0, 2.0 * float(np.ptp(daily)) / float(daily.max()))
    return Heaven(
        sun,
        clear,
        beyond,
        daylight,
        seasons * (daily - daily.min()) / max(float(np.ptp(daily)), 1e-9),
        month_sums(axis, clear) * axis.hours / 1000.0,
        np.asarray(np.bincount(axis.month[starts] - 1, weights=daylight, minlength=12), dtype=np.float64),
        hour,
        12.0 - hours / 2.0,
    )


def estimated_kwh_m2(
    axis: TimeAxis, sky: Heaven, *, sunshine_hours: Floats | None = None, daily_range_k: Floats | None = None
) -> Floats:
    """Return monthly radiation where none is stated, (12,) [kWh/m²].

    Parameters
    ----------
    axis, sky
        The time axis and the sun over it.
    sunshine_hours
        Hours of bright sunshine of each month, (12,) [h]: Ångström and Prescott.
    daily_range_k
        Mean daily range, (12,) [K], from which, with the latitude alone, it is estimated where there is no sunshine:
        Hargreaves and Samani. Never above `CLOUDLESS` of what a clear month brings.
    """
    beyond = month_sums(axis, sky.beyond_w_m2) * axis.hours / 1000.0
    if sunshine_hours is not None:
        share = np.asarray(sunshine_hours) / np.maximum(sky.month_daylight_h, 1e-9)
        through = ANGSTROM[0] + ANGSTROM[1] * np.minimum(share, 1.0)
    else:
        through = np.minimum(HARGREAVES * np.sqrt(np.asarray(daily_range_k)), 0.75)
    return np.minimum(beyond * through, CLOUDLESS * sky.month_clear_kwh_m2)


def clouds(axis: TimeAxis, sky: Heaven, warmth: Floats, sequence: int) -> Floats:
    """Return how clear each day is as a standard normal number, (days,).

    Clear winter days are a little colder than others, clear summer days a good deal warmer: the link runs from -0.25 to
    0.5 with the height of the sun (own, from fifteen German test reference years: -0.2 and 0.5). What is not linked to
    `warmth` (days,) has a memory of 0.3 a day (Knight, Klein and Duffie 1991, from memory: 0.29).
    """
    daily = np.bincount(axis.day, weights=sky.beyond_w_m2) * axis.hours / 1000.0
    link = -0.25 + 0.75 * np.clip((daily - 2.5) / 8.0, 0.0, 1.0)
    own = persistent(normals(len(daily), sequence, 2), 0.3)
    return np.asarray(link * warmth + np.sqrt(1.0 - link**2) * own)


def daily_clearness(axis: TimeAxis, sky: Heaven, monthly_kwh_m2: Floats, clear: Floats) -> Floats:
    """Return each day's radiation as a share of the clearest sky so that the months' totals are met, (days,).

    Days within a month follow a truncated exponential distribution, as daily clearness does (Bendt, Collares-Pereira
    and Rabl 1981, from memory), its one parameter found for the days that `clear` (days,) drew.
    """
    from scipy.special import ndtr

    rank = np.asarray(ndtr(clear))
    month = axis.month[day_starts(axis)] - 1
    weight = np.bincount(axis.day, weights=sky.clear_w_m2) * axis.hours / 1000.0
    low, high = np.full(12, -1e5), np.full(12, 1e5)
    for _ in range(80):
        bend = (low + high) / 2.0
        share = _drawn(rank, bend[month])
        short = np.bincount(month, weights=share * weight, minlength=12) < monthly_kwh_m2
        low, high = np.where(short, bend, low), np.where(short, high, bend)
    return _drawn(rank, ((low + high) / 2.0)[month])


def _drawn(rank: Floats, bend: Floats) -> Floats:
    """Quantile `rank` of the density exp(bend*x) on the darkest to the clearest sky."""
    flat = np.abs(bend) < 1e-6
    size = np.where(flat, 1.0, np.abs(bend))
    up = bend > 0
    # For a falling density count from below, for a rising one from above: exponentials stay below 1.
    part = np.where(up, 1.0 - rank, rank)
    from_end = -np.log1p(part * np.expm1(-size)) / size
    place = np.where(flat, rank, np.where(up, 1.0 - from_end, from_end))
    darkest = DARKEST / CLEAREST
    return np.asarray(darkest + (1.0 - darkest) * place)


def hours_of_sky(axis: TimeAxis, sky: Heaven, clearness: Floats, sequence: int) -> tuple[Floats, Floats, Floats]:
    """Return global, beam and diffuse radiation, each (steps,) [W/m²].

    A day's clearness wanders over its hours, never above the clearest sky, and the day keeps its total. Beam and
    diffuse after Erbs.
    """
    day, weight = axis.day, sky.clear_w_m2
    total = np.maximum(np.bincount(day, weights=weight), 1e-9)
    wander = HOUR_SPREAD * persistent(normals(axis.steps, sequence, 3), HOUR_MEMORY)
    inside = np.clip(clearness, 1e-6, 1.0 - 1e-6)
    level = np.log(inside / (1.0 - inside))
    for _ in range(12):
        share = 1.0 / (1.0 + np.exp(-(level[day] + wander)))
        found = np.bincount(day, weights=weight * share) / total
        slope = np.bincount(day, weights=weight * share * (1.0 - share)) / total
        level = level + np.clip((inside - found) / np.maximum(slope, 1e-9), -1.5, 1.5)
    ghi = weight / (1.0 + np.exp(-(level[day] + wander)))
    beam, diffuse = split_beam_diffuse(ghi, sky.sun)
    return ghi, beam, diffuse
