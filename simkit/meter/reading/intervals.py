"""Cells and their layout in; starts of intervals in UTC with the cells' values, in the order of time, out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Dates, Floats, Ints
from simkit.errors import DataError, Fault
from simkit.meter.reading.clocks import (
    Shown,
    Stamps,
    change_days,
    in_order,
    label_odds,
    rows_on,
    settle,
    shown_by_stamps,
    words_about,
)
from simkit.meter.reading.columns import LOST
from simkit.meter.reading.layout import Guess, Layout, Rows
from simkit.meter.reading.wide import rows_of_days, steps_of
from simkit.readers.stamps import Parsed, local_midnights, minute_of_cell, parsed, to_utc, usual_step
from simkit.readers.table import Table, numbers_of

NOON_S = 43200
LEAST_CLOSING, MOSTLY = 2, 0.9  # own: midnights that end their date, and their share of all midnights
STEPS = (60, 120, 180, 300, 600, 900, 1200, 1800, 3600, 7200, 10800, 21600, 43200, 86400)  # of loggers [s]


def rows_of(table: Table, layout: Layout, zone: str, said: dict[str, str]) -> Rows:
    """Put every reading of a table on UTC."""
    dates = parsed(table.cells[layout.stamp].tolist(), layout.order)
    good = ~np.isnat(dates.naive)
    _require_stamps(table, layout, dates)
    if layout.shape == "wide":
        return rows_of_days(table, layout, dates.naive, good=good, zone=zone, said=said)
    values = np.column_stack(
        [numbers_of(table.cells[c.position].tolist(), layout.decimal, LOST) for c in layout.columns]
    )
    if layout.shape == "numbered":
        return _numbered(table, layout, dates.naive, values, good=good, zone=zone, said=said)
    naive, timed = dates.naive.copy(), dates.timed
    if timed and layout.time is None and (midnights := _midnights(dates, good, zone)) is not None:
        return _dated(table, layout, midnights, values, good=good, zone=zone, said=said, noon=False)
    if layout.time is not None:
        cells = table.cells[layout.time].tolist()
        known = {cell: minute_of_cell(cell) for cell in set(cells)}
        minutes = np.array([-1 if (m := known[cell]) is None else m for cell in cells], dtype=np.int64)
        good &= minutes >= 0
        naive, timed = naive + (minutes * 60).astype("timedelta64[s]"), True
    if not timed:
        return _dated(table, layout, naive, values, good=good, zone=zone, said=said, noon=True)
    return _stamped(table, layout, replace(dates, naive=naive), values, good=good, zone=zone, said=said)


def _midnights(dates: Parsed, good: Bools, zone: str) -> Dates | None:
    """Civil midnights, where every row stands at one: days or longer, whatever the clock that their stamps are on."""
    naive = dates.naive.copy()
    if np.isfinite(dates.offset[good]).all():
        utc = pd.DatetimeIndex(naive - (np.nan_to_num(dates.offset) * 60).astype("timedelta64[s]"), tz="UTC")
        naive = utc.tz_convert(zone).tz_localize(None).to_numpy().astype("datetime64[s]")
    at = naive[good]
    whole = len(np.unique(at)) > 1 and np.mean(at == at.astype("datetime64[D]")) > 0.99
    return naive if whole else None


def _require_stamps(table: Table, layout: Layout, dates: Parsed) -> None:
    """Refuse rows none of which has a date, or of which only some say how far their clock is from UTC."""
    own = np.isfinite(dates.offset[~np.isnat(dates.naive)])
    if not len(own):
        shown = f'such as "{table.cells[layout.stamp].iloc[0]}"'
        raise DataError(Fault(table.name, "the stamps", f"are no dates, {shown}", "Write such as 2025-01-31T07:00"))
    if own.any() and not own.all():
        allowed = "have an offset from UTC or a Z, and the others none, so that their clock can't be known"
        given = f"{int(own.sum()):,} of {len(own):,} stamps"
        raise DataError(Fault(table.name, given, allowed, "Export it again with the same kind of stamp in every row"))


def _usual_step(naive: Dates) -> int:
    """Usual distance of rows [s], stamps that drift by a tenth of it allowed; 0 where none is, or it is over a day."""
    step, share = usual_step(naive)
    if share > 0.5:
        return step if step <= 86400 else 0
    apart = np.diff(np.unique(naive)).astype(np.int64)
    near = min(STEPS, key=lambda one: abs(one - float(np.median(apart)))) if len(apart) else 0
    return near if near and np.mean(np.abs(apart - near) < 0.15 * near) > 0.8 else 0


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
    closing = _closing(naive)
    if closing.any():
        naive = naive + closing * np.timedelta64(1, "D")
        notes.append("Each day's last row is stamped with its own date and midnight: it is taken for the day's end.")
    usual, registers = _usual_step(naive), any(column.register for column in layout.columns)
    day, first, last = naive.astype("datetime64[D]"), naive.min(), naive.max()
    filled, changes = (np.nan_to_num(values[number]) != 0).any(axis=1), change_days(first, last, zone)
    seen = (
        shown_by_stamps(naive[day == d], filled[day == d], d, change=change, step=usual, zone=zone)
        for d, change in changes
    )
    odds = {"start": 1.0} if registers else label_odds(table, layout, usual)
    series = {} if registers else {c.quantity: values[number][:, j] for j, c in enumerate(layout.columns)}
    whole = Stamps(naive, usual, zone, words_about(table, layout), odds, series, [each for each in seen if each])
    clock, label, (guess, label_guess) = settle(whole, said)
    if registers:
        label_guess = Guess("stamps", "instants of a register", 0.99, "it runs on")
    if not said.get("clock") and np.isfinite(offset).all():
        clock, guess = "offset", Guess("clock", "each stamp's own offset", 0.99, "it stands beside the time")
    days = rows_on(day, changes)
    order, back = in_order(naive, clock, offset)
    if back:
        notes.append(
            f"Time goes backwards {back} times (first in line {table.lines[number[order[1]]]}): "
            "the rows were put in order, all are kept."
        )
    number, naive, offset = number[order], naive[order], offset[order]
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
    label = "instant" if registers else label
    shift = {"end": usual, "middle": usual // 2}.get(label, 0)
    at = at - np.timedelta64(shift, "s")
    known = ~np.isnat(at)
    settled = layout.settled(clock, label, guess, label_guess)
    return Rows(at[known], values[number[known]], usual, number[known], settled, tuple(notes), days)


def _closing(naive: Dates) -> Bools:
    """Midnights that stand behind the other rows of their date and so end it; none where others begin theirs, (n,)."""
    day = naive.astype("datetime64[D]")
    midnight, last = naive == day, np.zeros(len(naive), dtype=bool)
    last[1:] = midnight[1:] & (day[1:] == day[:-1]) & (naive[1:] < naive[:-1])
    return last if last.sum() >= LEAST_CLOSING and last.sum() >= MOSTLY * midnight.sum() else np.zeros_like(last)


def _dated(
    table: Table,
    layout: Layout,
    naive: Dates,
    values: Floats,
    *,
    good: Bools,
    zone: str,
    said: dict[str, str],
    noon: bool,
) -> Rows:
    """Rows of days or longer: registers read at some time of the day, noon where none is said; or the use of spans."""
    number = np.flatnonzero(good)
    order = np.argsort(naive[number], kind="stable")
    notes: list[str] = []
    back = int(np.count_nonzero(np.diff(naive[number]) < np.timedelta64(0, "s")))
    if 0 < back < 0.5 * (len(number) - 1):
        notes.append(f"Dates go backwards {back} times: the rows were put in order, all are kept.")
    number = number[order]
    days = naive[number].astype("datetime64[D]")
    register = any(column.register for column in layout.columns)
    at = local_midnights(days, zone)
    if register and noon:
        at = at + np.timedelta64(NOON_S, "s")
        notes.append("Readings without a time of day are taken at noon: half a day either way at most.")
    clock = Guess("clock", f"civil days in {zone}", 0.97, "dates without times")
    if register:
        stamps = Guess("stamps", "instants of a register", 0.97, "it runs on")
        return Rows(at, values[number], 0, number, layout.settled("local", "instant", clock, stamps), tuple(notes))
    label, stamps, ends = _spans_of(table, layout, days, number, zone=zone, said=said)
    if label == "end" and ends is not None:
        at = local_midnights((days.astype(np.int64) - 1).astype("datetime64[D]"), zone)
    return Rows(at, values[number], 0, number, layout.settled("local", label, clock, stamps), tuple(notes), (), ends)


def _spans_of(
    table: Table, layout: Layout, days: Dates, number: Ints, *, zone: str, said: dict[str, str]
) -> tuple[str, Guess, Dates | None]:
    """Part of their spans that dates without times name, how sure that is, and the ends where they are known."""
    if layout.end is not None and (ends := _ends_of(table, layout, days, number, zone=zone)) is not None:
        return "start", Guess("stamps", "a start and an end in each row", 0.97, "the heads say so"), ends
    odds = label_odds(table, layout, 86400)
    months = days == days.astype("datetime64[M]").astype("datetime64[D]")
    apart = np.diff(np.unique(days)).astype(np.int64)
    daily = len(apart) > 0 and float(np.median(apart)) == 1.0
    monthly = not daily and bool(months.all())
    usual = (
        {"start": 0.95, "end": 0.05}
        if daily
        else {"start": 0.85, "end": 0.15}
        if monthly
        else {"start": 0.2, "end": 0.8}
    )
    if max(odds.values()) > 0.9:
        usual = {"start": odds["start"], "end": odds["end"]}
    label = said.get("label") or max(usual, key=lambda one: usual[one])
    words = {"start": "whole days" if daily else "start of the span", "end": "end of the span"}
    choices = tuple((one, words[one], usual[one]) for one in sorted(usual, key=lambda one: -usual[one]))
    sure = 1.0 if said.get("label") else usual[label] / sum(usual.values())
    guess = Guess("stamps", words[label], sure, "as the dates follow", "label", choices)
    if daily:
        after = days + np.timedelta64(1, "D")
    else:
        after = (days.astype("datetime64[M]") + np.timedelta64(1, "M")).astype("datetime64[D]")
    if label == "start" and not daily and not monthly:
        after = np.append(days[1:], days[-1:])
    ends = local_midnights(after if label == "start" else days, zone) if daily or label == "start" else None
    return label, guess, ends


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
    counts = rows_on(days, changes)
    held = dict(counts)

    def shown(d: np.datetime64, change: int) -> Shown | None:
        if held[str(d)] == nominal + change // step:
            return {"local": 0.97, "fixed": 0.02}, f"{d} has {held[str(d)]} rows"
        why = f"{d} has {nominal} rows, as any other day"
        return ({"local": 0.05, "fixed": 0.95}, why) if held[str(d)] == nominal else None

    seen = [each for d, change in changes if (each := shown(d, change)) is not None]
    wall = days.astype("datetime64[s]") + ((index - first) * step).astype("timedelta64[s]")
    series = {c.quantity: values[number][:, j] for j, c in enumerate(layout.columns)}
    stamps = Stamps(wall, step, zone, words_about(table, layout), {"start": 1.0}, series, seen)
    clock, _, (guess, _) = settle(stamps, said)
    base = local_midnights(days, zone) if clock == "local" else to_utc(days.astype("datetime64[s]"), clock, zone)[0]
    at = base + ((index - first) * step).astype("timedelta64[s]")
    order = np.argsort(at, kind="stable")
    settled = layout.settled(clock, "start", guess)
    return Rows(at[order], values[number[order]], step, number[order], settled, (), counts)
