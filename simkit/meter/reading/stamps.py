"""Dates and times as people write them in; naive stamps, the order of day and month, and stamps in UTC out."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
import pandas as pd

from simkit.arrays import Dates, Floats, Ints

DATE = re.compile(
    r"^\s*(?=\d{8}(?!\d)|\d{1,4}[-/. ](?:\d{1,2}|[A-Za-z]{3,9})[-/. ]\d{2,4})"
    r"(\d{4}|\d{1,2})[-/. ]?(\d{1,2}|[A-Za-z]{3,9})[-/. ]?(\d{4}|\d{2})"
    r"(?:[T ,_]+(\d{1,2})(?:[:.h](\d{2}))?(?:[:.](\d{2})(?:[.,]\d+)?)?\s*([AaPp])?\.?[Mm]?\.?)?"
    r"\s*(Z|UTC|GMT|[+-]\d{2}(?::?\d{2})?)?\s*(?:(?:-|to|/)\s.*|/.*)?$"
)
EPOCH = re.compile(r"^\s*1[0-9]{9}(?:\d{3})?\s*$")
CLOCK = re.compile(
    r"^\s*(\d{1,2})[:.h](\d{2})(?:[:.]\d{2})?\s*([AaPp])?\.?[Mm]?\.?(?:\s*(?:-|–|to)\s*\d{1,2}[:.]\d{2}.*)?$"
)
MONTHS = {
    name: k + 1
    for k, name in enumerate(["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"])
}
NO_TIME = np.datetime64("NaT", "s")
YEAR_FIRST, DAY_FIRST, MONTH_FIRST = "year first", "day first", "month first"


def looks_like_date(cell: str) -> bool:
    """Whether a cell reads as a date, with or without a time of day."""
    if EPOCH.match(cell):
        return True
    found = DATE.match(cell)
    if found is None:
        return False
    a, b, c = found.group(1, 2, 3)
    if b.isalpha():
        return b[:3].lower() in MONTHS
    return 1970 <= int(a) <= 2100 and len(c) == 2 if len(a) == 4 else int(a) <= 31 and int(b) <= 31


def minute_of_cell(cell: str) -> int | None:
    """Minutes since midnight [min] of a cell such as "07:30" or "07:30-08:00"; None where it is no time of day."""
    found = CLOCK.match(cell)
    if found is None:
        return None
    hour, minute, half = int(found.group(1)), int(found.group(2)), (found.group(3) or "").lower()
    if half:
        hour = hour % 12 + 12 * (half == "p")
    total = hour * 60 + minute
    return total if minute < 60 and total <= 1440 else None


@dataclass(frozen=True, eq=False)
class Parsed:
    """Stamps of rows.

    Attributes
    ----------
    naive
        On the file's own clock, (rows,); NaT where a cell is no date.
    offset
        The stamp's own offset from UTC [min]; NaN where it has none, (rows,).
    order
        Whether year, day or month comes first.
    certain
        How sure that is, 0 to 1.
    timed
        Whether the cells carry a time of day.
    """

    naive: Dates
    offset: Floats
    order: str
    certain: float
    timed: bool


def parsed(cells: list[str], order: str | None = None) -> Parsed:
    """Read stamps; an order of day and month that is said counts, else it is found from all of them."""
    n = len(cells)
    naive, offset = np.full(n, NO_TIME), np.full(n, np.nan)
    if n and EPOCH.match(cells[0]):
        numbers = pd.to_numeric(pd.Series(cells), errors="coerce").to_numpy(dtype=np.float64)
        seconds = np.where(numbers > 1e11, numbers / 1000.0, numbers)
        good = np.isfinite(seconds)
        naive[good] = seconds[good].astype(np.int64).astype("datetime64[s]")
        return Parsed(naive, np.where(good, 0.0, np.nan), YEAR_FIRST, 1.0, True)
    match = DATE.match
    found = [m.groups() if (m := match(cell)) else None for cell in cells]
    rows = np.array([k for k, groups in enumerate(found) if groups is not None], dtype=np.int64)
    if not len(rows):
        return Parsed(naive, offset, YEAR_FIRST, 0.0, False)
    a, b, c, hour, minute, second, half, zone = zip(*(found[k] for k in rows), strict=True)
    date, order, certain = _dates(a, b, c, order)
    seconds = 3600 * _ints(hour) + 60 * _ints(minute) + _ints(second)
    if any(half):
        twelve = np.array([h is not None for h in half])
        late = np.array([h is not None and h in "Pp" for h in half])
        clock = _ints(hour)
        seconds = np.where(twelve, seconds + 3600 * (clock % 12 - clock + 12 * late), seconds)
    bad = (seconds < 0) | (seconds > 86400)
    naive[rows] = np.where(bad, NO_TIME, date.astype("datetime64[s]") + seconds.astype("timedelta64[s]"))
    if any(zone):
        known = {text: _offset(text) for text in set(zone) if text}
        offset[rows] = [known.get(text, np.nan) if text else np.nan for text in zone]
    return Parsed(naive, offset, order, certain, any(h is not None for h in hour))


def _ints(texts: tuple[str | None, ...]) -> Ints:
    return np.array([0 if t is None else t for t in texts], dtype=np.int64)


def _offset(text: str) -> float:
    if text[0] not in "+-":
        return 0.0
    digits = text[1:].replace(":", "").ljust(4, "0")
    return (-1.0 if text[0] == "-" else 1.0) * (int(digits[:2]) * 60 + int(digits[2:4]))


def _dates(a: tuple[str, ...], b: tuple[str, ...], c: tuple[str, ...], order: str | None) -> tuple[Dates, str, float]:
    """Dates of three texts each; which comes first, and how sure that is."""
    first, last = np.array(a, dtype=np.int64), np.array(c, dtype=np.int64)
    named = any(text.isalpha() for text in b)
    middle = np.array([MONTHS.get(t[:3].lower(), 0) if t.isalpha() else int(t) for t in b], dtype=np.int64)
    certain = 1.0
    if len(a[0]) == 4:
        return _calendar(first, middle, last), YEAR_FIRST, 1.0
    year = np.where(last < 100, last + 2000, last)
    if named:
        return _calendar(year, middle, first), DAY_FIRST, 1.0
    if order is None:
        order, certain = _order(first, middle)
    day, month = (first, middle) if order == DAY_FIRST else (middle, first)
    return _calendar(year, month, day), order, certain


def _order(first: Ints, middle: Ints) -> tuple[str, float]:
    """Day or month first: no thirteenth month; else the one that moves faster down the rows is the day."""
    if first.max() > 12:
        return DAY_FIRST, 1.0
    if middle.max() > 12:
        return MONTH_FIRST, 1.0
    moves = [np.count_nonzero(np.diff(part)) for part in (first, middle)]
    if moves[0] == moves[1]:
        return DAY_FIRST, 0.5
    return (DAY_FIRST if moves[0] > moves[1] else MONTH_FIRST), 0.8


def _calendar(year: Ints, month: Ints, day: Ints) -> Dates:
    good = (month >= 1) & (month <= 12) & (day >= 1) & (day <= 31) & (year >= 1970) & (year <= 2100)
    months = (np.where(good, year, 2000) - 1970) * 12 + np.where(good, month, 1) - 1
    start = months.astype("datetime64[M]")
    dates = start.astype("datetime64[D]") + (np.where(good, day, 1) - 1)
    good &= dates.astype("datetime64[M]") == start
    return np.where(good, dates, np.datetime64("NaT", "D"))


def to_utc(naive: Dates, clock: str, zone: str) -> tuple[Dates, int, int]:
    """Turn stamps of a clock into UTC.

    Parameters
    ----------
    naive
        Stamps in the order of time, (n,).
    clock
        ``utc``, ``local`` or a fixed offset such as ``+01:00``.
    zone
        IANA zone of the local clock.

    Returns
    -------
    utc
        Stamps in UTC; NaT where the wall clock never shows such a time.
    skipped
        How many those are.
    single
        How many stamps of the repeated hour come only once: they are taken for the first time round.
    """
    if clock == "utc":
        return naive, 0, 0
    if clock != "local":
        return naive - np.timedelta64(int(_offset(clock)), "m"), 0, 0
    index = pd.DatetimeIndex(naive)
    seen = pd.Series(naive).duplicated(keep="first").to_numpy()
    known = index.tz_localize(zone, ambiguous=~seen, nonexistent="NaT")
    utc = known.tz_convert("UTC").tz_localize(None).to_numpy().astype("datetime64[s]")
    skipped = int(np.count_nonzero(np.isnat(utc) & ~np.isnat(naive)))
    twice = index.tz_localize(zone, ambiguous="NaT", nonexistent="shift_forward").isna() & ~np.isnat(naive)
    single = int(np.count_nonzero(np.asarray(twice) & ~pd.Series(naive).duplicated(keep=False).to_numpy()))
    return utc, skipped, single


def local_midnights(dates: Dates, zone: str) -> Dates:
    """First instants of civil days of a zone, in UTC, (n,)."""
    index = pd.DatetimeIndex(dates.astype("datetime64[s]"))
    known = index.tz_localize(zone, ambiguous=np.ones(len(index), dtype=bool), nonexistent="shift_forward")
    return np.asarray(known.tz_convert("UTC").tz_localize(None).to_numpy().astype("datetime64[s]"))
