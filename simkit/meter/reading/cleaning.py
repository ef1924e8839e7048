"""Rows of readings in; kWh on a grid or in spans, doubtful values taken out and counted, out."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.errors import DataError, Fault
from simkit.meter.reading.layout import Column, Guess, Rows, guess_of, likely_size
from simkit.meter.reading.words import M3_PER_100_FT3, TEMPERATURES, unit_of_words
from simkit.notation import Localised
from simkit.physics.constants import MJ_PER_KWH
from simkit.readers.found import Gap, gaps_of
from simkit.readers.table import Table

MOST_KW = {"import_kwh": 30.0, "export_kwh": 30.0, "heat_pump_kwh": 25.0, "heat_kwh": 50.0, "fuel_kwh": 80.0}
# own: above three-phase connections of 40 A and boilers of homes; a fuse or a burner ends it there
TEMPERATURE_LIMITS = (-45.0, 55.0)
NETTED_FROM = 0.02
WARMEST_MIDDLE_C = 26.0  # own: as hot as a tropical month
UNLIKELY = 0.02  # own: a size of which so little speaks is another unit's, and no odd home's
TURNED_FROM = 20.0  # own: values below zero for each above from which a column's sign is turned
ESTIMATED = ("e", "est", "estimated", "estimate", "g", "geschätzt", "assumed", "substituted")
# own: units in which intervals and registers come, where no word says which
INTERVAL_UNITS = {"kWh": 0.78, "Wh": 0.08, "kW": 0.10, "W": 0.04}
POWER_WORDS = r"power|leistung|demand|\bload\b|puissance|vermogen|effekt|potencia"
REGISTER_UNITS = {"kWh": 0.93, "Wh": 0.04, "MWh": 0.03}
VOLUMES = {"m3": 0.7, "ft3": 0.2, "ft3_100": 0.1}  # own: of those that no word names
USUAL_KWH_PER_M3 = 11.2  # gross: 1.02264 × 39.5 MJ/m³ / 3.6 (UK billing, SI 1996/439)
MOST_SURE = 0.69  # under which a reading asks
PER_KWH = {"kWh": 1.0, "Wh": 0.001, "MWh": 1000.0, "GJ": 1000.0 / MJ_PER_KWH, "MJ": 1.0 / MJ_PER_KWH}


def in_kwh(table: Table, rows: Rows, kwh_per_unit: float | None) -> Floats:
    """Values of every column, its unit known, in kWh (of the interval, or of the register) or °C, (n, columns)."""
    made = rows.values.astype(np.float64).copy()
    hours = rows.step_s / 3600.0
    for j, column in enumerate(rows.layout.columns):
        if column.quantity in TEMPERATURES:
            if column.unit == "°F":
                made[:, j] = (made[:, j] - 32.0) / 1.8
            continue
        unit = column.unit
        if column.quantity == "fuel_kwh" and unit in ("m3", "ft3", "ft3_100"):
            made[:, j] *= _gas(table, column, kwh_per_unit)
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


def _gas(table: Table, column: Column, kwh_per_unit: float | None) -> float:
    unit = column.unit
    if kwh_per_unit is None and unit_of_words(column.head) == unit:
        given, allowed = f"gas in {unit}", "is a volume, and its energy depends on the gas: nothing was kept"
        remedy = (
            "Say kwh_per_unit, kWh a m³ gross as the gas bill states it (volume correction × calorific value / 3.6)"
        )
        raise DataError(Fault(table.name, given, allowed, remedy))
    kwh_per_unit = kwh_per_unit or USUAL_KWH_PER_M3
    return kwh_per_unit * {"m3": 1.0, "ft3": M3_PER_100_FT3 / 100.0, "ft3_100": M3_PER_100_FT3}[unit]


def _by_row(table: Table, rows: Rows, made: Floats, hours: float, kwh_per_unit: float | None) -> Floats:
    """Rows whose own unit differs from the first one's; rows of another kind of quantity are left out."""
    cells = table.cells[rows.layout.unit].to_numpy()[rows.cell]
    first = rows.layout.columns[0].unit
    alike = [column.unit == first for column in rows.layout.columns]
    base = {**PER_KWH, "kW": hours, "W": hours / 1000.0}
    for cell in {str(c) for c in cells}:
        unit = unit_of_words(cell)
        if cell == "" or unit == first:
            continue
        factor = base[unit] / base[first] if unit in base and first in base else np.nan
        made[np.ix_(cells == cell, alike)] *= factor
    return made


def with_units(rows: Rows, said: str | None, *, volume: bool) -> Rows:
    """The rows with the unit of every column: as said, by its head, or by the size of its values and of homes.

    `volume` is whether somebody said how much energy a unit of fuel holds, and so that it comes by volume.
    """
    columns, guesses = list[Column](), list[Guess]()
    for j, column in enumerate(rows.layout.columns):
        unit = column.unit or said or ("°C" if column.quantity in TEMPERATURES else "")
        if not unit:
            unit, guess = _unit_by_size(rows, column, rows.values[:, j], 0.95 if volume else 0.5)
            # a volume that nobody named needs its energy as well: that is never settled by its size
            doubt = column.quantity == "fuel_kwh" and unit != "kWh" and not volume
            guesses.append(replace(guess, confidence=min(guess.confidence, MOST_SURE)) if doubt else guess)
        columns.append(replace(column, unit=unit))
    layout = replace(rows.layout, columns=tuple(columns), guesses=(*rows.layout.guesses, *guesses))
    return replace(rows, layout=layout)


def _unit_by_size(rows: Rows, column: Column, values: Floats, volume: float) -> tuple[str, Guess]:
    """Unit of a column that no word gives one."""
    good = values[np.isfinite(values)]
    apart = np.diff(np.unique(rows.at)).astype(np.int64)
    hours = rows.step_s / 3600.0 or (float(np.median(apart)) / 3600.0 if len(apart) else 1.0)
    span = float((rows.at.max() - rows.at.min()).astype(np.int64)) / 3600.0
    size = float(np.ptp(good)) / max(span, hours) if column.register else float(np.abs(good).mean()) / hours
    in_kw = {unit: size * PER_KWH[unit] for unit in REGISTER_UNITS} | {"kW": size * hours, "W": size * hours / 1000.0}
    odds = dict(REGISTER_UNITS if column.register else INTERVAL_UNITS)
    if column.quantity == "fuel_kwh":
        per_m3 = {"m3": 1.0, "ft3": M3_PER_100_FT3 / 100.0, "ft3_100": M3_PER_100_FT3}
        odds = {"kWh": 1.0 - volume} | {unit: volume * often for unit, often in VOLUMES.items()}
        in_kw |= {unit: USUAL_KWH_PER_M3 * each * size for unit, each in per_m3.items()}
    elif hours == 1.0 or not rows.step_s:  # kW over an hour reads as kWh does; over odd spans nobody writes power
        odds = {unit: often for unit, often in odds.items() if unit not in ("kW", "W")}
    whole = len(good) > 3 and bool(np.all(good % 1 == 0)) and float(np.median(good)) > 3.0
    evidence = [
        ({unit: likely_size(column.quantity, in_kw[unit]) for unit in odds}, "that is the size of a home's"),
        ({unit: 0.6 if (unit in ("Wh", "W")) == whole else 0.15 for unit in odds}, "so its digits say"),
    ]
    if re.search(POWER_WORDS, column.head.lower()):
        evidence.append(({unit: 0.9 if unit in ("kW", "W") else 0.1 for unit in odds}, "its head speaks of power"))
    what = f'unit of "{column.head}"' if column.head else "unit"
    return guess_of(what, "unit", odds, evidence, part=str, words=str, otherwise="the usual one")


def cleaned(table: Table, rows: Rows, made: tuple[pd.DataFrame, dict[str, Any]]) -> tuple[pd.DataFrame, dict[str, Any]]:
    """Take out spikes and values below zero, part what was netted, mark estimates and list the gaps."""
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
    suspicious: list[str] = list(counts.pop("suspicious", ()))
    notes = [*rows.notes, *counts.pop("notes", ())]
    for name in [name for name in frame if name != "end"]:
        values = frame[name].to_numpy(dtype=np.float64).copy()
        if name in TEMPERATURES:
            wild = (values < TEMPERATURE_LIMITS[0]) | (values > TEMPERATURE_LIMITS[1])
            spikes += int(wild.sum())
            frame[name] = np.where(wild, np.nan, values)
            suspicious += _too_warm(name, values[~wild])
            continue
        below = values < -1e-9
        if (
            (name != "import_kwh" or not (values > 1e-9).any())
            and below.mean() > TURNED_FROM * max((values > 1e-9).mean(), 1e-9)
            and below.any()
        ):
            notes.append(f"{name} is written below zero all along: its sign is turned.")
            values, below = -values, values > 1e-9
        if name == "import_kwh" and "export_kwh" not in frame and below.mean() > NETTED_FROM:
            notes.append(
                f"{int(below.sum())} intervals are below zero: import and export are netted in one "
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
    gaps = _holes(frame, rows.step_s)
    counts |= {"spikes": spikes, "negatives": negatives, "estimated": int(frame["estimated"].sum()), "gaps": gaps}
    return frame, counts | {"notes": tuple(notes), "suspicious": tuple(suspicious)}


def _holes(frame: pd.DataFrame, step_s: int) -> tuple[Gap, ...]:
    """Runs without a reading, of any column; where spans are days or of odd length, what lies between two of them."""
    missing = frame.drop(columns=["end", "estimated"]).isna()
    if step_s:
        alone = missing.shape[1] == 1
        whole = missing.all(axis=1)
        parts = missing.where(~whole, False) if not alone else missing.iloc[:, :0]
        return gaps_of(parts.assign(**{"": whole}), pd.Timedelta(seconds=step_s))
    frame = frame[~missing.all(axis=1)]
    ends, nexts = pd.DatetimeIndex(frame["end"])[:-1], frame.index[1:]
    days = np.round(np.asarray((nexts - ends) / pd.Timedelta(days=1))).astype(np.int64)
    return tuple(Gap(ends[k], nexts[k], max(int(days[k]), 1)) for k in np.flatnonzero(nexts > ends))


def _another_unit(name: str, values: Floats, wild: np.ndarray, frame: pd.DataFrame) -> list[str]:
    """Say where values lie about a thousand times apart, as by another unit; those that no home has are left out."""
    if not 0.02 < wild.mean() < 0.98 or not np.nanmedian(values[~wild]) > 0:
        days, hours = frame.index.floor("D"), np.asarray((frame["end"] - frame.index) / pd.Timedelta(hours=1))
        # by the middle of a day: the unit may change within one
        daily = pd.Series(np.where(values > 0, values / hours, np.nan), index=days).groupby(level=0).median()
        held = np.sort(daily[daily > 0].to_numpy())
        jumps = held[1:] / held[:-1]
        if len(held) < 4 or jumps.max() < 100.0:
            return []
        low, high = np.split(held, [int(np.argmax(jumps)) + 1])
        likely = [likely_size(name, float(np.median(side))) for side in (low, high)]
        above = daily.reindex(days).to_numpy() > low[-1]
        wild = np.asarray(above if likely[1] < likely[0] else ~above & (values > 0))
        if min(likely) > UNLIKELY:
            return []
    ratio = float(np.nanmedian(values[wild & (values > 0)]) / np.nanmedian(values[~wild & (values > 0)]))
    if not 300.0 < max(ratio, 1.0 / ratio) < 3000.0:
        return []
    values[wild] = np.nan
    since = f"{frame.index[int(np.argmax(wild))]:%Y-%m-%d %H:%M}"
    times = "a thousand times" if ratio > 1.0 else "a thousandth of"
    return [
        f"{int(wild.sum())} values of {name} are about {times} the others, first at {since} UTC: "
        "Wh and kWh are mixed in one column. They are left out; cut the file where its unit changes."
    ]


def _too_warm(name: str, values: Floats) -> list[str]:
    """Say where the temperatures outdoors of a heated home are in the middle those of a hot summer."""
    middle = float(np.nanmedian(values)) if np.isfinite(values).any() else 0.0
    if name != "outdoor_c" or middle <= WARMEST_MIDDLE_C:
        return []
    return [Localised(lambda n: f"outdoor_c is {n.number(middle, 1)} °C in the middle: is it in °F?")]


def _of_another_unit(name: str, per_day: float, digits: int, why: str) -> Localised:
    return Localised(lambda n: f"{name} comes to {n.number(per_day, digits)} kWh a day, {why}: is it in another unit?")


def _odd(name: str, values: Floats, hours: np.ndarray) -> list[str]:
    """Sentences on what is possible and odd: long runs of zero, and sizes that no home has."""
    good = np.isfinite(values)
    if not good.any():
        return []
    said: list[str] = []
    zero = np.concatenate([[False], good & (values == 0), [False]]).astype(np.int8)
    edges = np.flatnonzero(np.diff(zero)).reshape(-1, 2)
    run = max(((float(hours[a:b].sum()), a) for a, b in edges), default=(0.0, 0))
    if name == "import_kwh" and run[0] > 24.0:
        said.append(f"{name} is exactly zero for {run[0]:.0f} hours on end: a gap may have been written as 0.")
    per_day = float(values[good].sum() / hours[good].sum() * 24.0)
    if name == "fuel_kwh" and 0.5 < per_day < 9.0:
        said.append(
            Localised(
                lambda n: (
                    f"{name} comes to {n.number(per_day, 1)} kWh a day: if the file is in m³, it is about "
                    f"{n.number(11.2 * per_day)} kWh."
                )
            )
        )
    if name == "import_kwh" and per_day > 250.0:
        said.append(_of_another_unit(name, per_day, 0, "more than homes use"))
    if name == "import_kwh" and per_day < 0.5:
        said.append(_of_another_unit(name, per_day, 2, "less than a refrigerator uses"))
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
