"""A plain table of weather, with a word on its columns, labels and clock, in; a series in our names out.

What can't be seen from a table, the clock and which part of the interval a stamp names, must be said.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from simkit.errors import DataError, Fault, raise_all
from simkit.readers.found import Found
from simkit.readers.series import Place, Raw, checked
from simkit.readers.stamps import usual_step, utc_of
from simkit.readers.table import (
    MARKS,
    Table,
    column_at,
    decimal_of,
    numbers_at,
    require_even_rows,
    table_of,
    with_times,
)
from simkit.readers.text_file import read_text
from simkit.readers.typical import calendar_stamps, years_and_kind

QUANTITIES = ("outdoor_c", "humidity", "ghi_w_m2", "dni_w_m2", "dhi_w_m2")
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
    table = table_of(read_text(path) if text is None else text, name)
    said = columns if isinstance(columns, Mapping) else vars(columns)
    named = {key: said.get(key) for key in ("time", *QUANTITIES)}
    table = with_times(table, table.head.index(named["time"]) if named["time"] in table.head else 0)
    time, places = _places(table, named)
    require_even_rows(table)
    cells = table.cells[time].tolist()
    stamps = utc_of(name, table.lines, cells, clock=clock, zone=zone, section="[weather]")
    values, notes = _values(table, places)
    seconds, _ = usual_step(stamps.tz_localize(None).to_numpy())
    stamps = stamps - pd.Timedelta(seconds=LABELS[label] * (seconds or 3600))
    years, typical = _years(stamps)
    if typical:
        stamps = _nominal(name, stamps)
    shown = {"utc": "UTC", "local": str(zone)}.get(clock, f"UTC{clock}")
    raw = Raw(name, "CSV", shown, label, stamps, values, years, typical, None, notes)
    return checked(raw, bridge_hours=bridge_hours, place=place)


def _places(table: Table, named: Mapping[str, str | None]) -> tuple[int, dict[str, int]]:
    """Positions of the stamps and of each quantity that is named."""
    places: dict[str, int] = {}
    faults: list[Fault] = []
    for key, column in named.items():
        try:
            places[key] = 0 if column is None else column_at(table, column, "[weather] columns")
        except DataError as lacking:
            faults += lacking.faults
    raise_all(faults, DataError)
    return places["time"], {key: places[key] for key in QUANTITIES if named[key] is not None}


def _values(table: Table, places: Mapping[str, int]) -> tuple[pd.DataFrame, tuple[str, ...]]:
    decimal, _ = decimal_of(table, list(places.values()))
    values = {
        quantity: numbers_at(table, place, decimal, gaps=True, marks=(*MARKS, 999.9))
        for quantity, place in places.items()
    }
    values = {quantity: numbers for quantity, numbers in values.items() if not np.all(np.isnan(numbers))}
    if "outdoor_c" not in values:
        given = f'column "{table.head[places["outdoor_c"]]}"' if "outdoor_c" in places else "the table"
        raise DataError(
            Fault(table.name, given, "holds no number at all", "Name the column of the outdoor temperature")
        )
    if "humidity" not in values or np.nanmax(values["humidity"]) <= 1.5:
        return pd.DataFrame(values), ()
    values["humidity"] = values["humidity"] / 100.0
    return pd.DataFrame(values), (f"Relative humidity in {table.name} is in per cent: it goes above 1.5.",)


def _years(stamps: pd.DatetimeIndex) -> tuple[tuple[int, ...], bool]:
    """Years and kind; a year with a handful of rows at the edge, which another clock put there, is left out."""
    year, month = stamps.year.to_numpy(np.int64), stamps.month.to_numpy(np.int64)
    common, counts = np.unique(year, return_counts=True)
    kept = np.isin(year, common[counts > 30]) if counts.max() > 30 else np.ones(len(year), dtype=bool)
    return years_and_kind(year[kept], month[kept])


def _nominal(name: str, stamps: pd.DatetimeIndex) -> pd.DatetimeIndex:
    """Stamps of typical months on one year; a 29 February that UTC alone makes of the hours beside it is none."""
    parts = pd.DataFrame({"year": stamps.year, "month": stamps.month, "day": stamps.day})
    hour, minute = stamps.hour.to_numpy(np.int64), stamps.minute.to_numpy(np.int64)
    leap = ((parts["month"] == 2) & (parts["day"] == 29)).to_numpy()
    if leap.any() and hour[leap].min() >= 12:  # the first hours of a March by a clock ahead of UTC
        parts.loc[leap, "day"] = 28
    elif leap.any() and hour[leap].max() < 12:  # the last hours of a February by a clock behind it
        parts.loc[leap, ["month", "day"]] = (3, 1)
    return calendar_stamps(name, parts, hour, zone_h=0.0, typical=True, minute=minute)
