"""Prices by stamp in; the same on the grid of the year's intervals out, or one sentence for each fault.

Gaps and doubles that lie exactly where the clock changes are told as what they are: stamps of another clock than the
one that was stated.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from simkit.arrays import Floats, Ints
from simkit.clock import TimeAxis
from simkit.errors import DataError, Fault
from simkit.notation import Localised
from simkit.readers.stamps import usual_step
from simkit.tariff.terms import PriceSeries


def in_order(
    utc: Ints, prices: Floats, series: PriceSeries, axis: TimeAxis, name: str
) -> tuple[Ints, Floats, tuple[str, ...]]:
    """Sort the rows onto the grid of the year's intervals.

    Returns
    -------
    starts
        Start of each interval that the year touches, in UTC, (intervals,) [min since 1970].
    prices
        Its price as the file gives it, (intervals,).
    notes
        What was closed, and what was left aside.
    """
    order = np.argsort(utc, kind="stable")
    utc, prices = utc[order], prices[order]
    ends = axis.utc[[0, -1]].tz_localize(None).to_numpy().astype("datetime64[m]").astype(np.int64)
    begin, end = int(ends[0]), int(ends[1]) + axis.step_minutes
    step = series.interval_minutes
    phase = int(utc[0]) % step
    first = (begin - phase) // step * step + phase
    grid = np.arange(first, end, step)
    twice = utc[1:][np.diff(utc) == 0]
    place = (utc - first) // step
    inside = (place >= 0) & (place < len(grid))
    filled = np.full(len(grid), np.nan)
    filled[place[inside]] = prices[inside]
    missing = np.flatnonzero(np.isnan(filled))
    if len(twice):
        known = np.flatnonzero(~np.isnan(filled))
        between = missing[(missing > known[0]) & (missing < known[-1])]
        raise DataError(_doubled(twice, grid[between], axis, name))
    notes: list[str] = []
    if len(missing):
        filled = _closed(filled, missing, grid, series, axis=axis, name=name, span=(int(utc[0]), int(utc[-1])))
        lost, whole = len(missing), len(grid)
        notes.append(
            Localised(
                lambda n: (
                    f"{n.number(lost)} of the {n.number(whole)} prices of {axis.year}, missing in {name}, "
                    f"{_is(lost)} held from the price before, as asked for."
                )
            )
        )
    if len(utc) > inside.sum():
        aside = len(utc) - int(inside.sum())
        aside_of = f"of the prices in {name} lie outside {axis.year} and {_is(aside)} left aside."
        notes.append(Localised(lambda n: f"{n.number(aside)} {aside_of}"))
    return grid, filled, tuple(notes)


def _is(count: int) -> str:
    return "is" if count == 1 else "are"


def require_even(utc: Ints, lines: Ints, series: PriceSeries, name: str) -> None:
    """Refuse stamps that don't follow each other by the interval that is said, (rows,) [min since 1970]."""
    step = series.interval_minutes
    usual = usual_step(utc.astype("datetime64[m]"))[0] // 60
    if usual != step:
        why = f"contradicts interval_minutes = {step}"
        remedy = f"Write interval_minutes = {usual}" if usual in (60, 30, 15) else "Give prices of 60, 30 or 15 minutes"
        raise DataError(Fault(name, f"a row every {usual} minutes", why, remedy))
    off = np.flatnonzero((utc - utc[0]) % step)
    if len(off):
        when = np.datetime64(int(utc[off[0]]), "m")
        why = f"is not on the {step} minutes of the other rows"
        raise DataError(Fault(f"{name} line {lines[off[0]]}", f"{when} UTC", why, "Mend the stamp"))


def _at_changes(minutes: Ints, axis: TimeAxis) -> bool:
    """Whether all these instants lie within a few hours of a change of the home's clock, on either clock."""
    ahead = axis.minute_of_day - axis.utc_minute_of_day
    starts = axis.utc.tz_localize(None).to_numpy().astype("datetime64[m]").astype(np.int64)
    changes = starts[1:][np.diff(ahead % 1440) != 0]
    if not len(changes) or not len(minutes):
        return False
    return bool((np.abs(minutes[:, None] - changes[None, :]).min(axis=1) <= 240).all())


def _doubled(twice: Ints, missing: Ints, axis: TimeAxis, name: str) -> Fault:
    shown = "; ".join(f"{str(np.datetime64(int(minute), 'm')).replace('T', ' ')} UTC" for minute in twice[:3])
    more = f"; and {len(twice) - 3} more" if len(twice) > 3 else ""
    given = f"{len(twice)} {'stamp' if len(twice) == 1 else 'stamps'} ({shown}{more})"
    come = "comes" if len(twice) == 1 else "come"
    if _at_changes(twice, axis) and _at_changes(missing, axis):
        lost = f"{len(missing)} {_is(len(missing))} missing"
        why = f"{come} twice, and {lost}, where the clock changes in {axis.zone}"
        remedy = 'The stamps are wall time: write clock = "local" under [series]'
        return Fault(name, given, why, remedy)
    why = f"{come} more than once, and which row counts can't be known"
    return Fault(name, given, why, "Take the doubles out")


def _closed(
    filled: Floats, missing: Ints, grid: Ints, series: PriceSeries, *, axis: TimeAxis, name: str, span: tuple[int, int]
) -> Floats:
    """Close gaps by holding the price before where that was asked for; refuse them otherwise."""
    step = series.interval_minutes
    begins = missing[np.diff(missing, prepend=-2) != 1]
    ends = missing[np.diff(missing, append=len(filled) + 1) != 1]
    longest = int((ends - begins).max() + 1) * step / 60.0
    if longest <= (series.bridge_hours or 0):
        return pd.Series(filled).ffill().bfill().to_numpy()
    moment = pd.Timestamp(int(grid[missing[0]]) * 60, unit="s", tz="UTC").tz_convert(axis.zone)
    given = f"{len(missing):,} of the {len(filled):,} intervals of {axis.year}"
    first_at = "at" if len(missing) == 1 else "the first at"
    why = f"{_is(len(missing))} missing, {first_at} {moment:%Y-%m-%d %H:%M} local time"
    first, last = (f"{pd.Timestamp(minute * 60, unit='s', tz='UTC').tz_convert(axis.zone):%Y-%m-%d}" for minute in span)
    if longest <= 24:
        hours = int(np.ceil(longest))
        remedy = f"Complete the file, or write bridge_hours = {hours} under [series] to hold the price before each gap"
    else:
        remedy = f"Complete the file, which covers {first} to {last}, or set [site] year to a year that it holds"
    raise DataError(Fault(name, given, why, remedy))
