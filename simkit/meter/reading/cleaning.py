"""Rows of readings in; kWh on a grid or in spans, doubtful values taken out and counted, out."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.errors import DataError, Fault
from simkit.meter.reading.layout import Rows
from simkit.meter.reading.words import M3_PER_100_FT3, TEMPERATURES, unit_of_words
from simkit.readers.found import gaps_of
from simkit.readers.table import Table

MOST_KW = {"import_kwh": 30.0, "export_kwh": 30.0, "heat_pump_kwh": 25.0, "heat_kwh": 50.0, "fuel_kwh": 80.0}
# own: above three-phase connections of 40 A and boilers of homes; a fuse or a burner ends it there
TEMPERATURE_LIMITS = (-45.0, 55.0)
NETTED_FROM = 0.02
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
    missing = frame.drop(columns=["end", "estimated"]).isna().all(axis=1).to_frame("")
    gaps = gaps_of(missing, pd.Timedelta(seconds=rows.step_s)) if regular else ()
    counts |= {"spikes": spikes, "negatives": negatives, "estimated": int(frame["estimated"].sum()), "gaps": gaps}
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
