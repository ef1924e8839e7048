"""A TMY3 file in; its hours in our names, and what was found, out.

TMY3 (Wilcox and Marion 2008, NREL/TP-581-43156): a line on the station, a line of column names, then a row an hour in
local standard time; 01:00 to 24:00 names the end of the interval. Months come from different years.
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

DATE, TIME = "Date (MM/DD/YYYY)", "Time (HH:MM)"
COLUMNS = {
    "Dry-bulb (C)": "outdoor_c",
    "RHum (%)": "humidity",
    "GHI (W/m^2)": "ghi_w_m2",
    "DNI (W/m^2)": "dni_w_m2",
    "DHI (W/m^2)": "dhi_w_m2",
}
MISSING_BELOW = -900.0  # the format marks missing values with -9900


def read_tmy3(path: Path | str, *, bridge_hours: int = 0, text: str | None = None) -> tuple[pd.DataFrame, Found]:
    """Read a TMY3 file; the words are those of `simkit.readers.epw.read_epw`."""
    name = Path(path).name
    head, _, body = (read_text(path) if text is None else text).partition("\n")
    place, zone_h = _station(name, head)
    require_place(name, place, zone_h)
    rows = _rows(name, body)
    date = rows[DATE].astype(str).str.extract(r"^(\d{1,2})/(\d{1,2})/(\d{4})$")
    time = rows[TIME].astype(str).str.extract(r"^(\d{1,2}):(\d{2})$")
    bad = date.isna().any(axis=1) | time.isna().any(axis=1)
    if bad.any():
        k = int(np.flatnonzero(bad)[0])
        given = f'"{rows[DATE].iloc[k]} {rows[TIME].iloc[k]}" in row {k + 1}'
        raise DataError(Fault(name, given, "is not a date MM/DD/YYYY with a time HH:MM", "Fetch the file again"))
    parts = date.astype(np.int64).set_axis(["month", "day", "year"], axis=1)
    years, typical = years_and_kind(parts["year"].to_numpy(), parts["month"].to_numpy())
    hours = time[0].astype(np.int64).to_numpy() - 1
    stamps = calendar_stamps(name, parts, hours, zone_h=zone_h, typical=typical)
    values = rows[list(COLUMNS)].rename(columns=COLUMNS).apply(numbers_of)
    values = values.where(values > MISSING_BELOW)
    values["humidity"] = values["humidity"] / 100.0  # the format states per cent
    values = values.dropna(axis=1, how="all")
    raw = Raw(name, "TMY3", clock_name(zone_h), "end", stamps, values, years, typical, place)
    return checked(raw, bridge_hours=bridge_hours, move=True)


def _station(name: str, head: str) -> tuple[Place, float]:
    fields = [field.strip().strip('"') for field in head.split(",")]
    try:
        zone_h, latitude, longitude, altitude = (float(field) for field in fields[3:7])
    except ValueError:
        allowed = "doesn't hold clock, latitude, longitude and altitude in its fourth to seventh fields"
        remedy = "Name the right file, or say its format under [weather] format"
        raise DataError(Fault(name, "its first line", allowed, remedy)) from None
    return (latitude, longitude, altitude), zone_h


def _rows(name: str, body: str) -> pd.DataFrame:
    wanted = [DATE, TIME, *COLUMNS]
    names = body.partition("\n")[0].split(",")
    require_width(name, body, len(names))
    try:
        return pd.read_csv(io.StringIO(body), usecols=wanted, dtype={DATE: str, TIME: str})[wanted]
    except (ValueError, pd.errors.ParserError):
        lacking = [column for column in wanted if column not in names] or ["rows of equal length"]
        remedy = "Name the right file, or say its format under [weather] format"
        raise DataError(Fault(name, f"the file lacks {', '.join(lacking)}", "of a TMY3 file", remedy)) from None
