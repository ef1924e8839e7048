"""A CSV of measured household use in; mean power per step of the time axis out, or one sentence per fault.

The file has a heading and two columns: when an interval starts, and what was used in it. The heading of the second ends
in kWh (energy of the interval) or kW (mean power). Stamps are ISO 8601, all with an offset from UTC or all in the wall
time of the home. Nothing is filled, dropped or guessed: the file holds every interval of the axis's year once, or the
faults say where it does not.
"""

from __future__ import annotations

import io
import re
from pathlib import Path

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.clock import TimeAxis
from simkit.errors import DataError, Fault, raise_all

# Own bound: more than any home's fuse passes for a whole interval, so a column in W or Wh is caught by it.
MOST_KW = 100.0
OFFSET = re.compile(r"(?:Z|[+-]\d\d:?\d\d)$")
INTERVALS_MINUTES = tuple(minutes for minutes in range(1, 61) if 60 % minutes == 0)


def kw_from_file(axis: TimeAxis, path: Path) -> Floats:
    """Return the measured use on the axis, mean of each step, shape (steps,) [kW].

    Shorter intervals are averaged over the step; longer ones are held, which keeps their energy.

    Parameters
    ----------
    axis
        The time axis; its year and zone are those of the file.
    path
        The CSV file.

    Raises
    ------
    DataError
        With every fault found.
    """
    stamps, values, unit = _columns(path)
    power = _numbers(values, path.name)
    utc = _utc(stamps, axis, path.name)
    minutes = _interval(utc, path.name)
    hours = minutes / 60.0
    kw = power / hours if unit == "kwh" else power
    raise_all(_range_faults(kw, path.name), DataError)
    if axis.step_minutes % minutes and minutes % axis.step_minutes:
        remedy = (
            f"Average the file to {axis.step_minutes} min, or set step_minutes to a multiple or a part of {minutes}"
        )
        given = f"intervals of {minutes} min"
        raise DataError(Fault(path.name, given, f"do not fit steps of {axis.step_minutes} min", remedy))
    year = _whole_year(pd.Series(kw, index=utc), minutes, axis, path.name)
    if minutes >= axis.step_minutes:
        return np.repeat(year, minutes // axis.step_minutes)
    return year.reshape(axis.steps, -1).mean(axis=1)


def _columns(path: Path) -> tuple[pd.Series, pd.Series, str]:
    """Stamps and values as text, and the unit of the heading ("kwh" or "kw")."""
    name = path.name
    text = _text(path)
    heading = text.split("\n", 1)[0]
    separator = ";" if ";" in heading else ","
    try:
        frame = pd.read_csv(io.StringIO(text), sep=separator, dtype=str, keep_default_na=False)
    except pd.errors.ParserError as problem:
        line = re.search(r"line (\d+)", str(problem))
        where = f"{name} line {line.group(1)}" if line else name
        raise DataError(Fault(where, "", "has more fields than the heading", "Write two fields a line")) from None
    if frame.shape[1] != 2:
        given, remedy = f"{frame.shape[1]} columns", "Keep one column of stamps and one that ends in kWh or kW"
        raise DataError(Fault(name, given, "are not the two that are read", remedy))
    match = re.search(r"(kwh|kw)\W*$", str(frame.columns[1]).lower())
    if match is None:
        given, remedy = f'heading "{frame.columns[1]}"', "End it in kWh (energy of each interval) or kW (mean power)"
        raise DataError(Fault(name, given, "does not say its unit", remedy))
    values = frame.iloc[:, 1]
    return frame.iloc[:, 0].str.strip(), values.str.replace(",", ".") if separator == ";" else values, match.group(1)


def _text(path: Path) -> str:
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        remedy = "Write the path relative to the case file"
        raise DataError(Fault("[household]", f'file = "{path.name}"', "is not there", remedy)) from None
    except (UnicodeDecodeError, OSError):
        raise DataError(Fault(path.name, "", "is not a text file", "Save it as CSV in UTF-8")) from None
    if len(text.splitlines()) < 3 or "\0" in text:
        raise DataError(
            Fault(path.name, "", "holds no rows of data", "Save a heading and one line an interval")
        ) from None
    return text


def _numbers(values: pd.Series, name: str) -> Floats:
    numbers = pd.to_numeric(values, errors="coerce").to_numpy(dtype=np.float64)
    bad = np.flatnonzero(~np.isfinite(numbers))
    if len(bad):
        given = f'"{values.iloc[bad[0]]}"' if values.iloc[bad[0]] else "an empty field"
        allowed = f"is not a number ({len(bad)} of {len(numbers)} lines)"
        remedy = "Write a number in every line; a gap is not a zero"
        raise DataError(Fault(f"{name} line {bad[0] + 2}", given, allowed, remedy))
    return numbers


def _utc(stamps: pd.Series, axis: TimeAxis, name: str) -> pd.DatetimeIndex:
    with_offset = stamps.str.contains(OFFSET)
    if with_offset.any() and not with_offset.all():
        line = int(np.flatnonzero(~with_offset.to_numpy())[0]) + 2
        remedy = "Write the offset in every stamp or in none"
        raise DataError(Fault(f"{name} line {line}", f'"{stamps.iloc[line - 2]}"', "has no offset from UTC", remedy))
    parsed = pd.to_datetime(stamps, format="ISO8601", utc=bool(with_offset.all()), errors="coerce")
    bad = np.flatnonzero(parsed.isna().to_numpy())
    if len(bad):
        remedy = "Write year-month-day and the time of day: 2026-01-31T07:30"
        given = f'"{stamps.iloc[bad[0]]}"'
        raise DataError(Fault(f"{name} line {bad[0] + 2}", given, "is not a stamp", remedy))
    index = pd.DatetimeIndex(parsed)
    if index.tz is not None:
        return index
    try:
        return index.tz_localize(axis.zone, ambiguous="infer", nonexistent="raise").tz_convert("UTC")
    except ValueError as problem:
        when = re.search(r"\d{4}-\d\d-\d\d \d\d:\d\d", str(problem))
        given = when.group(0) if when else "a stamp"
        allowed = f"is not one clear instant in {axis.zone}, where the clock changes"
        remedy = "Leave out the hour that is skipped, write the hour that comes twice in both, or give offsets from UTC"
        raise DataError(Fault(name, given, allowed, remedy)) from None


def _interval(utc: pd.DatetimeIndex, name: str) -> int:
    """The commonest distance between stamps [min]; also refuses stamps that come twice."""
    faults = []
    double = utc[utc.duplicated()]
    if len(double):
        given = f"{double[0]:%Y-%m-%d %H:%M} UTC"
        faults.append(Fault(name, given, f"comes more than once ({len(double)} in all)", "Keep one line an interval"))
    gaps = np.diff(utc.sort_values().unique().to_numpy()) / np.timedelta64(1, "m")
    sizes, counts = np.unique(gaps, return_counts=True)
    minutes = float(sizes[np.argmax(counts)]) if len(sizes) else 0.0
    if minutes not in INTERVALS_MINUTES:
        remedy = "Give intervals of an hour or of an even part of an hour"
        faults.append(Fault(name, f"an interval of {minutes:g} min", "does not divide an hour", remedy))
    raise_all(faults, DataError)
    return int(minutes)


def _range_faults(kw: Floats, name: str) -> list[Fault]:
    faults = []
    below, above = np.flatnonzero(kw < 0), np.flatnonzero(kw > MOST_KW)
    if len(below):
        allowed = f"is below zero ({len(below)} lines): a household uses electricity, it makes none"
        remedy = "Leave solar and export out of this file: they come from [solar]"
        faults.append(Fault(f"{name} line {below[0] + 2}", f"{kw[below[0]]:g} kW", allowed, remedy))
    if len(above):
        allowed = f"is more than {MOST_KW:g} kW ({len(above)} lines), more than a home's fuse passes"
        remedy = "If the column is in W or Wh, divide it by 1000"
        faults.append(Fault(f"{name} line {above[0] + 2}", f"{kw[above[0]]:g} kW", allowed, remedy))
    return faults


def _whole_year(use: pd.Series, minutes: int, axis: TimeAxis, name: str) -> Floats:
    """The intervals of the axis's year in order; a fault where one is missing."""
    start, end = axis.utc[0], axis.utc[-1] + pd.Timedelta(minutes=axis.step_minutes)
    wanted = pd.date_range(start, end, freq=pd.Timedelta(minutes=minutes), inclusive="left")
    found = use.reindex(wanted.as_unit("us")).to_numpy(dtype=np.float64)
    missing = np.flatnonzero(np.isnan(found))
    if len(missing):
        first = wanted[missing[0]].tz_convert(axis.zone)
        given = f"{len(missing)} of {len(found)} intervals of {axis.year}"
        allowed = f"are missing, the first at {first:%Y-%m-%d %H:%M} local time"
        covers = f"{use.index.min().tz_convert(axis.zone):%Y-%m-%d} to {use.index.max().tz_convert(axis.zone):%Y-%m-%d}"
        remedy = f"Complete the file, which covers {covers}, or set [site] year to the year it holds"
        raise DataError(Fault(name, given, allowed, remedy))
    return found
