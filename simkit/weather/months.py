"""Twelve figures of months in; a smooth course over the steps of a year with those very means out."""

from __future__ import annotations

import numpy as np

from simkit.arrays import Floats, Ints
from simkit.clock import TimeAxis
from simkit.kept.memory import memo

NARROWEST = 0.3  # own: the days of a month never differ by less than this share of what they did


def month_means(axis: TimeAxis, values: Floats) -> Floats:
    """Return the mean of `values` (steps,) over the steps of each month, (12,)."""
    return month_sums(axis, values) / np.bincount(axis.month - 1, minlength=12)


def month_sums(axis: TimeAxis, values: Floats) -> Floats:
    """Return the sum of `values` (steps,) over each month, (12,)."""
    return np.asarray(np.bincount(axis.month - 1, weights=values, minlength=12), dtype=np.float64)


def month_days(axis: TimeAxis) -> Floats:
    """Return the length of each month, (12,) [d], hours of clock changes included."""
    return np.asarray(np.bincount(axis.month - 1, minlength=12) * axis.hours / 24.0, dtype=np.float64)


@memo
def day_starts(axis: TimeAxis) -> Ints:
    """Return the first step of each civil day, (days,)."""
    return np.flatnonzero(np.diff(axis.day, prepend=-1)).astype(np.int64)


def month_spreads(axis: TimeAxis, values: Floats) -> Floats:
    """Return the standard deviation of `values` (steps,) about the mean of each month, (12,)."""
    beside = values - month_means(axis, values)[axis.month - 1]
    return np.sqrt(month_means(axis, beside**2))


def mean_daily_range(axis: TimeAxis, values: Floats) -> Floats:
    """Return highest less lowest value of each civil day, averaged over each month, (12,)."""
    starts = day_starts(axis)
    ranges = np.maximum.reduceat(values, starts) - np.minimum.reduceat(values, starts)
    month = axis.month[starts] - 1
    return np.bincount(month, weights=ranges, minlength=12) / np.bincount(month, minlength=12)


@memo
def _place_in_days(axis: TimeAxis) -> tuple[Ints, Floats]:
    """Number of the last noon before each middle of a step, and the way from there to the next noon (0 to 1)."""
    days = len(axis.dates)
    counts = np.bincount(axis.day, minlength=days)
    centre = day_starts(axis) + counts / 2.0
    where = np.interp(
        np.arange(axis.steps) + 0.5,
        np.concatenate(([centre[-1] - axis.steps], centre, [centre[0] + axis.steps])),
        np.arange(-1, days + 1),
    )
    last = np.floor(where).astype(np.int64)
    return last, where - last


def over_steps(axis: TimeAxis, daily: Floats) -> Floats:
    """Draw a smooth line through daily values at noon, (days,) to (steps,); it closes on itself at the year's end.

    Catmull-Rom pieces: they pass through the values and have no corners.
    """
    last, t = _place_in_days(axis)
    before, here, there, beyond = (np.take(daily, last + k, axis=0, mode="wrap") for k in (-1, 0, 1, 2))
    t = t.reshape((-1,) + (1,) * (daily.ndim - 1))
    bend = 2 * before - 5 * here + 4 * there - beyond + t * (3 * (here - there) + beyond - before)
    return np.asarray(here + 0.5 * t * (there - before + t * bend))


@memo
def _month_shapes(axis: TimeAxis) -> Floats:
    """Smooth course over the steps that has mean 1 in one month and 0 in the others, (steps, 12).

    The daily course is the one with the least bending (second differences, closed over the year) among all that keep
    the twelve means: so there is no step between months, and no mean is bent by the smoothing.
    """
    month = axis.month[day_starts(axis)] - 1
    average = (month == np.arange(12)[:, None]) / np.bincount(month, minlength=12)[:, None]
    # The bending is a circulant form, so its (pseudo-)inverse is a division of Fourier terms; what remains is to find
    # twelve multipliers, whose sum is 0, and a constant.
    stiff = (2.0 - 2.0 * np.cos(2.0 * np.pi * np.fft.rfftfreq(len(month)))) ** 2
    stiff[0] = np.inf
    pull = np.fft.irfft(np.fft.rfft(average, axis=1) / stiff, n=len(month), axis=1)
    system = np.block([[average @ pull.T, np.ones((12, 1))], [np.ones((1, 12)), np.zeros((1, 1))]])
    found = np.linalg.solve(system, np.eye(13)[:, :12])
    shapes = over_steps(axis, pull.T @ found[:12] + found[12])
    means = np.stack([month_means(axis, shapes[:, k]) for k in range(12)], axis=1)
    return np.ascontiguousarray(shapes @ np.linalg.inv(means))


def smooth_course(axis: TimeAxis, monthly: Floats) -> Floats:
    """Return the smooth course over the year whose means over the steps of the months are `monthly` (12,), (steps,)."""
    return np.asarray(_month_shapes(axis) @ np.asarray(monthly, dtype=np.float64))


def with_means(axis: TimeAxis, values: Floats, monthly: Floats) -> Floats:
    """Shift `values` (steps,) smoothly so that their monthly means become `monthly` (12,)."""
    return values + smooth_course(axis, np.asarray(monthly) - month_means(axis, values))


def with_spreads(axis: TimeAxis, values: Floats, monthly: Floats) -> Floats:
    """Widen or narrow the change from day to day until the standard deviations of the months become `monthly` (12,).

    Means of months and the course within a day stay; at most `NARROWEST` of a month's change from day to day goes.
    """
    daily = np.bincount(axis.day, weights=values) / np.bincount(axis.day)
    change = with_means(axis, over_steps(axis, daily), np.zeros(12))
    own = month_spreads(axis, change) ** 2
    share, spread = np.ones(12), values
    for _ in range(8):
        missing = np.asarray(monthly) ** 2 - month_spreads(axis, spread) ** 2
        share = np.sqrt(np.maximum(share**2 + missing / np.maximum(own, 1e-6), NARROWEST**2))
        wider = (smooth_course(axis, share) - 1.0) * change
        spread = values + with_means(axis, wider, np.zeros(12))
    return spread
