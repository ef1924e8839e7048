"""Rows as a format's reader found them in; a complete series in our names, and what was found, out.

Here every format is held to the same rules: no stamp twice, no gap filled unless that was asked for, no value in a unit
that isn't ours.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import pandas as pd

from simkit.bounds import TABLE_ROWS
from simkit.errors import DataError, Fault, raise_all
from simkit.notation import Localised
from simkit.readers.found import Found, Gap, gaps_of
from simkit.readers.magnitudes import odd_magnitudes, wrong_units
from simkit.solar.sun import sun_offset_h

STEPS = (60, 30, 20, 15, 10, 5)
MOST_SHOWN = 4  # gaps or stamps named in one sentence
MOVED_FROM_H = 0.6  # labels alone explain up to half an hour
LOST_FROM_H = 3.5  # no wrong header clock explains more: then the place is wrong
Place = tuple[float, float, float]


@dataclass(frozen=True)
class Raw:
    """Rows of a file, in our names and units, before anything was checked.

    Parameters
    ----------
    file, kind, clock, label
        As in `Found`.
    stamps
        Start of each row's interval, UTC; not sorted, perhaps with doubles.
    values
        One row for each stamp: outdoor_c [°C], humidity [0..1], radiation [W/m²], NaN where missing.
    years, typical
        As in `Found`.
    place
        Latitude, longitude [deg] and altitude [m] as the file states them.
    notes
        What was assumed so far.
    """

    file: str
    kind: str
    clock: str
    label: str
    stamps: pd.DatetimeIndex
    values: pd.DataFrame
    years: tuple[int, ...]
    typical: bool
    place: Place | None = None
    notes: tuple[str, ...] = field(default=())


def checked(
    raw: Raw, *, bridge_hours: int = 0, place: Place | None = None, move: bool = False
) -> tuple[pd.DataFrame, Found]:
    """Return the rows as a complete series indexed by step starts in UTC, and what was found.

    Parameters
    ----------
    raw
        What a reader found.
    bridge_hours
        Longest gap that is bridged by a straight line [h].
    place
        Where the sun is to be computed, when the file doesn't say; latitude, longitude [deg], altitude [m].
    move
        Whether whole hours that the stamps are off the sun are put right.
    """
    frame, step = _in_order(raw)
    gaps = gaps_of(frame.isna(), pd.Timedelta(minutes=step))
    bridged = _bridged(frame, gaps, raw, step=step, bridge_hours=bridge_hours)
    where = raw.place or place
    raise_all(wrong_units(raw.file, frame, where), DataError)
    offset = _offset(raw, frame, step, where)
    moved = float(-round(offset)) if move and offset is not None and abs(offset) >= MOVED_FROM_H else 0.0
    index = pd.DatetimeIndex(frame.index) + pd.Timedelta(hours=moved)
    frame = frame.set_axis(index.rename("utc"), axis=0)
    if "humidity" in frame:
        frame["humidity"] = frame["humidity"].clip(upper=1.0)
    latitude, longitude, altitude = raw.place or (None, None, None)
    found = Found(
        file=raw.file,
        kind=raw.kind,
        rows=len(raw.stamps),
        first=index[0],
        last=index[-1],
        step_minutes=step,
        clock=raw.clock,
        label=raw.label,
        years=raw.years,
        typical=raw.typical,
        columns=tuple(frame.columns),
        latitude_deg=latitude,
        longitude_deg=longitude,
        altitude_m=altitude,
        gaps=gaps,
        bridged_steps=bridged,
        suspicious=(*odd_magnitudes(raw.file, frame), *_odd_sun(raw, offset, moved)),
        sun_offset_h=offset,
        shifted_h=moved,
        notes=raw.notes,
    )
    return frame, found


def _in_order(raw: Raw) -> tuple[pd.DataFrame, int]:
    """Sort the rows, refuse doubles, and lay them on an even grid; rows that are missing become NaN."""
    if len(raw.stamps) < 2:
        remedy = "Fetch or export it again; hourly rows of a year are needed"
        held = "one row" if len(raw.stamps) else "no row"
        raise DataError(Fault(raw.file, "the file", f"holds {held} of data", remedy))
    twice = raw.stamps[raw.stamps.duplicated()].unique()
    if len(twice):
        shown = _several([f"{stamp:%Y-%m-%d %H:%M} UTC" for stamp in twice])
        allowed = "occur more than once, and which row counts can't be known"
        remedy = 'Take the doubles out; if they lie in the autumn clock change, the clock of the file is "local"'
        raise DataError(Fault(raw.file, f"{len(twice)} stamps ({shown})", allowed, remedy))
    values = raw.values.set_axis(raw.stamps, axis=0).sort_index()
    plain = pd.DatetimeIndex(values.index).tz_localize(None).to_numpy()
    apart = np.diff(plain).astype("timedelta64[m]").astype(np.int64)
    lengths, counts = np.unique(apart, return_counts=True)
    step = int(lengths[np.argmax(counts)])
    if step not in STEPS or np.any(apart % step):
        odd = step if step not in STEPS else int(apart[apart % step != 0][0])
        allowed = "is no even step of 60 minutes or a whole part of it"
        remedy = "Export the data by the hour, or by the half or quarter hour"
        raise DataError(Fault(raw.file, f"a step of {odd} minutes", allowed, remedy))
    first, last = values.index[0], values.index[-1]
    if raw.typical:
        last = first + pd.Timedelta(days=365) - pd.Timedelta(minutes=step)
    steps = int((last - first) / pd.Timedelta(minutes=step))
    if steps > TABLE_ROWS:
        given = f"stamps from {first:%Y-%m-%d} to {last:%Y-%m-%d}"
        raise DataError(
            Fault(raw.file, given, f"span {steps:,} steps, and {TABLE_ROWS:,} are the most", "Mend the stamps")
        )
    grid = pd.date_range(first, last, freq=pd.Timedelta(minutes=step))
    return values.reindex(grid), step


def _bridged(frame: pd.DataFrame, gaps: Sequence[Gap], raw: Raw, *, step: int, bridge_hours: int) -> int:
    """Bridge gaps in place where that was asked for; refuse the others. Return how many steps were bridged."""
    if not gaps:
        return 0
    missing = frame.isna()
    longest = max(_longest_run(missing[name].to_numpy()) for name in frame)
    hours = longest * step / 60.0
    edge = bool(missing.iloc[0].any() or missing.iloc[-1].any())
    if hours <= bridge_hours and not edge:
        for name in frame:
            frame[name] = frame[name].interpolate(method="linear")
        return int(missing.any(axis=1).sum())
    total = int(missing.any(axis=1).sum())
    given = f"{len(raw.stamps):,} rows, {total} {'step' if total == 1 else 'steps'} without a value"
    if hours <= 48 and not edge:
        remedy = (
            f"Mend the file, or set bridge_hours = {int(np.ceil(hours))} under [weather] for a straight line over gaps"
        )
    else:
        remedy = "Mend the file or take another: so long a gap, or one at the end, can't be bridged by a straight line"
    allowed = f"at {_several([str(gap) for gap in gaps])}, and gaps are not filled silently"
    raise DataError(Fault(raw.file, given, allowed, remedy))


def _longest_run(missing: np.ndarray) -> int:
    edges = np.flatnonzero(np.diff(np.concatenate(([0], missing.astype(np.int8), [0]))))
    return int((edges[1::2] - edges[::2]).max()) if len(edges) else 0


def _several(items: Sequence[str]) -> str:
    more = len(items) - MOST_SHOWN
    return "; ".join(items[:MOST_SHOWN]) + (f"; and {more} more" if more > 0 else "")


def _offset(raw: Raw, frame: pd.DataFrame, step: int, place: Place | None) -> float | None:
    """How much later the stamps are than the sun in the radiation [h]; None without radiation or place."""
    if place is None or "ghi_w_m2" not in frame or float(frame["ghi_w_m2"].std()) < 1.0 or len(frame) * step < 14400:
        return None
    middle = pd.DatetimeIndex(frame.index) + pd.Timedelta(minutes=step / 2)
    offset = sun_offset_h(middle, frame["ghi_w_m2"].to_numpy(), place[0], place[1])
    if abs(offset) > LOST_FROM_H:
        allowed = f"stands {abs(offset):.1f} h off the computed sun, more than a wrong clock in a file's head explains"
        remedy = "Check latitude and longitude (west is negative) and the clock of the stamps"
        raise DataError(Fault(raw.file, "the sun in its radiation", allowed, remedy))
    return offset


def _odd_sun(raw: Raw, offset: float | None, moved: float) -> tuple[str, ...]:
    if offset is None:
        return ()
    left = offset + moved
    if abs(left) < 0.25:
        return ()
    side = "late" if left > 0 else "early"
    why = "" if abs(left) >= MOVED_FROM_H else "; the sun is taken in the middle of each step all the same"
    cure = ": check clock and label" if abs(left) >= MOVED_FROM_H else ""
    return (
        Localised(
            lambda n: (
                f"The stamps of {raw.file} are {n.number(abs(left), 2)} h {side} against the sun in its "
                f"radiation{cure}{why}."
            )
        ),
    )
