"""Year, month, day and hour of a weather file, perhaps of typical months, in; stamps in UTC out."""

from __future__ import annotations

import numpy as np
import pandas as pd

from simkit.arrays import Ints
from simkit.errors import DataError, Fault
from simkit.readers.found import NOMINAL_YEAR
from simkit.readers.series import Place

UNREAL = 1e300
ON_EARTH = {
    "latitude": (-90.0, 90.0, "°"), "longitude": (-180.0, 180.0, "°"), "altitude": (-500.0, 9000.0, "m"),
    "clock": (-12.0, 14.0, "h from UTC"),
}  # fmt: skip
CALENDAR = {"year": (1800, 2200), "month": (1, 12), "day": (1, 31), "hour": (-1, 24)}


def numbers_of(column: pd.Series) -> pd.Series:
    """Numbers of a column; what is none, or too large for any, is not a number."""
    try:
        found = pd.to_numeric(column, errors="coerce")
    except OverflowError:  # hundreds of digits
        found = pd.to_numeric(column.map(lambda cell: cell if abs(cell) < UNREAL else np.nan), errors="coerce")
    return found.where(np.isfinite(found))


def require_place(name: str, place: Place, zone_h: float) -> None:
    """Refuse a head that names no place on Earth, or a clock that is kept nowhere."""
    named = {"latitude": place[0], "longitude": place[1], "altitude": place[2], "clock": zone_h}
    for what, value in named.items():
        least, most, unit = ON_EARTH[what]
        if not least <= value <= most:
            allowed = f"is outside {least:g} to {most:g} {unit}"
            raise DataError(
                Fault(name, f"{what} {value:g} in its head", allowed, "Mend the head, or fetch the file again")
            )


def _require_calendar(name: str, rows: pd.DataFrame, hour: Ints) -> None:
    """Refuse dates beyond any record, before they are laid on an axis."""
    for what, values in {**{key: rows[key].to_numpy() for key in CALENDAR if key in rows}, "hour": hour}.items():
        least, most = CALENDAR[what]
        odd = np.flatnonzero(~((values >= least) & (values <= most)))
        if len(odd):
            allowed = f"is outside {least} to {most}"
            raise DataError(
                Fault(name, f"{what} {values[odd[0]]:g} in row {odd[0] + 1}", allowed, "Mend or take out the row")
            )


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
    _require_calendar(name, rows, hour)
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
