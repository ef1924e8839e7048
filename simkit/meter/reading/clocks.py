"""Stamps of a file in; the clock they run on, the part of the interval they name, and their order, out."""

from __future__ import annotations

import re
from collections.abc import Callable

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Dates, Floats, Ints
from simkit.meter.reading.layout import Guess, Layout
from simkit.meter.reading.words import END_WORDS, START_WORDS
from simkit.readers.stamps import local_midnights
from simkit.readers.table import Table

EITHER = 0.5  # nothing in the data tells the clocks apart
DAY = np.timedelta64(86400, "s")
Shown = tuple[str, float, str]  # a clock, how sure, and why


def in_order(naive: Dates, clock: str, offset: Floats) -> tuple[Ints, int]:
    """Order of time, keeping the repeated hour of a wall clock as it stands; and how often time goes backwards."""
    true = naive - (np.nan_to_num(offset) * 60).astype("timedelta64[s]") if clock == "offset" else naive
    falls = np.flatnonzero(np.diff(true) < np.timedelta64(0, "s"))
    if clock == "local":
        falls = falls[np.diff(true)[falls] < np.timedelta64(-7200, "s")]
    if not len(falls):
        return np.arange(len(naive)), 0
    return np.argsort(true, kind="stable"), len(falls)


def change_days(first: np.datetime64, last: np.datetime64, zone: str) -> list[tuple[np.datetime64, int]]:
    """Civil days of a clock change from first to last, with the change of their length [s]."""
    days = np.arange(first.astype("datetime64[D]"), last.astype("datetime64[D]") + 2)
    lengths = np.diff(local_midnights(days, zone)) - DAY
    return [(days[k], int(lengths[k].astype(np.int64))) for k in np.flatnonzero(lengths)]


def on_utc(first: np.datetime64, last: np.datetime64, zone: str) -> bool:
    """Whether the zone's wall clock is UTC all through."""
    days = np.arange(first.astype("datetime64[D]"), last.astype("datetime64[D]") + 2)
    return bool(np.all(local_midnights(days, zone) == days.astype("datetime64[s]")))


def clock_of(
    first: np.datetime64, last: np.datetime64, zone: str, *, said: str | None, shown: Callable[..., Shown | None]
) -> tuple[str, Guess]:
    """Clock of the stamps of a file, and why it is taken to be that.

    Parameters
    ----------
    first, last
        First and last stamp on the file's own clock.
    zone
        IANA zone of the home.
    said
        The clock, where it was said.
    shown
        From a day on which the wall clock changes and the change of its length [s] to what the rows of that day show:
        clock, confidence and why; None where they show nothing.
    """
    if said:
        return said, Guess("clock", said, 1.0, "as said")
    if on_utc(first, last, zone):
        same = f"{zone} is on UTC on all of these days, so that both clocks read alike"
        return "utc", Guess("clock", "UTC", EITHER, same)
    found = [each for day, change in change_days(first, last, zone) if (each := shown(day, change)) is not None]
    nothing = ("local", EITHER, "no clock change shows which it is: confirm it")
    clock, sure, why = max(found, key=lambda each: each[1], default=nothing)
    return clock, Guess("clock", "UTC" if clock == "utc" else f"wall time in {zone}", sure, why)


def shown_by_stamps(
    wall: Dates, filled: Bools, day: np.datetime64, *, change: int, step: int, zone: str
) -> Shown | None:
    """What the stamps of one day of a clock change show; None where they show nothing."""
    stamps, times = np.unique(wall, return_counts=True)
    changed = changed_by(stamps, zone, change)
    if change > 0 and changed.any():
        if times[changed].max() > np.median(times):
            return "local", 0.95, f"the hour that comes twice on {day} stands twice"
        return "utc", 0.7, f"the hour that comes twice on {day} stands once"
    if change < 0 and step and filled[np.isin(wall, stamps[changed])].any():
        return "utc", 0.9, f"{day} has readings in the hour that the wall clock skips"
    if change < 0 and step and len(wall) >= 0.8 * (86400 + change) / step:
        return "local", 0.95, f"{day} lacks the hour that the wall clock skips"
    return None


def changed_by(wall: Dates, zone: str, change: int) -> Bools:
    """Which of these wall times the zone's clock never shows, or shows twice where it is set back, (n,)."""
    index = pd.DatetimeIndex(wall)
    if change < 0:
        return np.asarray(index.tz_localize(zone, ambiguous=np.ones(len(wall), bool), nonexistent="NaT").isna())
    return np.asarray(index.tz_localize(zone, ambiguous="NaT", nonexistent="shift_forward").isna())


def label_of(table: Table, layout: Layout, naive: Dates, *, step: int, said: str | None) -> tuple[str, Guess]:
    """Part of its interval that a stamp names: by word, by the head of its column, or by the first and last of them."""
    head = table.head[layout.stamp].lower()
    cells = table.cells[layout.time if layout.time is not None else layout.stamp]
    first = int(naive[0].astype(np.int64) % 86400)
    last = int(naive[-1].astype(np.int64) % 86400)
    label, sure, why = "start", 0.6, "the usual way; nothing shows it: confirm it"
    if said:
        label, sure, why = said, 1.0, "as said"
    elif layout.end is not None or re.search(START_WORDS, head):
        sure, why = 0.97, "the head says so"
    elif re.search(END_WORDS, head):
        label, sure, why = "end", 0.97, "the head says so"
    elif any("24:00" in cell for cell in cells.iloc[: 2 * 1440 // max(step // 60, 1)]):
        label, sure, why = "end", 0.97, "a day ends at 24:00"
    elif 0 < step < 86400 and first == step and last in (0, 86400 - step):
        label, sure, why = "end", 0.95 if last == 0 else 0.7, "the first is one interval after midnight"
    elif first == 0 and last == (86400 - step) % 86400:
        sure, why = 0.95, "the rows begin at midnight and end one interval before it"
    return label, Guess("stamps", f"{label} of the interval", sure, why)
