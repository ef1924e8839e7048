"""Periods of the day in, temperatures over the year out: what the people need, and what the controller holds."""

from __future__ import annotations

import numpy as np

from simkit.arrays import Floats
from simkit.case.heating.controls import Period, Span
from simkit.clock import TimeAxis
from simkit.kept.memory import memo

DAYS = {"all": None, "workdays": (0, 1, 2, 3, 4), "weekend": (5, 6)}


@memo
def temperature_c(periods: tuple[Period, ...], setback_c: float, axis: TimeAxis) -> Floats:
    """Temperature asked for in each step, (steps,) [°C]; a step split by an edge takes the mean by its shares."""
    asked = np.full(axis.steps, setback_c)
    for period in periods:
        share = axis.window(period.start, period.end, weekdays=DAYS[period.days])
        asked = asked + share * (period.c - setback_c)
    return asked


@memo
def inside(periods: tuple[Span, ...], axis: TimeAxis) -> Floats:
    """Share of each step that lies inside any of the periods or windows, (steps,) [-]."""
    share = np.zeros(axis.steps)
    for period in periods:
        share = share + axis.window(period.start, period.end, weekdays=DAYS[period.days])
    return np.minimum(share, 1.0)
