"""Mean temperatures, daily ranges and a design cold in; the temperature of every step of a year out.

Temperature is a smooth seasonal course, plus an anomaly that persists from day to day, plus a daily swing that is wide
on clear days. The course carries the monthly means, the swing the mean daily range, and the size of the anomaly is what
lets the year reach its design cold.
"""

from __future__ import annotations

from dataclasses import dataclass

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
    over_months,
    over_steps,
    smooth_course,
    with_means,
)
from simkit.weather.sky import Heaven

COLD_QUANTILE = 0.004  # the design cold is what 99.6 % of the hours are warmer than
DAY_MEMORY = 0.77  # own: leaves 0.7 to 0.8 from day to day; the test reference years have 0.6 to 0.8, Dublin 0.65
EVEN_SPREAD = 0.75  # own: within months of one German year the spread differs by a fifth, not by half
HOUR_MEMORY, HOUR_SHARE = 0.85, 0.16  # own: fronts and showers, as a share of the size of the anomaly
SUMMER_SHARE, SUMMER_MOST_K = 0.78, 3.6  # own: fifteen German test reference years, summer against winter anomalies
WARMEST_HOUR = 15.0  # apparent solar time, common practice
PER_CLEAR = (0.2, 0.5)  # own: how much of the daily range hangs on the sky, winter and summer
SWING_SPREAD = (0.35, 0.1)  # own: what wind and rain do to it, winter and summer
CALM_LAG_DAYS, CALM_LONG = 65, 1.25  # own, from the same years: calmest from August to October, and long so
LEAST_K, MOST_K = 0.1, 9.0  # size of the winter anomaly, standard deviation
TOLERANCE = 1e-4


@dataclass(frozen=True)
class Pieces:
    """What a year's temperature is put together from, for one sequence of chance.

    Parameters
    ----------
    anomaly
        Departure from the seasonal course for an anomaly of one kelvin, mean 0 in each month, (steps,) [-].
    swing
        Daily course for a range of one kelvin, (steps,) [-].
    """

    anomaly: Floats
    swing: Floats


@dataclass(frozen=True)
class Fit:
    """What makes the pieces meet the monthly figures.

    Parameters
    ----------
    mean_c
        Means of the months, (12,) [°C].
    swing_k
        Daily range before the anomaly adds to it, (12,) [K].
    anomaly_k
        Standard deviation of the winter anomaly [K].
    over_range
        Whether a month's range is wider than stated even without a daily swing, (12,).
    """

    mean_c: Floats
    swing_k: Floats
    anomaly_k: float
    over_range: Bools


def day_warmth(axis: TimeAxis, sequence: int) -> Floats:
    """Return the day-to-day anomaly of temperature as a persistent series of spread 1, (days,).

    Chance alone would now and then put a year's spread into one month: `EVEN_SPREAD` of that is taken back.
    """
    drawn = persistent(normals(len(axis.dates), sequence, 1), DAY_MEMORY)
    month = axis.month[day_starts(axis)] - 1
    days = np.bincount(month)
    mean = np.bincount(month, weights=drawn) / days
    spread = np.sqrt(np.bincount(month, weights=(drawn - mean[month]) ** 2) / days)
    usual = over_months(axis, (spread / np.sqrt(np.mean(spread**2))) ** -EVEN_SPREAD)
    return np.asarray(drawn * usual)


def pieces_of_air(
    axis: TimeAxis, sky: Heaven, *, warmth: Floats, clearness: Floats, sequence: int, summer_share: float
) -> Pieces:
    """Put together the anomaly and the daily swing of one sequence.

    Parameters
    ----------
    axis, sky
        The time axis and the sun over it.
    warmth, clearness
        Day by day, (days,): anomaly as a standard normal number, radiation as a share of the clearest sky.
    sequence
        Number of the sequence of chance.
    summer_share
        Size of the summer anomaly against the winter's [-].
    """
    daily = np.bincount(axis.day, weights=sky.beyond_w_m2)
    # Near the equator, where the sun's height hardly changes, so does the year: there the whole range shrinks.
    seasons = min(1.0, 2.0 * float(np.ptp(daily)) / float(daily.max()))
    summer = seasons * (daily - daily.min()) / max(float(np.ptp(daily)), 1e-9)
    size = 1.0 - (1.0 - summer_share) * np.minimum(CALM_LONG * np.roll(summer, CALM_LAG_DAYS), 1.0)
    hourly = persistent(normals(axis.steps, sequence, 4), HOUR_MEMORY**axis.hours)
    anomaly = over_steps(axis, size * warmth) + HOUR_SHARE * over_steps(axis, size) * hourly
    wind = np.exp(np.interp(summer, (0.0, 1.0), SWING_SPREAD) * np.clip(normals(len(daily), sequence, 5), -2.0, 2.0))
    per_clear = np.interp(summer, (0.0, 1.0), PER_CLEAR)
    width = np.maximum(over_steps(axis, _width(axis, clearness, per_clear) * wind), 0.05)
    return Pieces(with_means(axis, anomaly, np.zeros(12)), width * _daily_course(sky))


def _width(axis: TimeAxis, clearness: Floats, per_clear: Floats) -> Floats:
    """Daily range against the month's mean: a part of it grows with the square of clearness (Hargreaves and Samani)."""
    month = axis.month[day_starts(axis)] - 1
    square = clearness**2
    mean = np.bincount(month, weights=square, minlength=12) / np.bincount(month, minlength=12)
    return np.asarray(1.0 - per_clear + per_clear * np.minimum(square / mean[month], 2.2))


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
    swing = np.maximum(smooth_course(axis, fit.swing_k), 0.0) * pieces.swing
    return with_means(axis, fit.anomaly_k * pieces.anomaly + swing, fit.mean_c)


def fitted(
    axis: TimeAxis,
    pieces: Pieces,
    *,
    mean_c: Floats,
    range_k: Floats,
    cold_c: float,
    degree_days: Floats | None = None,
    base_c: float = 0.0,
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
    degree_days, base_c
        Degree-days by hours, (12,) [K·d], and their base [°C]; None where the means are known.

    Returns
    -------
    Fit
        Met to 0.001 K and 0.1 K·d wherever the figures allow it.
    """
    cold = float(np.min(mean_c)) - cold_c
    fit = Fit(np.array(mean_c), np.array(range_k, dtype=np.float64), float(np.clip(cold / 2.6, LEAST_K, MOST_K)), _NONE)
    ease, before_k = 1.0, 0.0
    for _ in range(60):
        values = temperature(axis, pieces, fit)
        step_k, off_k = _anomaly_step(values, pieces, cold_c)
        if off_k * before_k < 0.0 and abs(off_k) > 0.3 * abs(before_k):
            ease *= 0.6  # the step goes too far: the quantile falls faster than its neighbours' mean
        before_k = off_k
        anomaly = float(np.clip(fit.anomaly_k + ease * step_k, LEAST_K, MOST_K))
        missing = range_k - mean_daily_range(axis, values)
        over = (fit.swing_k <= 0.0) & (missing < 0.0)
        means, days_off = _means_step(axis, values, fit.mean_c, degree_days, base_c)
        stuck = anomaly == fit.anomaly_k
        if (abs(off_k) < TOLERANCE or stuck) and np.all((np.abs(missing) < TOLERANCE) | over) and days_off < 0.01:
            return Fit(fit.mean_c, fit.swing_k, fit.anomaly_k, over)
        fit = Fit(means, np.maximum(fit.swing_k + missing, 0.0), anomaly, over)
    return fit


_NONE = np.zeros(12, dtype=bool)


def _anomaly_step(values: Floats, pieces: Pieces, cold_c: float) -> tuple[float, float]:
    """Newton step for the size of the anomaly, and how far the design cold is off [K]."""
    off = cold_c - float(np.quantile(values, COLD_QUANTILE))
    coldest = np.argpartition(values, int(2 * COLD_QUANTILE * len(values)))[: int(2 * COLD_QUANTILE * len(values))]
    slope = min(float(pieces.anomaly[coldest].mean()), -0.5)
    return float(np.clip(off / slope, -1.5, 1.5)), off


def _means_step(
    axis: TimeAxis, values: Floats, mean_c: Floats, degree_days: Floats | None, base_c: float
) -> tuple[Floats, float]:
    """Newton step for the means from degree-days, and how far the degree-days are off [K·d]."""
    if degree_days is None:
        return mean_c, 0.0
    found = monthly_degree_days(axis, values, base_c, method=BY_HOURS)
    heating = np.maximum(month_means(axis, (values < base_c).astype(np.float64)), 0.02) * month_days(axis)
    off = found - degree_days
    # A month without degree-days says only that it is warm: it is left where it is once it is warm enough.
    off = np.where((degree_days < FEW) & (found < FEW), 0.0, off)
    return mean_c + np.clip(off / heating, -3.0, 3.0), float(np.abs(off).max())


FEW = 0.5  # degree-days of a month that are as good as none [K·d]
