"""Outdoor temperatures and the civil day of each step in; the coldest week out: one definition for every view of it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from simkit.arrays import Floats

WEEK_DAYS = 7
WHOLE_DAY_H = 22.0  # own: the shortest days of any clock change have 22 or 23 hours


def coldest_week(outdoor_c: Floats, day: NDArray[np.int64], hours: float) -> slice:
    """Find the seven civil days in a row with the lowest mean outdoor temperature.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature of each step, (steps,) [°C].
    day
        Number of the civil day that each step falls on, (steps,), from 0, rising.
    hours
        Length of a step [h].

    Returns
    -------
    slice
        Rows of those days. Days held only in part do not count; all rows where there are no seven whole days in a row.
    """
    size = np.bincount(day)
    whole = np.where(size * hours >= WHOLE_DAY_H, 0.0, np.inf)
    week = np.ones(WEEK_DAYS)
    if len(size) < WEEK_DAYS:
        return slice(0, len(day))
    sums = np.convolve(np.bincount(day, outdoor_c) + whole, week, "valid")
    means = sums / np.convolve(size, week, "valid")
    if not np.isfinite(means).any():
        return slice(0, len(day))
    first = int(np.argmin(means))
    start, end = np.searchsorted(day, (first, first + WEEK_DAYS))
    return slice(int(start), int(end))
