"""A PVGIS file of a typical year in; its hours in our names, and what was found, out.

The CSV of the European Commission's PVGIS: a few lines on the place, a table of which year each month comes from, then
a row an hour in UTC, then a legend. Temperature is that of the stamp; radiation that of an instant a stated part of an
hour later ("Irradiance Time Offset").
"""

from __future__ import annotations

import io
import re
from pathlib import Path

import numpy as np
import pandas as pd

from simkit.errors import DataError, Fault
from simkit.readers.found import Found
from simkit.readers.series import Place, Raw, checked
from simkit.readers.text_file import read_text
from simkit.readers.typical import calendar_stamps, numbers_of, require_place, require_width, years_and_kind

TIME = "time(UTC)"
NUMBER = r":\s*(-?\d+(?:\.\d*)?)[\s,]*$"
COLUMNS = {"T2m": "outdoor_c", "RH": "humidity", "G(h)": "ghi_w_m2", "Gb(n)": "dni_w_m2", "Gd(h)": "dhi_w_m2"}


def read_pvgis(path: Path | str, *, bridge_hours: int = 0, text: str | None = None) -> tuple[pd.DataFrame, Found]:
    """Read a PVGIS CSV of a typical year; the words are those of `simkit.readers.epw.read_epw`.

    A row is taken for the hour that begins at its stamp: of all whole hours that is the one whose middle is nearest to
    the instant of the radiation.
    """
    name = Path(path).name
    head, rows = _parts(name, read_text(path) if text is None else text)
    place = _place(name, head)
    require_place(name, place, 0.0)
    digits = rows[TIME].astype(str).str.extract(r"^(\d{4})(\d{2})(\d{2}):(\d{2})(\d{2})$")
    if digits.isna().any(axis=None):
        k = int(np.flatnonzero(digits.isna().any(axis=1))[0])
        given = f'"{rows[TIME].iloc[k]}" in row {k + 1}'
        raise DataError(Fault(name, given, "is not a stamp such as 20180131:0700", "Fetch the file again"))
    parts = digits.astype(np.int64).set_axis(["year", "month", "day", "hour", "minute"], axis=1)
    years, typical = years_and_kind(parts["year"].to_numpy(), parts["month"].to_numpy())
    stamps = calendar_stamps(name, parts, parts["hour"].to_numpy(), zone_h=0.0, typical=typical)
    values = rows[list(COLUMNS)].rename(columns=COLUMNS).apply(numbers_of)
    values["humidity"] = values["humidity"] / 100.0  # the legend states per cent
    offset = re.search(r"Irradiance Time Offset \(h\)" + NUMBER, head, re.MULTILINE)
    notes: tuple[str, ...] = ()
    if offset:
        minutes = 60.0 * float(offset.group(1))
        notes = (f"Its radiation is that of the instant {minutes:.0f} minutes after each stamp, held over the hour.",)
    raw = Raw(name, "PVGIS", "UTC", "start", stamps, values, years, typical, place, notes)
    return checked(raw, bridge_hours=bridge_hours)


def _parts(name: str, text: str) -> tuple[str, pd.DataFrame]:
    """Lines before the table as one text, and the table."""
    begin = re.search(r"^time\(UTC\),.*$", text, re.MULTILINE)
    if begin is None:
        allowed = f'has no column "{TIME}", as a typical year from PVGIS has'
        remedy = "Fetch the typical meteorological year (TMY) as CSV; hourly series of tilted planes are not read"
        raise DataError(Fault(name, "the file", allowed, remedy))
    table = text[begin.start() :].split("\n\n", 1)[0]
    lacking = [column for column in COLUMNS if column not in begin.group().split(",")]
    if lacking:
        remedy = "Fetch the typical meteorological year (TMY) as CSV again"
        raise DataError(Fault(name, f"the file lacks {', '.join(lacking)}", "of a typical year from PVGIS", remedy))
    require_width(name, table, begin.group().count(",") + 1)
    try:
        rows = pd.read_csv(io.StringIO(table), dtype={TIME: str}, index_col=False)
    except (ValueError, pd.errors.ParserError):
        remedy = "Fetch the file again: lines were cut or the columns changed"
        raise DataError(Fault(name, "its rows", "don't have the columns of their head", remedy)) from None
    return text[: begin.start()], rows


def _place(name: str, head: str) -> Place:
    found = []
    for key in (r"Latitude \(decimal degrees\)", r"Longitude \(decimal degrees\)", r"Elevation \(m\)"):
        number = re.search(key + NUMBER, head, re.MULTILINE)
        if number is None:
            allowed = "lacks latitude, longitude or elevation"
            raise DataError(Fault(name, "the head of the file", allowed, "Fetch the file again"))
        found.append(float(number.group(1)))
    return found[0], found[1], found[2]
