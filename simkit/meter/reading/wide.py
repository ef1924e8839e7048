"""Rows that hold more or less than an interval in; intervals on UTC out.

A day in each row, days of a clock change placed by what they hold; and registers that take turns in the rows.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Dates, Floats
from simkit.errors import DataError, Fault
from simkit.meter.reading.clocks import Shown, Stamps, change_days, changed_by, settle, words_about
from simkit.meter.reading.columns import LOST, said_of_registers
from simkit.meter.reading.layout import Column, Layout, Rows
from simkit.meter.reading.words import TEMPERATURES, quantity_of, unit_of_words
from simkit.readers.stamps import local_midnights, to_utc
from simkit.readers.table import Table, numbers_of

STEPS_A_DAY = (24, 48, 96, 144, 288, 1440)


def steps_of(places: int, table: Table) -> int:
    """Intervals of a usual day, for so many places in a row."""
    nominal = next((n for n in STEPS_A_DAY if abs(places - n) <= n // 12 and places - n <= n // 24 * 1 + 2), None)
    if nominal is None:
        given = f"{places} intervals a day"
        raise DataError(
            Fault(
                table.name,
                given,
                "are not those of hours, half-hours or quarters",
                "Export whole days, 24, 48 or 96 values each",
            )
        )
    return nominal


def rows_of_days(table: Table, layout: Layout, naive: Dates, *, good: Bools, zone: str, said: dict[str, str]) -> Rows:
    """A day in each row."""
    numbers = np.column_stack([numbers_of(table.cells[k].tolist(), layout.decimal, LOST) for k in layout.places])
    number = np.flatnonzero(good & np.isfinite(numbers).any(axis=1))
    number = number[np.argsort(naive[number], kind="stable")]
    numbers, days = numbers[number], naive[number].astype("datetime64[D]")
    if not len(days):
        raise DataError(
            Fault(
                table.name,
                "the rows",
                "hold no day with readings; nothing was read",
                "Look whether the decimal sign and the separator are right",
            )
        )
    nominal = steps_of(len(layout.places), table)
    step = 86400 // nominal
    changes = dict(change_days(days.min(), days.max(), zone))
    counts = tuple((str(d), int(np.isfinite(numbers[days == d]).sum())) for d in changes if (days == d).any())

    cut = numbers[:, : max(nominal, numbers.shape[1])]
    offsets = (np.arange(cut.shape[1]) * step).astype("timedelta64[s]")
    seen = [_shown_by_columns(numbers[days == d], d, change // step, nominal) for d, change in changes.items()]
    wall = (days.astype("datetime64[s]")[:, None] + offsets[None, :nominal]).ravel()
    series = {layout.columns[0].quantity: cut[:, :nominal].ravel()}
    stamps = Stamps(
        wall,
        step,
        zone,
        words_about(table, layout),
        {"start": 1.0},
        series,
        [each for each in seen if each is not None],
    )
    clock, _, (guess, _) = settle(stamps, said)
    base = local_midnights(days, zone) if clock == "local" else to_utc(days.astype("datetime64[s]"), clock, zone)[0]
    at = base[:, None] + offsets[None, :]
    keep = np.isfinite(cut) | (np.arange(cut.shape[1]) < nominal)[None, :]
    notes: list[str] = []
    if clock == "local":
        for d, change in changes.items():
            for k in np.flatnonzero(days == d):
                at[k], keep[k], said_so = _changed_day(
                    cut[k], at[k], keep[k], change=change, step=step, nominal=nominal, zone=zone
                )
                notes += [f"{d}: {said_so}"] if said_so else []
    cell = np.repeat(number, cut.shape[1]).reshape(cut.shape)
    settled = layout.settled(clock, "start", guess)
    return Rows(at[keep], cut[keep][:, None], step, cell[keep], settled, tuple(notes), counts)


def _shown_by_columns(rows: Floats, day: np.datetime64, more: int, nominal: int) -> Shown | None:
    """What the values of a day of a clock change show, which has so many intervals more (or less) than usual."""
    for row in rows:
        filled = int((np.isfinite(row) & (row != 0)).sum())
        if nominal + more in (filled, int(np.isfinite(row).sum())):
            return {"local": 0.95, "fixed": 0.02}, f"{day} has as many values as its wall clock has"
        if more < 0 and filled >= nominal:
            why = f"{day} has a full day of values, though its wall clock skips an hour"
            return {"local": 0.1, "fixed": 0.9}, why
    return None


def _changed_day(
    row: Floats, at: Dates, keep: Bools, *, change: int, step: int, nominal: int, zone: str
) -> tuple[Dates, Bools, str]:
    """Place the values of a civil day whose clock changes: one after the other, or by the wall time of their column."""
    expected = nominal + change // step
    filled = np.isfinite(row)
    place = np.arange(len(row))
    midnight = pd.Timestamp(at[0]).tz_localize("UTC").tz_convert(zone).tz_localize(None)
    gone = changed_by((midnight + pd.to_timedelta(place * step, unit="s")).to_numpy(), zone, change)
    if change < 0:
        if not filled[expected:].any():
            return at, keep & (place < expected), ""
        if not (filled[gone] & (row[gone] != 0)).any():
            after = place > np.flatnonzero(gone).max()
            moved = at + np.where(after, np.timedelta64(change, "s"), np.timedelta64(0, "s"))
            return (
                moved,
                keep & ~gone,
                "the columns of the hour that the wall clock skips are empty or zero and left out.",
            )
        return (
            at,
            keep & (place < expected),
            f"more values than the day has: the last {int(filled[expected:].sum())} are left out.",
        )
    if filled.sum() >= expected:
        return at, place < expected, ""
    after = place > np.flatnonzero(gone).max()
    moved = at + np.where(after, np.timedelta64(change, "s"), np.timedelta64(0, "s"))
    return (
        moved,
        keep & (place < nominal),
        "the hour that comes twice has one set of columns: its second time round is a gap.",
    )


def by_register(table: Table, rows: Rows, said: Mapping[str, Any]) -> Rows:
    """Registers that take turns in the rows as columns: day and night, import and export.

    Where one register of a quantity has a row and another has none, the other one stood still. Where it was said what
    they are, those that were not named are left out.
    """
    if rows.layout.direction is None or rows.layout.shape == "wide":
        return rows
    column = rows.layout.columns[0]
    names = table.cells[rows.layout.direction].to_numpy()[rows.cell]
    known = said_of_registers(table, rows.layout.direction, said)
    if known:
        kept = np.isin(names, list(known))
        names = names[kept]
        rows = replace(
            rows, at=rows.at[kept], values=rows.values[kept], cell=rows.cell[kept],
            ends=None if rows.ends is None else rows.ends[kept],
        )  # fmt: skip
    ways = list(dict.fromkeys(names.tolist()))
    quantities = [known.get(way) or quantity_of(str(way)) or column.quantity for way in ways]
    columns = tuple(_of_way(column, str(way), quantity) for way, quantity in zip(ways, quantities, strict=True))
    keys = pd.DataFrame({"at": rows.at, "way": names})
    keys["times"] = keys.groupby(["at", "way"]).cumcount()
    place, held = pd.factorize(pd.MultiIndex.from_frame(keys[["at", "times"]]), sort=True)
    values = np.full((len(held), len(ways)), np.nan)
    cell = np.zeros(len(held), dtype=np.int64)
    for j, way in enumerate(ways):
        here = names == way
        values[place[here], j] = rows.values[here, 0]
    cell[place] = rows.cell
    for j, one in enumerate(columns):
        beside = [k for k, other in enumerate(columns) if other.quantity == one.quantity and k != j]
        if beside and not column.register:
            stands = np.isnan(values[:, j]) & np.isfinite(values[:, beside]).any(axis=1)
            values[stands, j] = 0.0
    at = held.get_level_values(0).to_numpy().astype("datetime64[s]")
    ends = None
    if rows.ends is not None:
        ends = at.copy()
        ends[place] = rows.ends
    return replace(rows, at=at, values=values, cell=cell, ends=ends, layout=replace(rows.layout, columns=columns))


def _of_way(column: Column, way: str, quantity: str) -> Column:
    """The column of one register that takes turns with others; a temperature among them is none."""
    if quantity in TEMPERATURES:
        return replace(column, head=way, quantity=quantity, unit=unit_of_words(way) or "°C", register=False)
    return replace(column, head=way, quantity=quantity, unit=column.unit or unit_of_words(way) or "")
