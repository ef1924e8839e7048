"""Stamps of a file in; the clock they run on, the part of the interval they name, and their order, out."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Dates, Floats, Ints
from simkit.meter.reading.layout import Guess, Layout
from simkit.meter.reading.words import END_WORDS, START_WORDS
from simkit.readers.stamps import local_midnights
from simkit.readers.table import Table

EITHER = 0.5  # nothing in the data tells the clocks apart
DAY = np.timedelta64(86400, "s")


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
    naive: Dates, offset: Floats, values: Floats, *, step: int, zone: str, said: str | None
) -> tuple[str, Guess, tuple[tuple[str, int], ...]]:
    """Clock of the stamps, why, and the rows found on days on which the wall clock changes."""
    changes = change_days(naive.min(), naive.max(), zone)
    day = naive.astype("datetime64[D]")
    counts = tuple((str(d), int(np.count_nonzero(day == d))) for d, _ in changes)
    if said:
        return said, Guess("clock", said, 1.0, "as said"), counts
    if np.isfinite(offset).all():
        return "offset", Guess("clock", "each stamp's own offset", 1.0, "it stands beside the time"), counts
    if on_utc(naive.min(), naive.max(), zone):
        return (
            "utc",
            Guess("clock", "UTC", EITHER, f"the clock of {zone} is UTC all through: these rows read alike on both"),
            counts,
        )
    filled = np.isfinite(values).any(axis=1) & (np.nan_to_num(values) != 0).any(axis=1)
    for d, change in changes:
        there = day == d
        known = _shown_by(naive[there], filled[there], d, change=change, step=step, zone=zone)
        if known is not None:
            return *known, counts
    if any(change > 0 for _, change in changes):
        return "utc", Guess("clock", "UTC", 0.7, "the hour that comes twice stands once"), counts
    return "local", Guess("clock", f"wall time in {zone}", 0.5, "no clock change shows which it is: confirm it"), counts


def _shown_by(
    wall: Dates, filled: Bools, day: np.datetime64, *, change: int, step: int, zone: str
) -> tuple[str, Guess] | None:
    """What the rows of one day of a clock change show; None where they show nothing."""
    if change > 0 and len(np.unique(wall)) < len(wall):
        return "local", Guess("clock", f"wall time in {zone}", 0.95, f"the hour that comes twice on {day} stands twice")
    if change < 0 and step:
        if filled[skipped_by(wall, zone)].any():
            return "utc", Guess("clock", "UTC", 0.9, f"{day} has readings in the hour that the wall clock skips")
        if len(wall) >= 0.8 * (86400 + change) / step:
            return "local", Guess(
                "clock", f"wall time in {zone}", 0.95, f"{day} lacks the hour that the wall clock skips"
            )
    return None


def skipped_by(wall: Dates, zone: str) -> Bools:
    """Which of these wall times the zone's clock never shows, (n,)."""
    return np.asarray(
        pd.DatetimeIndex(wall).tz_localize(zone, ambiguous=np.ones(len(wall), bool), nonexistent="NaT").isna()
    )


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
