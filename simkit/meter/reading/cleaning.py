"""Rows of readings in; kWh on a grid or in spans, doubtful values taken out and counted, out."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.errors import DataError, Fault
from simkit.meter.reading.register import used_between
from simkit.meter.reading.report import holes_of
from simkit.meter.reading.rows import Rows
from simkit.meter.reading.words import M3_PER_100_FT3, TEMPERATURES, quantity_of, unit_of_words
from simkit.readers.table import Table

MOST_KW = {"import_kwh": 30.0, "export_kwh": 30.0, "heat_pump_kwh": 25.0, "heat_kwh": 50.0, "fuel_kwh": 80.0}
# own: above three-phase connections of 40 A and boilers of homes; a fuse or a burner ends it there
TEMPERATURE_LIMITS = (-45.0, 55.0)
NETTED_FROM = 0.02
LONGEST_GRID = 4_000_000
ESTIMATED = ("e", "est", "estimated", "estimate", "g", "geschätzt", "assumed", "substituted")
PER_KWH = {"kWh": 1.0, "Wh": 0.001, "MWh": 1000.0}


def in_kwh(table: Table, rows: Rows, kwh_per_unit: float | None) -> Floats:
    """Values of every column in kWh (of the interval, or of the register) or °C, (n, columns)."""
    made = rows.values.astype(np.float64).copy()
    hours = rows.step_s / 3600.0
    for j, column in enumerate(rows.layout.columns):
        if column.quantity in TEMPERATURES:
            if column.unit == "°F":
                made[:, j] = (made[:, j] - 32.0) / 1.8
            continue
        unit = column.unit or _unit_by_size(made[:, j], hours, column.register)
        if column.quantity == "fuel_kwh" and unit in ("m3", "ft3", "ft3_100"):
            made[:, j] *= _gas(table, unit, kwh_per_unit)
        elif unit in ("kW", "W"):
            if not hours:
                raise DataError(
                    Fault(
                        table.name,
                        f'"{column.head}" in {unit}',
                        "is power, and rows of odd length don't say for how long",
                        "Export energy in kWh",
                    )
                )
            made[:, j] *= hours * (1.0 if unit == "kW" else 0.001)
        elif unit in PER_KWH:
            made[:, j] *= PER_KWH[unit]
        else:
            raise DataError(
                Fault(
                    table.name,
                    f'"{column.head}" in {unit}',
                    f"can't be {column.quantity}",
                    "Say its unit in the mapping",
                )
            )
    if rows.layout.unit is not None:
        made = _by_row(table, rows, made, hours, kwh_per_unit)
    return made


def _gas(table: Table, unit: str, kwh_per_unit: float | None) -> float:
    if kwh_per_unit is None:
        allowed = "is a volume, and its energy depends on the gas: nothing was kept"
        remedy = (
            "Say kwh_per_unit, kWh a m³ gross as the gas bill states it (volume correction × calorific value / 3.6)"
        )
        raise DataError(Fault(table.name, f"gas in {unit}", allowed, remedy))
    return kwh_per_unit * {"m3": 1.0, "ft3": M3_PER_100_FT3 / 100.0, "ft3_100": M3_PER_100_FT3}[unit]


def _by_row(table: Table, rows: Rows, made: Floats, hours: float, kwh_per_unit: float | None) -> Floats:
    """Rows whose own unit differs from the first one's; rows of another kind of quantity are left out."""
    cells = table.cells[rows.layout.unit].to_numpy()[rows.cell]
    first = rows.layout.columns[0].unit
    base = {**PER_KWH, "kW": hours, "W": hours / 1000.0}
    for cell in {str(c) for c in cells}:
        unit = unit_of_words(cell)
        if cell == "" or unit == first:
            continue
        there = cells == cell
        factor = base[unit] / base[first] if unit in base and first in base else np.nan
        made[there] *= factor
    return made


def _unit_by_size(values: Floats, hours: float, register: bool) -> str:
    """Unit by size, where nothing says it: the mean power of a home lies between 20 W and 20 kW."""
    if register or not hours:
        return "kWh"
    typical = float(np.nanmean(np.abs(values))) / hours
    return "Wh" if typical > 60.0 else "kWh"


def spans(rows: Rows, kwh: Floats) -> tuple[pd.DataFrame, dict[str, Any]]:
    """Spans of odd length: registers between their readings, or uses of days or since the row before."""
    at = pd.DatetimeIndex(rows.at, tz="UTC").as_unit("us")
    keep = np.isfinite(kwh).any(axis=1)
    at, kwh = at[keep], kwh[keep]
    register = any(column.register for column in rows.layout.columns)
    # a counter read twice at one time was swapped then: the old one's last reading and the new one's first both count
    alike = np.isclose(kwh[1:], kwh[:-1], equal_nan=True).all(axis=1) if register else True
    same = np.concatenate([(np.diff(at.asi8) == 0) & alike, [False]])
    at, kwh = at[~same], kwh[~same]
    if rows.ends is not None:
        ends = pd.DatetimeIndex(rows.ends, tz="UTC").as_unit("us")[keep][~same]
        frame = pd.DataFrame({"end": ends}, index=at)
        for j, column in enumerate(rows.layout.columns):
            _add(frame, column.quantity, kwh[:, j])
        return frame, {"duplicates": int(same.sum()), "notes": _overlapping(frame)}
    if len(at) < 2 and rows.layout.label != "start":
        return pd.DataFrame({"end": at[:0]}, index=at[:0]), {"duplicates": int(same.sum())}
    if rows.layout.label == "start":
        days = at.tz_convert("UTC")
        end = days + pd.Timedelta(days=1)
        end = end.where(np.append(np.diff(at.asi8) > 25.5 * 3.6e9, True), np.append(at[1:], end[-1:]))
        frame = pd.DataFrame({"end": pd.DatetimeIndex(end)}, index=at)
        for j, column in enumerate(rows.layout.columns):
            _add(frame, column.quantity, kwh[:, j])
        return frame, {"duplicates": int(same.sum())}
    frame = pd.DataFrame({"end": at[1:]}, index=at[:-1])
    counts = {"rolled": 0, "swapped": 0, "duplicates": int(same.sum())}
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


def _overlapping(frame: pd.DataFrame) -> tuple[str, ...]:
    """Say where a span begins before the one above it has ended."""
    over = np.flatnonzero(frame.index[1:] < pd.DatetimeIndex(frame["end"])[:-1])
    first = f"{frame.index[over[0] + 1]:%Y-%m-%d}" if len(over) else ""
    return (f"{len(over)} spans begin before the one above has ended (first {first}): days count twice.",) * bool(first)


def _add(frame: pd.DataFrame, quantity: str, values: Floats) -> None:
    """Two registers of one quantity (day and night) are added up; unknown where one of them is."""
    frame[quantity] = frame[quantity].to_numpy() + values if quantity in frame else values


def on_grid(table: Table, rows: Rows, kwh: Floats) -> tuple[pd.DataFrame, dict[str, Any]]:
    """Intervals of equal length on a whole grid, NaN where there is no reading."""
    seconds = rows.at.astype(np.int64)
    first, step = int(seconds.min()), rows.step_s
    count = int((seconds.max() - first) // step) + 1
    if count > LONGEST_GRID:
        ends = pd.to_datetime([first, int(seconds.max())], unit="s")
        given = f"rows from {ends[0]:%Y-%m-%d} to {ends[1]:%Y-%m-%d}"
        raise DataError(
            Fault(table.name, given, "span more than a life of readings", "Look for a stamp in the wrong year or order")
        )
    on = (seconds - first) % step == 0
    counts: dict[str, Any] = {"duplicates": 0, "contradictions": 0}
    if not on.all():
        counts["notes"] = (f"{int(np.count_nonzero(~on))} rows lie between the intervals: they are left out.",)
    slot, kwh = ((seconds - first) // step)[on], kwh[on]
    instant = any(column.register for column in rows.layout.columns)
    starts = pd.DatetimeIndex((first + np.arange(count - instant) * step).astype("datetime64[s]"), tz="UTC").as_unit(
        "us"
    )
    frame = pd.DataFrame({"end": starts + pd.Timedelta(seconds=step)}, index=starts)
    cells = rows.cell[on]
    if rows.layout.direction is not None:
        ways = table.cells[rows.layout.direction].to_numpy()[cells]
        for way in dict.fromkeys(ways.tolist()):
            quantity = quantity_of(str(way)) or "import_kwh"
            here = ways == way
            _add(frame, quantity, _placed(slot[here], kwh[here, 0], count, counts)[: len(frame)])
        return frame, counts
    for j, column in enumerate(rows.layout.columns):
        placed = _placed(slot, kwh[:, j], count, counts)
        if column.register:
            placed = _between(placed, counts)
        _add(frame, column.quantity, placed[: len(frame)])
    _refuse_two(table, counts, count)
    return frame, counts


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


def _refuse_two(table: Table, counts: dict[str, Any], count: int) -> None:
    if counts["contradictions"] > 0.2 * count:
        given = f"{counts['contradictions']} of {count} intervals"
        allowed = (
            "come more than once with different values: two meters, or import and export, are in one file; "
            "nothing was kept"
        )
        raise DataError(Fault(table.name, given, allowed, "Export one meter, or keep the column that tells them apart"))


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
    lost = float(np.nansum(used.used[~single]))
    if (~single).any():
        counts["notes"] = (
            *counts.get("notes", ()),
            f"{lost:.1f} kWh of the register fell into gaps: they are in no interval.",
        )
    return made


def cleaned(table: Table, rows: Rows, made: tuple[pd.DataFrame, dict[str, Any]]) -> tuple[pd.DataFrame, dict[str, Any]]:
    """Take out spikes and values below nought, part what was netted, mark estimates and list the gaps."""
    frame, counts = made
    if frame.empty:
        raise DataError(
            Fault(
                table.name,
                "one reading",
                "says nothing about what was used",
                "Give at least two readings of the register",
            )
        )
    hours = np.asarray((frame["end"] - frame.index) / pd.Timedelta(hours=1))
    spikes = negatives = 0
    suspicious: list[str] = []
    notes = [*rows.notes, *counts.pop("notes", ())]
    for name in [name for name in frame if name != "end"]:
        values = frame[name].to_numpy(dtype=np.float64).copy()
        if name in TEMPERATURES:
            wild = (values < TEMPERATURE_LIMITS[0]) | (values > TEMPERATURE_LIMITS[1])
            spikes += int(wild.sum())
            frame[name] = np.where(wild, np.nan, values)
            continue
        below = values < -1e-9
        if name == "import_kwh" and "export_kwh" not in frame and below.mean() > NETTED_FROM:
            notes.append(
                f"{int(below.sum())} intervals are below nought: import and export are netted in one "
                "column; they are read as export, the others as import."
            )
            frame["export_kwh"] = np.where(np.isnan(values), np.nan, np.maximum(-values, 0.0))
            values = np.maximum(values, 0.0)
        elif below.any():
            negatives += int(below.sum())
            values[below] = np.nan
        wild = values > MOST_KW[name] * hours
        spikes += int(wild.sum())
        suspicious += _another_unit(name, values, wild, frame)
        values[wild] = np.nan
        frame[name] = values
        suspicious += _odd(name, values, hours)
    frame["estimated"] = _estimated(table, rows, frame)
    regular = rows.step_s > 0
    missing = frame.drop(columns=["end", "estimated"]).isna().all(axis=1).to_numpy()
    holes = holes_of(missing, pd.DatetimeIndex(frame.index), pd.Timedelta(seconds=rows.step_s)) if regular else ()
    counts |= {"spikes": spikes, "negatives": negatives, "estimated": int(frame["estimated"].sum()), "holes": holes}
    return frame, counts | {"notes": tuple(notes), "suspicious": tuple(suspicious)}


def _another_unit(name: str, values: Floats, wild: np.ndarray, frame: pd.DataFrame) -> list[str]:
    """Say where values are too large together and by about a thousand: the file changes its unit."""
    if not 0.02 < wild.mean() < 0.98 or not np.nanmedian(values[~wild]) > 0:
        return []
    ratio = float(np.nanmedian(values[wild]) / np.nanmedian(values[~wild]))
    if not 300.0 < ratio < 3000.0:
        return []
    since = f"{frame.index[int(np.argmax(wild))]:%Y-%m-%d %H:%M}"
    return [
        f"{int(wild.sum())} values of {name} are about a thousand times the others, first at {since} UTC: "
        "Wh and kWh are mixed in one column. They are left out; cut the file where its unit changes."
    ]


def _odd(name: str, values: Floats, hours: np.ndarray) -> list[str]:
    """Sentences on what is possible and odd: long runs of nought, and sizes that no home has."""
    good = np.isfinite(values)
    if not good.any():
        return []
    said = []
    zero = np.concatenate([[False], good & (values == 0), [False]]).astype(np.int8)
    edges = np.flatnonzero(np.diff(zero)).reshape(-1, 2)
    run = max(((float(hours[a:b].sum()), a) for a, b in edges), default=(0.0, 0))
    if name == "import_kwh" and run[0] > 24.0:
        said.append(f"{name} is exactly nought for {run[0]:.0f} hours on end: a gap may have been written as 0.")
    per_day = float(values[good].sum() / hours[good].sum() * 24.0)
    if name == "fuel_kwh" and 0.5 < per_day < 9.0:
        said.append(
            f"{name} comes to {per_day:.1f} kWh a day: if the file is in m³, it is about {11.2 * per_day:.0f} kWh."
        )
    if name == "import_kwh" and per_day > 250.0:
        said.append(f"{name} comes to {per_day:.0f} kWh a day, more than homes use: is it in another unit?")
    if name == "import_kwh" and per_day < 0.5:
        said.append(f"{name} comes to {per_day:.2f} kWh a day, less than a refrigerator uses: is it in another unit?")
    return said


def _estimated(table: Table, rows: Rows, frame: pd.DataFrame) -> np.ndarray:
    made = np.zeros(len(frame), dtype=bool)
    if rows.layout.flag is None:
        return made
    flags = table.cells[rows.layout.flag].str.lower().isin(ESTIMATED).to_numpy()[rows.cell]
    at = pd.DatetimeIndex(rows.at[flags], tz="UTC").as_unit("us")
    place = np.asarray(frame.index.get_indexer(at))
    made[place[place >= 0]] = True
    if any(column.register for column in rows.layout.columns):
        ends = pd.DatetimeIndex(frame["end"]).get_indexer(at)
        made[ends[ends >= 0]] = True
    return made
