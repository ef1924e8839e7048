"""A series from a weather file and a time axis in; the series on that axis, under stated rules, out.

A real year that the axis asks for is taken hour by hour. Typical months, and a real year other than the axis', are
taken by month, day and hour in UTC, so that the sun stays where it belongs; a 29 February that the file lacks repeats
the 28th. A year that runs on another clock than the file's borrows the hours at its edge from the file's other end.
"""

from __future__ import annotations

from math import gcd

import numpy as np
import pandas as pd

from simkit.arrays import Ints
from simkit.clock import TimeAxis
from simkit.errors import DataError, Fault
from simkit.notation import Localised
from simkit.readers.found import Found

DAY_MINUTES = 1440
LEAP_DAYS = 366
FEBRUARY_29 = 59  # number of that day in a leap year, from 0
EDGE_MINUTES = 14 * 60  # clocks run up to 14 hours from UTC
MOST_SHOWN = 6


def aligned(frame: pd.DataFrame, found: Found, axis: TimeAxis) -> tuple[pd.DataFrame, tuple[str, ...]]:
    """Return a file's series on the axis, and the rules that were applied.

    Parameters
    ----------
    frame
        Means over the file's steps, indexed by step starts in UTC, without gaps.
    found
        What the reader found.
    axis
        The time axis; shorter steps than the file's hold its values, longer ones are their means.
    """
    step = found.step_minutes
    start, first = _minutes(axis.utc), _minutes(pd.DatetimeIndex(frame.index))
    fine = gcd(gcd(step, axis.step_minutes), int(abs(start[0] - first[0])) % step or step)
    times = axis.step_minutes // fine
    wanted = (start[:, None] + fine * np.arange(times)).ravel()
    label = wanted - (wanted - first[0]) % step
    shared = int(np.count_nonzero((np.unique(label) >= first[0]) & (np.unique(label) <= first[-1])))
    # the axis' own year: the file has more of it than an edge, or is of several years
    own_year = shared * step > EDGE_MINUTES or (len(found.years) > 1 and axis.year not in found.years)
    if own_year and not found.typical:
        number, notes = _by_year(label, first, step, found, axis)
    else:
        number, leap = _by_calendar(label, first, step, found, axis)
        what = "typical months" if found.typical else f"the year {found.years[0]}"
        notes = (f"{found.file} holds {what}: it is laid on {axis.year} by month, day and hour in UTC.",)
        if leap:
            notes += (f"29 February {axis.year} repeats the 28th, because {found.file} has none.",)
    taken = {name: frame[name].to_numpy()[number].reshape(-1, times).mean(axis=1) for name in frame}
    return pd.DataFrame(taken, index=axis.utc), notes


def _by_year(label: Ints, first: Ints, step: int, found: Found, axis: TimeAxis) -> tuple[Ints, tuple[str, ...]]:
    """Rows of the file's own hours; and what was taken for those at the edge of the local year."""
    inside = (label >= first[0]) & (label <= first[-1])
    outside = np.unique(label[~inside])
    if len(outside) * step > EDGE_MINUTES:
        raise DataError(_lacking(found, axis, outside))
    number = np.clip((label - first[0]) // step, 0, len(first) - 1)
    if not len(outside):
        return number, ()
    hours = len(outside) * step / 60.0
    note = Localised(
        lambda n: (
            f"{n.brief(hours)} h at the edge of the local year lie outside {found.file} and are taken from its "
            "other end."
        )
    )
    return np.where(inside, number, _by_calendar(label, first, step, found, axis)[0]), (note,)


def _minutes(index: pd.DatetimeIndex) -> Ints:
    return index.tz_localize(None).to_numpy().astype("datetime64[m]").astype(np.int64)


def _slots(minutes: Ints, step: int, phase: int) -> Ints:
    """Number of the step in a year of 366 days, by month, day and time of day in UTC."""
    stamps = minutes.astype("datetime64[m]")
    day = stamps.astype("datetime64[D]")
    year = stamps.astype("datetime64[Y]")
    number = (day - year.astype("datetime64[D]")).astype(np.int64)
    leap = ((year + np.timedelta64(1, "Y")).astype("datetime64[D]") - year.astype("datetime64[D]")).astype(
        np.int64
    ) == LEAP_DAYS
    number = number + (~leap & (number >= FEBRUARY_29))
    in_day = (stamps - day).astype(np.int64)
    return number * (DAY_MINUTES // step) + (in_day - phase) // step


def _by_calendar(label: Ints, first: Ints, step: int, found: Found, axis: TimeAxis) -> tuple[Ints, bool]:
    """Rows by month, day and time of day; and whether 28 February had to be repeated."""
    per_day, phase = DAY_MINUTES // step, int(first[0]) % step
    row_of = np.full(LEAP_DAYS * per_day, -1, dtype=np.int64)
    row_of[_slots(first, step, phase)[::-1]] = np.arange(len(first))[::-1]
    february = slice(FEBRUARY_29 * per_day, (FEBRUARY_29 + 1) * per_day)
    slots = _slots(label, step, phase)
    asked = np.isin(slots, np.arange(february.start, february.stop))
    repeated = bool(asked.any()) and bool((row_of[february] < 0).any())
    if repeated:
        row_of[february] = row_of[february.start - per_day : february.start]
    number = row_of[slots]
    if (number < 0).any():
        raise DataError(_lacking(found, axis, np.unique(label[number < 0])))
    return number, repeated


def _lacking(found: Found, axis: TimeAxis, labels: Ints) -> Fault:
    days = np.unique(labels.astype("datetime64[m]").astype("datetime64[D]"))
    breaks = np.flatnonzero(np.diff(days).astype(np.int64) > 1)
    runs = zip(np.concatenate(([0], breaks + 1)), np.concatenate((breaks, [len(days) - 1])), strict=True)
    spans = [f"{days[a]}" if a == b else f"{days[a]} to {days[b]}" for a, b in runs]
    shown = ", ".join(spans[:MOST_SHOWN]) + (f" and {len(spans) - MOST_SHOWN} more" if len(spans) > MOST_SHOWN else "")
    given = f"its rows from {found.first:%Y-%m-%d} to {found.last:%Y-%m-%d}"
    remedy = "Take a file of a whole year, or set [site] year to a year that it holds entirely"
    return Fault(found.file, given, f"don't cover the year {axis.year}: {shown} (UTC) are missing", remedy)
