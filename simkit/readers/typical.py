"""Year, month, day and hour of a weather file, perhaps of typical months, in; stamps in UTC out."""

from __future__ import annotations

import numpy as np
import pandas as pd

from simkit.arrays import Ints
from simkit.errors import DataError, Fault
from simkit.readers.found import NOMINAL_YEAR


def clock_name(zone_h: float) -> str:
    """Return "UTC" or "UTC+05:30" for a fixed offset [h]."""
    minutes = round(zone_h * 60)
    if minutes == 0:
        return "UTC"
    return f"UTC{'+' if minutes > 0 else '-'}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


def years_and_kind(year: Ints, month: Ints) -> tuple[tuple[int, ...], bool]:
    """Return the years that occur, and whether the months come from different years put together.

    A real series runs on from month to month; typical months jump between years.
    """
    number = year * 12 + month
    typical = bool(len(np.unique(year)) > 1 and np.any(~np.isin(np.diff(number), (0, 1))))
    return tuple(int(value) for value in np.unique(year)), typical


def require_width(name: str, rows: str, cells: int) -> None:
    """Refuse rows of more cells than their format has: a decimal comma moves every value behind it one column on."""
    for number, line in enumerate(rows.splitlines()):
        if line.rstrip(", ").count(",") >= cells:
            given = f"{line.count(',') + 1} cells in row {number + 1} of its data"
            allowed = f"are more than the {cells} of its format: a decimal comma, or two rows run together"
            raise DataError(Fault(name, given, allowed, "Fetch the file again, or write decimals with a point"))


def calendar_stamps(
    name: str, rows: pd.DataFrame, hour: Ints, *, zone_h: float, typical: bool, minute: Ints | None = None
) -> pd.DatetimeIndex:
    """Return UTC stamps of rows with year, month and day and an hour of their own clock.

    Parameters
    ----------
    name
        File, for messages.
    rows
        With columns year, month, day.
    hour, minute
        Time of day, (n,); hour may be -1 to 24.
    zone_h
        Offset of the file's clock from UTC [h].
    typical
        Whether every row gets the year `NOMINAL_YEAR`, its wrap over the year's end included.
    """
    parts = {key: rows[key].to_numpy(np.int64) for key in ("year", "month", "day")}
    if typical:
        parts["year"] = np.full(len(rows), NOMINAL_YEAR)
    days = pd.to_datetime(pd.DataFrame(parts), errors="coerce")
    if days.isna().any():
        k = int(np.flatnonzero(days.isna())[0])
        given = f"{rows['year'].iloc[k]:.0f}-{rows['month'].iloc[k]:.0f}-{rows['day'].iloc[k]:.0f} in row {k + 1}"
        allowed = "is no day of the calendar" + (" of typical months, which have no 29 February" if typical else "")
        raise DataError(Fault(name, given, allowed, "Mend or take out the row"))
    minutes = hour * 60 + (0 if minute is None else minute)
    local = pd.DatetimeIndex(days) + pd.to_timedelta(minutes, unit="m")
    if typical:
        local = local.where(local.year >= NOMINAL_YEAR, local + pd.Timedelta(days=365))
        local = local.where(local.year <= NOMINAL_YEAR, local - pd.Timedelta(days=365))
    return (local - pd.Timedelta(hours=zone_h)).tz_localize("UTC").as_unit("us")
