"""Half-hours that a supplier may grant and a time axis in; the steps in which they lie, as a scenario, out."""

from __future__ import annotations

import numpy as np

from simkit.arrays import Floats, read_only
from simkit.clock import TimeAxis
from simkit.kept.memory import memo
from simkit.tariff.tariff import Granted

GRANTED_MINUTES = 30


@memo
def granted_shares(granted: Granted, axis: TimeAxis) -> Floats:
    """Share of each step that is granted, 0 or 1, (steps,) [-].

    The supplier chooses by its own needs, which nobody knows: here each week's half-hours are drawn by chance among
    those of the window, the same every time. They are laid on whole steps; where a step is longer than a half-hour, the
    steps of a week hold as many half-hours as promised, a half carried over to the next week.
    """
    inside = axis.window(granted.start, granted.end) >= 1.0
    week = axis.day // 7
    chance = np.random.default_rng(axis.year)
    shares, owed = np.zeros(axis.steps), 0.0
    for number in np.unique(week):
        mine = np.flatnonzero(week == number)
        length = len(np.unique(axis.day[mine]))
        owed += granted.per_week * GRANTED_MINUTES / axis.step_minutes * length / 7
        able = mine[inside[mine]]
        count = min(int(owed), len(able))
        shares[chance.choice(able, count, replace=False)] = 1.0
        owed -= count
    return read_only(shares)
