"""Readings of a running total in; what was used between them, with roll-overs and swapped meters told apart, out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats, Ints

ROLL_FROM = 0.9  # own: a counter that falls from above this share of its range has rolled over


@dataclass(frozen=True, eq=False)
class Used:
    """What a register says.

    Attributes
    ----------
    used
        Between each reading and the next, (n - 1,) in the register's unit; NaN where it can't be known.
    rolled, swapped
        Numbers of the spans in which the counter rolled over, and in which the meter was swapped.
    """

    used: Floats
    rolled: Ints
    swapped: Ints


def used_between(readings: Floats) -> Used:
    """Take differences of a running total.

    Parameters
    ----------
    readings
        In the order of time, (n,), all finite.

    Notes
    -----
    A fall from the top of the counter's range (99,9xx to a small number) is a roll-over; any other fall is another
    meter, and what was used in that span stays unknown. The digits of the counter are those of the highest reading.
    """
    steps = np.diff(readings)
    top = 10.0 ** np.ceil(np.log10(max(float(np.max(readings)), 1.0) + 1e-9))
    falls = np.flatnonzero(steps < 0)
    usual = float(np.median(steps[steps > 0])) if (steps > 0).any() else 0.0
    over = steps[falls] + top
    rolls = (
        (readings[falls] > ROLL_FROM * top) & (over < max(20.0 * usual, 0.1 * top)) & (readings[falls + 1] < 0.1 * top)
    )
    used = steps.copy()
    used[falls[rolls]] += top
    used[falls[~rolls]] = np.nan
    jumps = np.flatnonzero(steps > 0.3 * top) if usual > 0 else np.zeros(0, np.int64)
    jumps = jumps[steps[jumps] > 50.0 * usual]
    used[jumps] = np.nan
    return Used(used, falls[rolls], np.sort(np.concatenate([falls[~rolls], jumps])))
