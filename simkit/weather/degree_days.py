"""Temperatures in; heating degree-days by each of the definitions in use out."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from simkit.arrays import Floats, Ints
from simkit.clock import TimeAxis
from simkit.errors import CaseError, Fault

BY_HOURS = "hours"
DAILY_MEAN = "daily mean"
MIDDLE_OF_EXTREMES = "middle of max and min"
UK_RULE = "four cases of max and min"
METHODS = (BY_HOURS, DAILY_MEAN, MIDDLE_OF_EXTREMES, UK_RULE)

HITCHIN_PER_K = 0.71  # from memory of CIBSE TM41:2006


def from_extremes(maximum_c: Floats | float, minimum_c: Floats | float, base_c: float) -> Floats:
    """Return degree-days by the UK rule for the day's highest and lowest temperature, (days,) [K·d].

    The first that applies: lowest above base: 0; middle above base: (base - lowest)/4; highest at or above base:
    (base - lowest)/2 - (highest - base)/4; else base - middle. As UK energy-management guidance prints it.

    Parameters
    ----------
    maximum_c, minimum_c
        Highest and lowest temperature of each day, (days,) [°C].
    base_c
        Base temperature [°C].
    """
    high, low = np.asarray(maximum_c, dtype=np.float64), np.asarray(minimum_c, dtype=np.float64)
    middle = (high + low) / 2.0
    cases = [low > base_c, middle > base_c, high >= base_c]
    values = [np.zeros_like(low), (base_c - low) / 4.0, (base_c - low) / 2.0 - (high - base_c) / 4.0]
    return np.select(cases, values, base_c - middle)


def from_monthly_mean(mean_c: Floats | float, base_c: float, days: Floats | float) -> Floats:
    """Return the degree-days of whole months from their mean temperature alone, (n,) [K·d].

    Hitchin's formula N(b - m)/(1 - exp(-k(b - m))) with k = 0.71 per kelvin (from memory); its limit at m = b is N/k.

    Parameters
    ----------
    mean_c
        Mean temperature of each month, (n,) [°C].
    base_c
        Base temperature [°C].
    days
        Days of each month, (n,).
    """
    gap = base_c - np.asarray(mean_c, dtype=np.float64)
    small = np.abs(gap) < 1e-9
    safe = np.where(small, 1.0, gap)
    return np.asarray(days) * np.where(small, 1.0 / HITCHIN_PER_K, safe / -np.expm1(-HITCHIN_PER_K * safe))


def mean_from_degree_days(degree_days: Floats, base_c: float, days: Floats) -> Floats:
    """Return the monthly means at which Hitchin's formula gives `degree_days`, (n,) [°C]; 20 K above base for none."""
    low, high = np.full(len(degree_days), base_c - 90.0), np.full(len(degree_days), base_c + 20.0)
    for _ in range(60):
        middle = (low + high) / 2.0
        many = from_monthly_mean(middle, base_c, days) > degree_days
        low, high = np.where(many, middle, low), np.where(many, high, middle)
    return (low + high) / 2.0


def on_days(
    day: Sequence[int] | Ints, outdoor_c: Floats | Sequence[float], base_c: float, *, method: str = BY_HOURS
) -> Floats:
    """Return degree-days of each day, (days,) [K·d].

    Parameters
    ----------
    day
        Number of the day that each step falls on, from 0, (steps,); `TimeAxis.day` of an axis.
    outdoor_c
        Temperature of each step, (steps,) [°C].
    base_c
        Base temperature [°C].
    method
        One of `METHODS`: the mean shortfall of the steps; base less the mean of the steps, as most of the continent
        does (Statistics Netherlands writes it as 18 less the daily mean); base less the middle of the day's extremes;
        the UK rule on the day's extremes. Extremes are those of the steps, a little inside those that a thermometer
        marks.
    """
    if method not in METHODS:
        remedy = "Choose one of " + ", ".join(f'"{name}"' for name in METHODS)
        raise CaseError(Fault("", f'method = "{method}"', "is not a definition of degree-days known here", remedy))
    numbers, values = np.asarray(day), np.asarray(outdoor_c, dtype=np.float64)
    counts = np.bincount(numbers)
    if method == BY_HOURS:
        return np.bincount(numbers, weights=np.maximum(base_c - values, 0.0)) / counts
    if method == DAILY_MEAN:
        return np.maximum(base_c - np.bincount(numbers, weights=values) / counts, 0.0)
    starts = np.flatnonzero(np.diff(numbers, prepend=-1))
    high, low = np.maximum.reduceat(values, starts), np.minimum.reduceat(values, starts)
    middle = np.maximum(base_c - (high + low) / 2.0, 0.0)
    return middle if method == MIDDLE_OF_EXTREMES else from_extremes(high, low, base_c)


def monthly_degree_days(axis: TimeAxis, outdoor_c: Floats, base_c: float, *, method: str = BY_HOURS) -> Floats:
    """Return degree-days of each month, (12,) [K·d]; the words are those of `on_days`."""
    daily = on_days(axis.day, outdoor_c, base_c, method=method)
    month = axis.dates.astype("datetime64[M]").astype(np.int64) % 12
    return np.asarray(np.bincount(month, weights=daily, minlength=12), dtype=np.float64)
