"""An EPW file in; its hours in our names, and what was found, out.

EPW, the trade's common form: eight lines of head, then a row an hour in local standard time; hour 1 to 24 names the end
of the interval.
"""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pandas as pd

from simkit.errors import DataError, Fault
from simkit.readers.found import Found
from simkit.readers.series import Place, Raw, checked
from simkit.readers.text_file import read_text
from simkit.readers.typical import calendar_stamps, clock_name, numbers_of, require_place, require_width, years_and_kind

DATE = ("year", "month", "day", "hour")
CELLS = 35  # fields of a row, by the format
COLUMNS = {0: "year", 1: "month", 2: "day", 3: "hour", 6: "outdoor_c", 8: "humidity"}
SKY = {13: "ghi_w_m2", 14: "dni_w_m2", 15: "dhi_w_m2"}
MISSING_FROM = {"outdoor_c": 99.9, "humidity": 9.99, "ghi_w_m2": 9999.0, "dni_w_m2": 9999.0, "dhi_w_m2": 9999.0}


def read_epw(path: Path | str, *, bridge_hours: int = 0, text: str | None = None) -> tuple[pd.DataFrame, Found]:
    """Read an EPW file.

    Parameters
    ----------
    path
        The file.
    bridge_hours
        Longest gap that is bridged by a straight line [h]; 0 bridges none.
    text
        The file's text, where it was read already.

    Returns
    -------
    frame
        Hourly means indexed by the start of the hour in UTC.
    found
        What was found. The sun in the radiation is held against the computed sun: files exist whose head names a clock
        that their rows don't keep, and whole hours are put right and told.
    """
    name = Path(path).name
    lines = (read_text(path) if text is None else text).splitlines()
    place, zone_h = _location(name, lines)
    require_place(name, place, zone_h)
    body = _body(name, lines)
    values = _rows(name, body)
    hour = values["hour"].clip(-9, 99).to_numpy(np.int64)
    label = "start" if hour.min() == 0 and hour.max() == 23 else "end"
    years, typical = years_and_kind(*(values[key].clip(-9, 9999).to_numpy(np.int64) for key in ("year", "month")))
    stamps = calendar_stamps(name, values, hour - (label == "end"), zone_h=zone_h, typical=typical)
    notes = ("Its hours run from 0 to 23, so they are taken as starts.",) if label == "start" else ()
    wanted = values.drop(columns=list(DATE)).dropna(axis=1, how="all")
    raw = Raw(name, "EPW", clock_name(zone_h), label, stamps, wanted, years, typical, place, notes)
    return checked(raw, bridge_hours=bridge_hours, move=True)


def _location(name: str, lines: list[str]) -> tuple[Place, float]:
    fields = lines[0].split(",")
    if fields[0].strip().upper() != "LOCATION":
        allowed = 'and an EPW file begins with "LOCATION"'
        remedy = "Name the right file, or say its format under [weather] format"
        raise DataError(Fault(name, f'the first line begins with "{lines[0][:20]}",', allowed, remedy))
    try:
        latitude, longitude, zone_h, altitude = (float(field) for field in fields[6:10])
    except ValueError:
        allowed = "doesn't hold latitude, longitude, clock and altitude in its seventh to tenth fields"
        remedy = "Fetch the file again"
        raise DataError(Fault(name, "its LOCATION line", allowed, remedy)) from None
    return (latitude, longitude, altitude), zone_h


def _body(name: str, lines: list[str]) -> str:
    start = next((k for k, line in enumerate(lines) if line.upper().startswith("DATA PERIODS")), None)
    if start is None or len(lines) < start + 2:
        remedy = "Fetch the file again: it seems cut short"
        raise DataError(Fault(name, "the file", 'has no rows after a "DATA PERIODS" line', remedy))
    per_hour = lines[start].split(",")[2].strip()
    if per_hour != "1":
        remedy = "Take the hourly version of the file"
        raise DataError(Fault(name, f"{per_hour} records an hour", "are not one, the only form read here", remedy))
    return "\n".join(lines[start + 1 :])


def _rows(name: str, body: str) -> pd.DataFrame:
    wanted = {**COLUMNS, **SKY}
    require_width(name, body, CELLS)
    try:
        rows = pd.read_csv(io.StringIO(body), header=None, usecols=list(wanted), skipinitialspace=True)
    except (ValueError, pd.errors.ParserError):
        remedy = "Fetch the file again: lines were cut or the columns changed"
        raise DataError(Fault(name, "its rows", "don't have the columns of an EPW file", remedy)) from None
    rows = rows[list(wanted)].set_axis(list(wanted.values()), axis=1).apply(numbers_of)
    bad = int(rows[list(DATE)].isna().any(axis=1).sum())
    if bad:
        given = f"{bad} {'row' if bad == 1 else 'rows'}"
        raise DataError(Fault(name, given, "without a readable date", "Fetch the file again: it seems damaged"))
    rows["humidity"] = rows["humidity"] / 100.0  # the format states per cent
    for column, mark in MISSING_FROM.items():
        rows[column] = rows[column].where(rows[column] < mark)
    return rows
