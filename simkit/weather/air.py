"""Mean temperatures, daily ranges and a design cold in; the temperature of every step of a year out.

Temperature is a smooth seasonal course, plus an anomaly that persists from day to day, plus a daily swing that is wide
on clear days. The course carries the monthly means, the swing the mean daily range, and the size of the anomaly is what
lets the year reach its design cold.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from simkit.arrays import Bools, Floats
from simkit.clock import TimeAxis
from simkit.weather.degree_days import BY_HOURS, monthly_degree_days
from simkit.weather.draws import normals, persistent
from simkit.weather.months import (
    day_starts,
    mean_daily_range,
    month_days,
    month_means,
    over_steps,
    smooth_course,
    with_means,
)
from simkit.weather.sky import Heaven

COLD_QUANTILE = 0.004  # the design cold is what 99.6 % of the hours are warmer than
# How far days depart from their season in winter, against the way from the coldest month's mean to the design cold,
# less a part of that month's daily range. Own, least squares over nine years at Dublin Airport and the German test
# reference years of even number, either group weighing the same.
PER_GAP, PER_RANGE = 0.476, 0.112
MONTHS_APART_K = 1.1  # own, winters at Dublin Airport: degree-days of a usual year are means over months that differ so
MEMORY = (0.90, 0.62)  # own, winter and summer: leaves 0.7 and 0.6 from day to day within months, as in real years
HOUR_MEMORY, HOUR_SHARE = 0.85, 0.16  # own: fronts and showers, as a share of the size of the anomaly
SUMMER_SHARE, SUMMER_MOST_K = 0.72, 3.6  # own, from the same years: summer against winter anomalies
TAIL_FROM, SPELL_SIDE = 0.7, 2  # own: days that are, with those beside them, colder than by so many deviations
LEAST_TAIL, MOST_TAIL = -0.8, 1.5  # own: how much longer their departures may be than those of other days
WARMEST_HOUR = 15.0  # apparent solar time, common practice
PER_CLEAR = (0.2, 0.5)  # own: how much of the daily range hangs on the sky, winter and summer
SWING_SPREAD = (0.35, 0.1)  # own: what wind and rain do to it, winter and summer
CALM_LAG_DAYS = 45  # own, from the same years: calmest in August, widest in February
LEAST_K, MOST_K = 0.1, 9.0  # size of the winter anomaly, standard deviation
COLD_TOLERANCE_K = 1e-3
TOLERANCE = 1e-4


@dataclass(frozen=True)
class Pieces:
    """What a year's temperature is put together from, for one sequence of chance.

    Parameters
    ----------
    anomaly
        Departure from the seasonal course in standard deviations, (steps,) [-].
    tail
        How far it lies below `TAIL_FROM` of them in winter, fading into summer, (steps,) [-].
    swing
        Daily course for a range of one kelvin, (steps,) [-].
    calm
        How much of summer's calm each month has, (12,) [0..1].
    """

    anomaly: Floats
    tail: Floats
    swing: Floats
    calm: Floats


@dataclass(frozen=True)
class Fit:
    """What makes the pieces meet the monthly figures.

    Parameters
    ----------
    mean_c
        Means of the months, (12,) [°C].
    swing_k
        Daily range before the anomaly adds to it, (12,) [K].
    spread_k
        Size of the anomaly in each month, (12,) [K].
    longer
        How much longer the departures of the coldest days are than those of others [-].
    anomaly_k
        Usual size of the winter anomaly [K].
    over_range
        Whether a month's range is wider than stated even without a daily swing, (12,).
    """

    mean_c: Floats
    swing_k: Floats
    spread_k: Floats
    longer: float
    anomaly_k: float
    over_range: Bools


def pieces_of_air(axis: TimeAxis, sky: Heaven, *, warmth: Floats, clearness: Floats, sequence: int) -> Pieces:
    """Put together the anomaly and the daily swing of one sequence.

    Parameters
    ----------
    axis, sky
        The time axis and the sun over it.
    warmth, clearness
        Day by day, (days,): anomaly as a standard normal number, radiation as a share of the clearest sky.
    sequence
        Number of the sequence of chance.
    """
    summer = sky.summer
    calm = np.roll(summer, CALM_LAG_DAYS)
    spell = sum(np.roll(warmth, days) for days in range(-SPELL_SIDE, SPELL_SIDE + 1)) / (2 * SPELL_SIDE + 1)
    hourly = persistent(normals(axis.steps, sequence, 4), HOUR_MEMORY**axis.hours)
    wind = np.exp(np.interp(summer, (0.0, 1.0), SWING_SPREAD) * np.clip(normals(len(summer), sequence, 5), -2.0, 2.0))
    # A part of the day's range grows with the square of clearness (Hargreaves and Samani).
    month, square = axis.month[day_starts(axis)] - 1, clearness**2
    usual = np.bincount(month, weights=square, minlength=12) / np.bincount(month, minlength=12)
    clear = 1.0 + np.interp(summer, (0.0, 1.0), PER_CLEAR) * (np.minimum(square / usual[month], 2.2) - 1.0)
    width = np.maximum(over_steps(axis, clear * wind), 0.05)
    return Pieces(
        anomaly=over_steps(axis, warmth) + HOUR_SHARE * hourly,
        tail=over_steps(axis, np.maximum(-TAIL_FROM - spell, 0.0) * (1.0 - calm)),
        swing=width * _daily_course(sky),
        calm=month_means(axis, calm[axis.day]),
    )


def _daily_course(sky: Heaven) -> Floats:
    """Half a kelvin down at sunrise, half a kelvin up at 15:00 solar time, half cosines between; (steps,), mean 0."""
    rise = np.clip(sky.sunrise_hour, 3.0, 9.0)
    since_peak = (sky.solar_hour - WARMEST_HOUR) % 24.0
    night = 24.0 - WARMEST_HOUR + rise
    falling = np.cos(np.pi * since_peak / night)
    rising = -np.cos(np.pi * (since_peak - night) / (24.0 - night))
    return 0.5 * np.where(since_peak < night, falling, rising)


def temperature(axis: TimeAxis, pieces: Pieces, fit: Fit) -> Floats:
    """Return the temperature of each step, its monthly means exactly `fit.mean_c`, (steps,) [°C]."""
    anomaly = smooth_course(axis, fit.spread_k) * (pieces.anomaly - fit.longer * pieces.tail)
    swing = np.maximum(smooth_course(axis, fit.swing_k), 0.0) * pieces.swing
    return with_means(axis, anomaly + swing, fit.mean_c)


def fitted(
    axis: TimeAxis,
    pieces: Pieces,
    *,
    mean_c: Floats,
    range_k: Floats,
    cold_c: float,
    degree_days: Floats | None = None,
    base_c: float = 0.0,
    rule: str = BY_HOURS,
) -> Fit:
    """Find daily swing, size of the anomaly and, from degree-days, the means that meet the stated figures.

    Parameters
    ----------
    axis, pieces
        The time axis and what the temperature is made of.
    mean_c
        Monthly means; a first guess where degree-days are given, (12,) [°C].
    range_k
        Mean daily range, (12,) [K].
    cold_c
        Temperature that 99.6 % of the hours are warmer than [°C].
    degree_days, base_c, rule
        Degree-days, (12,) [K·d], their base [°C] and their definition, one of `degree_days.METHODS`; None where the
        means are known.

    Returns
    -------
    Fit
        Met to 0.001 K and 0.1 K·d wherever the figures allow it; to 0.005 K where a month's days alone are as wide
        as its daily range, so that it settles slowly. Months spread as they usually do where the coldest is
        so far from the design cold; the coldest spells, longer or shorter for it, reach that cold. Where spells of any
        likely length don't, all days of the year depart further or less far.
    """
    from scipy.optimize import brentq

    coldest = int(np.argmin(mean_c))
    size = PER_GAP * (float(mean_c[coldest]) - cold_c) - PER_RANGE * float(range_k[coldest])
    size = min(float(np.hypot(max(size, LEAST_K), 0.0 if degree_days is None else MONTHS_APART_K)), MOST_K)
    fit = Fit(np.array(mean_c), np.array(range_k, dtype=np.float64), _usual(pieces, size), 0.0, size, _NONE)

    means = partial(_means_step, axis, degree_days=degree_days, base_c=base_c, rule=rule)

    def off_k(colder: float) -> float:
        """How far the coldest hours lie above the design cold where spells are so much longer, then days wider."""
        nonlocal fit
        longer = float(np.clip(colder, LEAST_TAIL, MOST_TAIL))
        trial = replace(fit, longer=longer, anomaly_k=size * np.exp(colder - longer))
        fit = _settled(axis, pieces, trial, range_k, means)
        return float(np.quantile(temperature(axis, pieces, fit), COLD_QUANTILE)) - cold_c

    low, high = LEAST_TAIL, MOST_TAIL
    if off_k(low) <= 0.0:
        low, high = float(np.log(LEAST_K / size)) + low, low
    elif off_k(high) >= 0.0:
        low, high = high, float(np.log(MOST_K / size)) + high
    if (warmer := off_k(low)) > 0.0 > (colder := off_k(high)):
        found, per_k = float(brentq(off_k, low, high, xtol=TOLERANCE / 4.0)), (high - low) / (warmer - colder)
        # A month whose days alone are nearly as wide as its range settles slowly, and goes on doing so here.
        for _ in range(30):
            if abs(off := off_k(found)) < COLD_TOLERANCE_K:
                break
            found += per_k * off
    return fit


def _settled(
    axis: TimeAxis, pieces: Pieces, fit: Fit, range_k: Floats, means_step: Callable[..., tuple[Floats, float]]
) -> Fit:
    """Find swing, spread and means that go with a fit's winter anomaly and cold spells."""
    for turn in range(60):
        values = temperature(axis, pieces, fit)
        missing = range_k - mean_daily_range(axis, values)
        over = (fit.swing_k <= 0.0) & (missing < 0.0)
        means, days_off = means_step(values, fit.mean_c)
        wider = _spread(axis, values, pieces, fit) - fit.spread_k
        step = 1.0 if turn < 12 else 0.4  # where ranges and spreads chase each other, shorter steps let both settle
        swing = np.maximum(fit.swing_k + step * missing, 0.0)
        fit = replace(fit, mean_c=means, swing_k=swing, spread_k=fit.spread_k + step * wider, over_range=over)
        if np.all((np.abs(missing) < TOLERANCE) | over) and days_off < 0.01 and np.abs(wider).max() < TOLERANCE:
            break
    return fit


_NONE = np.zeros(12, dtype=bool)


def _usual(pieces: Pieces, winter_k: float) -> Floats:
    """Usual size of the anomaly in each month where that of the winter is `winter_k`, (12,) [K]."""
    return winter_k - max((1.0 - SUMMER_SHARE) * winter_k, winter_k - SUMMER_MOST_K) * pieces.calm


def _spread(axis: TimeAxis, values: Floats, pieces: Pieces, fit: Fit) -> Floats:
    """Sizes of the anomaly that give the hours of each month their usual spread, whatever the order of days, (12,) [K].

    Cold days at the warm end of a month narrow it, those at its cold end widen it: so it is the spread of all hours
    that is met, as if days knew nothing of the month's course.
    """
    still = temperature(axis, pieces, replace(fit, spread_k=np.zeros(12)))
    usual = _usual(pieces, fit.anomaly_k)
    by_size = (values - still) / fit.spread_k[axis.month - 1]
    level = still - month_means(axis, still)[axis.month - 1]
    square, both = month_means(axis, by_size**2), month_means(axis, by_size * level)
    # square x² + 2 both x is what the anomaly adds to the variance of the month
    size = (np.sqrt(both**2 + square * (1.0 + HOUR_SHARE**2) * usual**2) - both) / square
    return np.clip(size, 0.5 * usual, 1.6 * usual)


def _means_step(
    axis: TimeAxis, values: Floats, mean_c: Floats, *, degree_days: Floats | None, base_c: float, rule: str
) -> tuple[Floats, float]:
    """Newton step for the means from degree-days, and how far the degree-days are off [K·d]."""
    if degree_days is None:
        return mean_c, 0.0
    found = monthly_degree_days(axis, values, base_c, method=rule)
    heating = np.maximum(month_means(axis, (values < base_c).astype(np.float64)), 0.02) * month_days(axis)
    off = found - degree_days
    # A month without degree-days says only that it is warm: it is left where it is once it is warm enough.
    off = np.where((degree_days < FEW) & (found < FEW), 0.0, off)
    return mean_c + np.clip(off / heating, -3.0, 3.0), float(np.abs(off).max())


FEW = 0.5  # degree-days of a month that are as good as none [K·d]
