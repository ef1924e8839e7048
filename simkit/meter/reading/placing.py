"""Values by row in kWh in; intervals on a grid, or spans of odd length, out; counters turned into what was used."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from simkit.arrays import Floats, Ints
from simkit.errors import DataError, Fault
from simkit.meter.reading.layout import Rows
from simkit.notation import Localised
from simkit.readers.table import Table

LONGEST_GRID = 4_000_000
MOSTLY = 0.95  # own: share of a logger's stamps that stand within a tenth of a step of the full one
COARSE = 12.0  # own: mean intervals in one digit of a register from which it says nothing of intervals
LEAST_MOVES, DIGIT_SPANS, COARSE_DIGIT = 3, 2.0, 0.4  # own: of a register's digit in mean spans
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


def spans(table: Table, rows: Rows, kwh: Floats) -> tuple[pd.DataFrame, dict[str, Any]]:
    """Spans of odd length: registers between their readings, or uses of days or since the row before."""
    at = pd.DatetimeIndex(rows.at, tz="UTC").as_unit("us")
    keep = np.isfinite(kwh).any(axis=1)
    at, kwh = at[keep], kwh[keep]
    register = any(column.register for column in rows.layout.columns)
    # a counter read twice at one time was swapped then: the old one's last reading and the new one's first both count
    alike = np.isclose(kwh[1:], kwh[:-1], equal_nan=True).all(axis=1)
    twice = np.diff(at.asi8) == 0
    same = np.concatenate([twice & alike, [False]])
    apart = np.concatenate([twice & ~alike, [False]])
    _require_one_meter(table, int(apart.sum()), len(np.unique(at)), "days or spans")
    if not register:
        same = np.isin(at, at[apart]) | same
    at, kwh = at[~same], kwh[~same]
    counts: dict[str, Any] = {
        "duplicates": int((twice & alike).sum()),
        "contradictions": 0 if register else int(apart.sum()),
    }
    if rows.ends is not None:
        ends = pd.DatetimeIndex(rows.ends, tz="UTC").as_unit("us")[keep][~same]
        frame = pd.DataFrame({"end": ends}, index=at)
        for j, column in enumerate(rows.layout.columns):
            _add(frame, column.quantity, kwh[:, j])
        frame = frame[frame["end"] > frame.index]
        over = frame.index[1:][frame.index[1:] < pd.DatetimeIndex(frame["end"])[:-1]]
        twice = f"{len(over)} spans begin before the one above has ended (first {{:%Y-%m-%d}}): days count twice."
        said = tuple(twice.format(first) for first in over[:1])
        return frame, {**counts, "suspicious": said}
    if len(at) < 2:
        return pd.DataFrame({"end": at[:0]}, index=at[:0]), counts
    if register and kwh.shape[1] == 1:
        at, kwh, told = _by_digits(at, kwh)
        counts |= told
    frame = pd.DataFrame({"end": at[1:]}, index=at[:-1])
    counts |= {"rolled": 0, "swapped": 0}
    for j, column in enumerate(rows.layout.columns):
        if not column.register:
            _add(frame, column.quantity, kwh[1:, j])
            continue
        used = used_between(kwh[:, j]) if np.isfinite(kwh[:, j]).all() else None
        if used is None:
            _add(frame, column.quantity, np.diff(kwh[:, j]))
            continue
        counts["rolled"] += len(used.rolled)
        counts["swapped"] += len(used.swapped)
        _add(frame, column.quantity, used.used)
    return frame[frame["end"] > frame.index], counts


def _by_digits(at: pd.DatetimeIndex, kwh: Floats) -> tuple[pd.DatetimeIndex, Floats, dict[str, Any]]:
    """Readings of a register whose digits are coarse: those at which it moves, and what is to be said of it."""
    steps = np.diff(kwh[:, 0])
    up = steps[steps > 0]
    if len(up) < LEAST_MOVES or np.ptp(steps) == 0.0:
        return at, kwh, {}
    digit, mean = float(up.min()), float(up.sum() / len(steps))
    whole = [np.log10(digit), *(kwh[:, 0] / digit)]
    if not np.allclose(whole, np.rint(whole), atol=1e-6):  # a digit is a power of ten
        return at, kwh, {}
    if digit > DIGIT_SPANS * mean:
        moves = np.concatenate([[False], steps != 0])
        said = (
            f"The register counts in steps of {digit:,.0f} kWh, more than a span uses: spans run from one step to the "
            "next, and what was before the first is in none."
        )
        return at[moves], kwh[moves], {"notes": (said,)}
    coarse = f"the register counts in steps of {digit:,.0f} kWh: a span is known to half of that either way."
    return at, kwh, {"suspicious": (coarse,)} if digit > COARSE_DIGIT * mean else {}


def _add(frame: pd.DataFrame, quantity: str, values: Floats) -> None:
    """Two registers of one quantity (day and night) are added up; unknown where one of them is."""
    frame[quantity] = frame[quantity].to_numpy() + values if quantity in frame else values


def on_grid(table: Table, rows: Rows, kwh: Floats) -> tuple[pd.DataFrame, dict[str, Any]]:
    """Intervals of equal length on a whole grid, NaN where there is no reading."""
    seconds, step = rows.at.astype(np.int64), rows.step_s
    counts: dict[str, Any] = {"duplicates": 0, "contradictions": 0}
    snapped = (seconds + step // 2) // step * step
    late = np.abs(seconds - snapped)
    if late.any() and np.mean(late <= step // 10) > MOSTLY:
        counts["notes"] = (f"Stamps drift by up to {int(late.max())} seconds: each is taken for the nearest interval.",)
        seconds = np.where(late <= step // 10, snapped, seconds)
    first = int(seconds.min())
    count = int((seconds.max() - first) // step) + 1
    if count > LONGEST_GRID:
        ends = pd.to_datetime([first, int(seconds.max())], unit="s")
        given = f"rows from {ends[0]:%Y-%m-%d} to {ends[1]:%Y-%m-%d}"
        raise DataError(
            Fault(table.name, given, "span more than a life of readings", "Look for a stamp in the wrong year or order")
        )
    on = (seconds - first) % step == 0
    if not on.all():
        counts["suspicious"] = (f"{int(np.count_nonzero(~on))} rows lie between the intervals: they are left out.",)
    slot, kwh = ((seconds - first) // step)[on], kwh[on]
    instant = any(column.register for column in rows.layout.columns)
    starts = pd.DatetimeIndex((first + np.arange(count - instant) * step).astype("datetime64[s]"), tz="UTC").as_unit(
        "us"
    )
    frame = pd.DataFrame({"end": starts + pd.Timedelta(seconds=step)}, index=starts)
    for j, column in enumerate(rows.layout.columns):
        placed = _placed(slot, kwh[:, j], count, counts)
        if column.register:
            placed = _between(placed, counts)
        _add(frame, column.quantity, placed[: len(frame)])
    _require_one_meter(table, counts["contradictions"], count, "intervals")
    return frame, counts


def _require_one_meter(table: Table, contradictions: int, count: int, what: str) -> None:
    """Refuse a file whose times mostly come more than once with different values."""
    if contradictions > 0.2 * count:
        given = f"{contradictions} of {count} {what}"
        allowed = (
            "come more than once with different values: two meters or two homes, or import and export, are in one "
            "file; nothing was kept"
        )
        raise DataError(Fault(table.name, given, allowed, "Export one meter, or keep the column that tells them apart"))


def _placed(slot: np.ndarray, values: Floats, count: int, counts: dict[str, Any]) -> Floats:
    """Values on the grid; the same value twice is kept once, different ones not at all."""
    good = np.isfinite(values)
    slot, values = slot[good], values[good]
    made = np.full(count, np.nan)
    made[slot[::-1]] = values[::-1]
    times = np.bincount(slot, minlength=count)
    if times.max(initial=0) > 1:
        apart = np.zeros(count, dtype=bool)
        np.logical_or.at(apart, slot, np.abs(values - made[slot]) > 1e-6 * (1.0 + np.abs(values)))
        counts["contradictions"] += int(apart.sum())
        counts["duplicates"] += int(np.count_nonzero((times > 1) & ~apart))
        made[apart] = np.nan
    return made


def _between(readings: Floats, counts: dict[str, Any]) -> Floats:
    """Differences of a register on the grid; what was used over a gap is known only as a whole and stays a gap."""
    known = np.flatnonzero(np.isfinite(readings))
    made = np.full(len(readings), np.nan)
    if len(known) < 2:
        return made
    used = used_between(readings[known])
    counts["rolled"] = counts.get("rolled", 0) + len(used.rolled)
    counts["swapped"] = counts.get("swapped", 0) + len(used.swapped)
    single = np.diff(known) == 1
    made[known[:-1][single]] = used.used[single]
    moved = made[np.nan_to_num(made) > 0.0]
    if len(moved) and moved.min() > COARSE * np.nanmean(made):
        counts["suspicious"] = (
            *counts.get("suspicious", ()),
            Localised(
                lambda n: (
                    f"the register moves in steps of {n.number(moved.min())} kWh, far more than is used in an "
                    "interval: it tells weeks apart, and no hours."
                )
            ),
        )
    lost = float(np.nansum(used.used[~single]))
    if (~single).any():
        counts["notes"] = (
            *counts.get("notes", ()),
            Localised(lambda n: f"{n.number(lost, 1)} kWh of the register fell into gaps: they are in no interval."),
        )
    return made
