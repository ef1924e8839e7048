"""Temperatures and monthly relative humidity in; relative humidity of every step out.

The vapour in the air changes from day to day, hardly within a day: so relative humidity falls as the afternoon warms.
"""

from __future__ import annotations

import numpy as np

from simkit.arrays import Floats
from simkit.clock import TimeAxis
from simkit.weather.months import month_means, over_steps, smooth_course

CLOUD_LINK = 0.10  # own: a clear day's air is drier for its temperature than a cloudy day's
DRIEST = 0.05
TOLERANCE = 1e-6


def vapour_hpa(temperature_c: Floats) -> Floats:
    """Return the pressure of saturated vapour over water, (n,) [hPa].

    Magnus form with the constants of Alduchov and Eskridge 1996 (from memory).
    """
    return np.asarray(6.1094 * np.exp(17.625 * temperature_c / (temperature_c + 243.04)))


def humidity_of_steps(axis: TimeAxis, outdoor_c: Floats, monthly: Floats, clear: Floats) -> Floats:
    """Return relative humidity whose monthly means are `monthly`, (steps,) [0..1].

    Parameters
    ----------
    axis, outdoor_c
        The time axis and the temperature of each step, (steps,) [°C].
    monthly
        Mean relative humidity of each month, (12,) [0..1].
    clear
        How clear each day is, a standard normal number, (days,).
    """
    wanted = np.minimum(np.asarray(monthly, dtype=np.float64), 0.999)
    day_mean = np.bincount(axis.day, weights=outdoor_c) / np.bincount(axis.day)
    ratio = vapour_hpa(over_steps(axis, day_mean)) / vapour_hpa(outdoor_c)
    pattern = np.log(ratio) - CLOUD_LINK * over_steps(axis, clear)
    level = np.log(wanted)
    for _ in range(40):
        damp = np.clip(np.exp(smooth_course(axis, level) + pattern), DRIEST, 1.0)
        missing = wanted - month_means(axis, damp)
        if np.abs(missing).max() < TOLERANCE:
            break
        slope = month_means(axis, np.where(damp < 1.0, damp, 0.0))  # saturated air stays saturated
        level = level + np.clip(missing / np.maximum(slope, 0.02), -0.5, 0.5)
    return damp


def humidity_from_minimum(axis: TimeAxis, outdoor_c: Floats) -> Floats:
    """Return relative humidity for a dew point equal to the day's lowest temperature, (steps,) [0..1].

    Allen et al. 1998, FAO Irrigation and Drainage Paper 56, equation 48: for humid climates, where nothing is measured.
    """
    starts = np.flatnonzero(np.diff(axis.day, prepend=-1))
    lowest = np.minimum.reduceat(outdoor_c, starts)
    return np.clip(vapour_hpa(over_steps(axis, lowest)) / vapour_hpa(outdoor_c), DRIEST, 1.0)
