"""Year, month, day and hour, or text, in; starts of intervals in UTC out."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from simkit.arrays import Ints
from simkit.errors import DataError, Fault
from simkit.readers.found import NOMINAL_YEAR

YEAR_FIRST = (
    r"^\s*(\d{4})[-/.]?(\d{1,2})[-/.]?(\d{1,2})[T :]*"
    r"(\d{1,2})?:?(\d{2})?(?::?\d{2}(?:\.\d+)?)?\s*(Z|[+-]\d{2}:?\d{2})?\s*$"
)
DAY_FIRST = r"^\s*(\d{1,2})[-/.](\d{1,2})[-/.](\d{4})[T ,]*(\d{1,2})?:?(\d{2})?(?::\d{2})?\s*()$"


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


def from_text(name: str, column: str, texts: pd.Series, *, clock: str, zone: str | None) -> pd.DatetimeIndex:
    """Return UTC stamps of stamps written as text; what part of the interval they name is left as it is.

    Parameters
    ----------
    name, column
        File and column, for messages.
    texts
        The stamps, (n,): year first in any usual form, or day first; 24:00 ends a day. A stamp's own "Z" or offset
        counts.
    clock
        ``utc``, ``local`` or an offset such as ``+01:00``.
    zone
        Zone of the local clock.
    """
    year_first = bool(re.match(YEAR_FIRST, str(texts.iloc[0])))
    found = texts.astype(str).str.extract(YEAR_FIRST if year_first else DAY_FIRST)
    bad = found[0].isna() | found[3].isna()
    if bad.any():
        k = int(np.flatnonzero(bad)[0])
        dated = not found[0].isna().iloc[k]
        allowed = "has no time of day" if dated else "is not a date with a time"
        remedy = "Write stamps such as 2025-01-31 07:00 into one column, and name it under [weather] columns"
        raise DataError(Fault(name, f'"{texts.iloc[k]}" in column "{column}", row {k + 1},', allowed, remedy))
    parts = found[[0, 1, 2, 3, 4]].fillna("0").astype(np.int64).to_numpy()
    if not year_first:
        parts = parts[:, [2, 1, 0, 3, 4]]
        if parts[:, 1].max() > 12:
            parts = parts[:, [0, 2, 1, 3, 4]]  # no thirteenth month: the month came first
    rows = pd.DataFrame(parts[:, :3], columns=["year", "month", "day"])
    naive = calendar_stamps(name, rows, parts[:, 3], zone_h=0.0, typical=False, minute=parts[:, 4])
    own = found[5].fillna("")
    if (own != "").all():
        return naive - pd.to_timedelta(own.map(_minutes).to_numpy(), unit="m")
    if clock == "utc":
        return naive
    if clock != "local":
        return naive - pd.Timedelta(minutes=_minutes(clock))
    return _from_wall(name, naive.tz_localize(None), zone)


def _minutes(offset: str) -> int:
    if offset in ("Z", "utc"):
        return 0
    digits = offset[1:].replace(":", "")
    return (-1 if offset[0] == "-" else 1) * (int(digits[:2]) * 60 + int(digits[2:]))


def _from_wall(name: str, naive: pd.DatetimeIndex, zone: str | None) -> pd.DatetimeIndex:
    try:
        return naive.tz_localize(zone, ambiguous="infer", nonexistent="raise").tz_convert("UTC")
    except ValueError as problem:  # pandas' errors on ambiguous and nonexistent times are ValueErrors
        stamp = re.search(r"\d{4}-\d{2}-\d{2} \d{2}:\d{2}", str(problem))
        where = f"the stamp {stamp.group()}" if stamp else "a stamp"
        allowed = f"can't be a wall time in {zone}, where a clock change takes or repeats an hour that the rows don't"
        remedy = 'If every day has 24 rows, the clock stays on standard time: write it as clock = "+00:00" or "+01:00"'
        raise DataError(Fault(name, where, allowed, remedy)) from None
