"""Cells and their layout in; starts of intervals in UTC with the cells' values, in the order of time, out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Dates, Floats, Ints
from simkit.meter.reading.clocks import Shown, change_days, clock_of, in_order, label_of, shown_by_stamps
from simkit.meter.reading.columns import LOST
from simkit.meter.reading.layout import Guess, Layout, Rows
from simkit.meter.reading.wide import rows_of_days, steps_of
from simkit.readers.stamps import Parsed, local_midnights, minute_of_cell, parsed, to_utc, usual_step
from simkit.readers.table import Table, numbers_of

NOON_S = 43200


def rows_of(table: Table, layout: Layout, zone: str, said: dict[str, str]) -> Rows:
    """Put every reading of a table on UTC."""
    dates = parsed(table.cells[layout.stamp].tolist(), layout.order)
    good = ~np.isnat(dates.naive)
    if layout.shape == "wide":
        return rows_of_days(table, layout, dates.naive, good=good, zone=zone, said=said)
    values = np.column_stack(
        [numbers_of(table.cells[c.position].tolist(), layout.decimal, LOST) for c in layout.columns]
    )
    if layout.shape == "numbered":
        return _numbered(table, layout, dates.naive, values, good=good, zone=zone, said=said)
    naive, timed = dates.naive.copy(), dates.timed
    if layout.time is not None:
        cells = table.cells[layout.time].tolist()
        known = {cell: minute_of_cell(cell) for cell in set(cells)}
        minutes = np.array([-1 if (m := known[cell]) is None else m for cell in cells], dtype=np.int64)
        good &= minutes >= 0
        naive, timed = naive + (minutes * 60).astype("timedelta64[s]"), True
    if not timed:
        return _dated(table, layout, naive, values, good=good, zone=zone)
    return _stamped(table, layout, replace(dates, naive=naive), values, good=good, zone=zone, said=said)


def _usual_step(naive: Dates) -> int:
    """Commonest distance of rows [s]; 0 where none is common, or it is longer than a day."""
    step, share = usual_step(naive)
    return step if share > 0.5 and step <= 86400 else 0


def _stamped(
    table: Table,
    layout: Layout,
    dates: Parsed,
    values: Floats,
    *,
    good: Bools,
    zone: str,
    said: dict[str, str],
) -> Rows:
    """Rows with a date and a time of day."""
    number = np.flatnonzero(good)
    notes: list[str] = []
    naive, offset = dates.naive[number], dates.offset[number]
    if len(naive) > 1 and np.mean(np.diff(naive) < np.timedelta64(0, "s")) > 0.5:
        number, naive, offset = number[::-1], naive[::-1], offset[::-1]
        notes.append("The newest rows stand first: they were turned round.")
    usual = _usual_step(naive)
    day, first, last = naive.astype("datetime64[D]"), naive.min(), naive.max()
    filled = (np.nan_to_num(values[number]) != 0).any(axis=1)

    def shown(d: np.datetime64, change: int) -> Shown | None:
        return shown_by_stamps(naive[day == d], filled[day == d], d, change=change, step=usual, zone=zone)

    clock, guess = clock_of(first, last, zone, said=said.get("clock"), shown=shown)
    if not said.get("clock") and np.isfinite(offset).all():
        clock, guess = "offset", Guess("clock", "each stamp's own offset", 1.0, "it stands beside the time")
    days = tuple((str(d), int(np.count_nonzero(day == d))) for d, _ in change_days(first, last, zone))
    order, back = in_order(naive, clock, offset)
    if back:
        notes.append(
            f"Time goes backwards {back} times (first in line {table.lines[number[order[1]]]}): "
            "the rows were put in order, all are kept."
        )
    number, naive, offset = number[order], naive[order], offset[order]
    label, label_guess = label_of(table, layout, naive, step=usual, said=said.get("label"))
    if clock == "offset":
        at, skipped, single = naive - (offset * 60).astype("timedelta64[s]"), 0, 0
    else:
        at, never, once = to_utc(naive, clock, zone)
        skipped, single = int(never.sum()), int(once.sum())
    if skipped:
        notes.append(f"{skipped} rows name a time that the wall clock skips: they are left out.")
    if single and clock == "local":
        notes.append(
            f"{single} rows of the hour that comes twice come once: they are taken for its first time round, "
            "the second is a gap."
        )
    if any(column.register for column in layout.columns):
        label = "instant"
    shift = {"end": usual, "middle": usual // 2}.get(label, 0)
    at = at - np.timedelta64(shift, "s")
    known = ~np.isnat(at)
    settled = layout.settled(clock, label, guess, label_guess)
    return Rows(at[known], values[number[known]], usual, number[known], settled, tuple(notes), days)


def _dated(table: Table, layout: Layout, naive: Dates, values: Floats, *, good: Bools, zone: str) -> Rows:
    """Rows with dates only: registers read at some time of the day, or the use of whole days."""
    number = np.flatnonzero(good)
    order = np.argsort(naive[number], kind="stable")
    notes: list[str] = []
    back = int(np.count_nonzero(np.diff(naive[number]) < np.timedelta64(0, "s")))
    if 0 < back < 0.5 * len(number):
        notes.append(f"Dates go backwards {back} times: the rows were put in order, all are kept.")
    number = number[order]
    days = naive[number].astype("datetime64[D]")
    register = any(column.register for column in layout.columns)
    at = local_midnights(days, zone)
    if register:
        at = at + np.timedelta64(NOON_S, "s")
        notes.append("Readings without a time of day are taken at noon: half a day either way at most.")
    ends = None if register or layout.end is None else _ends_of(table, layout, days, number, zone=zone)
    step = _usual_step(naive[number])
    daily = step == 86400
    label, words = ("instant", "instants of a register") if register else ("end", "end of the span")
    if daily and not register:
        label, words = "start", "whole days"
    if ends is not None:
        label, words = "start", "a start and an end in each row"
    clock = Guess("clock", f"civil days in {zone}", 0.95, "dates without times")
    settled = layout.settled("local", label, clock, Guess("stamps", words, 0.8, "as the dates follow"))
    return Rows(at, values[number], 0, number, settled, tuple(notes), (), ends)


def _ends_of(table: Table, layout: Layout, days: Dates, number: Ints, *, zone: str) -> Dates | None:
    """Ends of spans that are given by date; a bill that ends the day before the next begins counts its last day."""
    last: Dates = parsed(table.cells[layout.end].tolist(), layout.order).naive[number].astype("datetime64[D]")
    if np.isnat(last).any() or (last < days).any():
        return None
    between = (days[1:] - last[:-1]).astype(np.int64)
    whole = not len(between) or bool(np.median(between) > 0) or bool((last == days).any())
    return local_midnights((last.astype(np.int64) + int(whole)).astype("datetime64[D]"), zone)


def _numbered(
    table: Table,
    layout: Layout,
    naive: Dates,
    values: Floats,
    *,
    good: Bools,
    zone: str,
    said: dict[str, str],
) -> Rows:
    """A date and the number of the interval in each row."""
    index = numbers_of(table.cells[layout.number].tolist(), ".")
    good &= np.isfinite(index)
    number = np.flatnonzero(good)
    index, days = index[number].astype(np.int64), naive[number].astype("datetime64[D]")
    first = int(index.min())
    nominal = steps_of(int(np.median(pd.Series(index).groupby(days).max())) - first + 1, table)
    step = 86400 // nominal
    changes = change_days(days.min(), days.max(), zone)
    counts = tuple((str(d), int(np.count_nonzero(days == d))) for d, _ in changes)
    held = dict(counts)

    def shown(d: np.datetime64, change: int) -> Shown | None:
        if held[str(d)] == nominal + change // step:
            return "local", 0.97, f"{d} has {held[str(d)]} rows"
        return ("utc", 0.9, f"{d} has {nominal} rows, as any other day") if held[str(d)] == nominal else None

    clock, guess = clock_of(days.min(), days.max(), zone, said=said.get("clock"), shown=shown)
    base = local_midnights(days, zone) if clock == "local" else to_utc(days.astype("datetime64[s]"), clock, zone)[0]
    at = base + ((index - first) * step).astype("timedelta64[s]")
    order = np.argsort(at, kind="stable")
    settled = layout.settled(clock, "start", guess)
    return Rows(at[order], values[number[order]], step, number[order], settled, (), counts)
