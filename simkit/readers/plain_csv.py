"""A plain table of weather, with a word on its columns, labels and clock, in; a series in our names out.

Commas, semicolons and tabs, decimal commas, a byte-order mark and lines before the table are taken as they come. What
can't be seen from a table, the clock and which part of the interval a stamp names, must be said.
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from simkit.errors import DataError, Fault, nearest, raise_all
from simkit.readers.found import Found
from simkit.readers.series import Place, Raw, checked
from simkit.readers.stamps import calendar_stamps, from_text, years_and_kind
from simkit.readers.text_file import read_text

QUANTITIES = ("outdoor_c", "humidity", "ghi_w_m2", "dni_w_m2", "dhi_w_m2")
MISSING_WORDS = ("", "na", "n/a", "nan", "null", "none", "-", "--", "x", "m")
MISSING_MARKS = (-99.9, -999.0, -999.9, -9999.0, -9900.0, 999.9, 9999.0)
LABELS = {"start": 0.0, "middle": 0.5, "end": 1.0}


def read_plain(
    path: Path | str,
    *,
    columns: Any,
    label: str,
    clock: str,
    zone: str | None = None,
    place: Place | None = None,
    bridge_hours: int = 0,
    text: str | None = None,
) -> tuple[pd.DataFrame, Found]:
    """Read a plain table of hours.

    Parameters
    ----------
    path
        The file.
    columns
        Which column holds what: attributes or keys time (the first column when None), outdoor_c [°C], humidity,
        ghi_w_m2, dni_w_m2, dhi_w_m2 [W/m²]; None for what the table lacks. Humidity may be in shares or in per cent:
        above 1.5 it can only be per cent, and that is told.
    label
        Part of its interval that a stamp names: ``start``, ``middle`` or ``end``.
    clock
        ``utc``, ``local`` (wall time of `zone`, clock changes and all) or a fixed offset such as ``+01:00``.
    zone
        IANA zone for ``local``.
    place
        Latitude, longitude [deg] and altitude [m], to hold the sun against the radiation.
    bridge_hours
        Longest gap that is bridged by a straight line [h]; 0 bridges none.
    text
        The file's text, where it was read already.
    """
    name = Path(path).name
    named = {key: _get(columns, key) for key in ("time", *QUANTITIES)}
    table, separator = _table(name, read_text(path) if text is None else text, named)
    time = named["time"] or str(table.columns[0])
    stamps = from_text(name, time, table[time], clock=clock, zone=zone)
    values, notes = _values(name, table, named, separator)
    step = _usual_step(stamps)
    stamps = stamps - pd.Timedelta(minutes=LABELS[label] * step)
    years, typical = _years(stamps)
    if typical:
        stamps = _nominal(name, stamps)
    shown = {"utc": "UTC", "local": str(zone)}.get(clock, f"UTC{clock}")
    raw = Raw(name, "CSV", shown, label, stamps, values, years, typical, None, notes)
    return checked(raw, bridge_hours=bridge_hours, place=place)


def _get(columns: Any, key: str) -> str | None:
    found = columns.get(key) if isinstance(columns, Mapping) else getattr(columns, key, None)
    return None if found is None else str(found)


def _table(name: str, text: str, named: Mapping[str, str | None]) -> tuple[pd.DataFrame, str]:
    """Find separator and head, read everything as text, and see that all named columns are there."""
    wanted = [column for column in named.values() if column is not None]
    lines = text.splitlines()
    start, separator = _head(lines, wanted)
    names = [field.strip().strip('"') for field in lines[start].split(separator)]
    faults = [_lacking(name, column, names) for column in wanted if column not in names]
    raise_all(faults, DataError)
    body = "\n".join(line for line in lines[start:] if line.strip(separator + " "))
    try:
        table = pd.read_csv(io.StringIO(body), sep=separator, dtype=str, keep_default_na=False, skipinitialspace=True)
    except (ValueError, pd.errors.ParserError):
        allowed = f'have more fields than its head, which is split at "{separator}"'
        remedy = "Mend the rows, or export the table again with one separator throughout"
        raise DataError(Fault(name, "some rows", allowed, remedy)) from None
    table.columns = pd.Index([str(column).strip() for column in table.columns])
    if table.empty:
        remedy = "Export the table again; hourly rows of a year are needed"
        raise DataError(Fault(name, "the file", "has a head and no rows", remedy))
    return table, separator


def _head(lines: Sequence[str], wanted: Sequence[str]) -> tuple[int, str]:
    """Line of the head and separator: where most of the wanted names stand; the first line when none does."""
    best, place = 0, (0, ";" if lines[0].count(";") > lines[0].count(",") else ",")
    for k, line in enumerate(lines[:60]):
        for separator in (";", "\t", ","):
            fields = [field.strip().strip('"') for field in line.split(separator)]
            count = sum(column in fields for column in wanted)
            if count > best:
                best, place = count, (k, separator)
    return place


def _lacking(name: str, column: str, names: Sequence[str]) -> Fault:
    near = nearest(column, names)
    given = f'column "{column}"'
    shown = ", ".join(f'"{each}"' for each in names[:8]) + (" .." if len(names) > 8 else "")
    remedy = f'Perhaps "{near}" is meant' if near else "Name one of these under [weather] columns"
    return Fault(name, given, f"is not among the columns of its head: {shown}", remedy)


def _values(
    name: str, table: pd.DataFrame, named: Mapping[str, str | None], separator: str
) -> tuple[pd.DataFrame, tuple[str, ...]]:
    values: dict[str, np.ndarray] = {}
    faults: list[Fault] = []
    notes: tuple[str, ...] = ()
    for quantity in QUANTITIES:
        column = named[quantity]
        if column is None:
            continue
        numbers, fault = _numbers(name, column, table[column], separator)
        faults += fault
        if not np.all(np.isnan(numbers)):
            values[quantity] = numbers
    raise_all(faults, DataError)
    if "outdoor_c" not in values:
        given = f'column "{named["outdoor_c"]}"'
        raise DataError(Fault(name, given, "holds no number at all", "Name the column of the outdoor temperature"))
    if "humidity" in values and np.nanmax(values["humidity"]) > 1.5:
        values["humidity"] = values["humidity"] / 100.0
        notes = (f"Relative humidity in {name} is in per cent: it goes above 1.5.",)
    return pd.DataFrame(values), notes


def _numbers(name: str, column: str, texts: pd.Series, separator: str) -> tuple[np.ndarray, list[Fault]]:
    plain = texts.str.strip()
    if separator != "," and plain.str.contains(",", regex=False).any():
        plain = plain.str.replace(",", ".", regex=False)
    numbers = np.array(pd.to_numeric(plain, errors="coerce"), dtype=np.float64)
    bad = np.isnan(numbers) & ~plain.str.lower().isin(MISSING_WORDS).to_numpy()
    if bad.any():
        k = int(np.flatnonzero(bad)[0])
        more = f", and {int(bad.sum()) - 1} more," if bad.sum() > 1 else ""
        given = f'"{texts.iloc[k]}" in column "{column}", row {k + 1}{more}'
        remedy = "Mend it, or leave the field empty where nothing was measured"
        return numbers, [Fault(name, given, "is not a number", remedy)]
    numbers[np.isin(numbers, MISSING_MARKS)] = np.nan
    return numbers, []


def _usual_step(stamps: pd.DatetimeIndex) -> float:
    """Most common distance between neighbouring rows [min]."""
    if len(stamps) < 2:
        return 60.0
    apart = np.abs(np.diff(stamps.tz_localize(None).to_numpy()).astype("timedelta64[s]").astype(np.int64))
    lengths, counts = np.unique(apart, return_counts=True)
    return float(lengths[np.argmax(counts)]) / 60.0


def _years(stamps: pd.DatetimeIndex) -> tuple[tuple[int, ...], bool]:
    """Years and kind; a year with a handful of rows at the edge, which another clock put there, is left out."""
    year, month = stamps.year.to_numpy(np.int64), stamps.month.to_numpy(np.int64)
    common, counts = np.unique(year, return_counts=True)
    kept = np.isin(year, common[counts > 30]) if counts.max() > 30 else np.ones(len(year), dtype=bool)
    return years_and_kind(year[kept], month[kept])


def _nominal(name: str, stamps: pd.DatetimeIndex) -> pd.DatetimeIndex:
    parts = pd.DataFrame({"year": stamps.year, "month": stamps.month, "day": stamps.day})
    hour, minute = stamps.hour.to_numpy(np.int64), stamps.minute.to_numpy(np.int64)
    return calendar_stamps(name, parts, hour, zone_h=0.0, typical=True, minute=minute)
