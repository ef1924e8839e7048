"""A CSV of measured household use in; mean power per step of the time axis out, or one sentence per fault.

The file has a heading and two columns: when an interval starts, and what was used in it. The heading of the second ends
in kWh (energy of the interval) or kW (mean power). Stamps have an offset from UTC, or are in the wall time of the
home. Nothing is filled, dropped or guessed: the file holds every interval of the axis's year once, or the faults say
where it does not.
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.clock import TimeAxis
from simkit.errors import DataError, Fault, raise_all
from simkit.readers.stamps import usual_step, utc_of
from simkit.readers.table import Table, decimal_of, numbers_at, read_table, require_even_rows, with_times

# Own bound: more than any home's fuse passes for a whole interval, so a column in W or Wh is caught by it.
MOST_KW = 100.0
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
    table = with_times(read_table(path), 0)
    unit = _unit(table)
    require_even_rows(table)
    power = numbers_at(table, 1, decimal_of(table, [1])[0], gaps=False)
    utc = utc_of(table.name, table.lines, table.cells[0].tolist(), clock="local", zone=axis.zone, section="")
    minutes = _interval(utc, path.name)
    kw = power / (minutes / 60.0) if unit == "kwh" else power
    raise_all(_range_faults(kw, table), DataError)
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


def _unit(table: Table) -> str:
    """The unit of the heading ("kwh" or "kw")."""
    if len(table.head) - table.head.count("") * any(table.head) != 2:
        given, remedy = f"{len(table.head)} columns", "Keep one column of stamps and one that ends in kWh or kW"
        raise DataError(Fault(table.name, given, "are not the two that are read", remedy))
    match = re.search(r"(kwh|kw)\W*$", table.head[1].lower())
    if match is None:
        given, remedy = f'heading "{table.head[1]}"', "End it in kWh (energy of each interval) or kW (mean power)"
        raise DataError(Fault(table.name, given, "does not say its unit", remedy))
    return match.group(1)


def _interval(utc: pd.DatetimeIndex, name: str) -> int:
    """The commonest distance between stamps [min]; also refuses stamps that come twice."""
    faults = []
    double = utc[utc.duplicated()]
    if len(double):
        given = f"{double[0]:%Y-%m-%d %H:%M} UTC"
        faults.append(Fault(name, given, f"comes more than once ({len(double)} in all)", "Keep one line an interval"))
    minutes = usual_step(utc.tz_localize(None).to_numpy())[0] / 60.0
    if minutes not in INTERVALS_MINUTES:
        remedy = "Give intervals of an hour or of an even part of an hour"
        faults.append(Fault(name, f"an interval of {minutes:g} min", "does not divide an hour", remedy))
    raise_all(faults, DataError)
    return int(minutes)


def _range_faults(kw: Floats, table: Table) -> list[Fault]:
    faults = []
    below, above = np.flatnonzero(kw < 0), np.flatnonzero(kw > MOST_KW)
    if len(below):
        allowed = f"is below zero ({len(below)} lines): a household uses electricity, it makes none"
        remedy = "Leave solar and export out of this file: they come from [solar]"
        faults.append(Fault(f"{table.name} line {table.lines[below[0]]}", f"{kw[below[0]]:g} kW", allowed, remedy))
    if len(above):
        allowed = f"is more than {MOST_KW:g} kW ({len(above)} lines), more than a home's fuse passes"
        remedy = "If the column is in W or Wh, divide it by 1000"
        faults.append(Fault(f"{table.name} line {table.lines[above[0]]}", f"{kw[above[0]]:g} kW", allowed, remedy))
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
