"""Dates and times as people write them in; naive stamps, the order of day and month, and stamps in UTC out."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Dates, Floats, Ints
from simkit.errors import DataError, Fault

DATE = re.compile(
    r"^\s*(?=\d{8}(?!\d)|\d{4}[-/. ](?:\d{1,2}|[A-Za-z]{3,9})[-/. ]\d{1,2}(?!\d)"
    r"|\d{1,2}[-/. ](?:\d{1,2}|[A-Za-z]{3,9})[-/. ]\d{2,4}(?!\d))"
    r"(\d{4}|\d{1,2})[-/. ]?(\d{1,2}|[A-Za-z]{3,9})[-/. ]?(\d{4}|\d{1,2})"
    r"(?:[T ,_:]+(\d{1,2})(?:[:.h]?(\d{2}))?(?:[:.]?(\d{2})(?:[.,]\d+)?)?\s*([AaPp])?\.?[Mm]?\.?)?"
    r"\s*(Z|UTC|GMT|[+-]\d{2}(?::?\d{2})?)?\s*(?:(?:-|to|/)\s.*|/.*)?$"
)
COMPACT = re.compile(
    r"^\s*((?:19|20)\d{2}(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01]))((?:[01]\d|2[0-4])(?:[0-5]\d){0,2})\s*$"
)
EPOCH = re.compile(r"^\s*1[0-9]{9}(?:\d{3})?\s*$")
DOTTED = re.compile(r"\s*\d{1,2}\.\d{1,2}\.\d{2,4}")  # common practice: who parts a date by points writes the day first
CLOCK = re.compile(
    r"^\s*(\d{1,2})[:.h](\d{2})(?:[:.]\d{2})?\s*([AaPp])?\.?[Mm]?\.?(?:\s*(?:-|–|to)\s*\d{1,2}[:.]\d{2}.*)?$"
)
MONTH_ALONE = re.compile(r"^\s*(?:(\d{4})[-/](\d{1,2})|(\d{1,2})[-/](\d{4})|([A-Za-z]{3,9})\.?[-/ ](\d{4}))\s*$")
NAME_FIRST = re.compile(r"^\s*([A-Za-z]{3,9})\.?[ -](\d{1,2}),?[ -](\d{4})")
_NAMES = (
    "jan feb mar apr may jun jul aug sep oct nov dec", "ene fev mrt abr mai - - ago set okt - dez",
    "gen feb maa avr maj - lug aou set ott - dic",
)  # fmt: skip
MONTHS = {name: k + 1 for names in _NAMES for k, name in enumerate(names.split()) if name != "-"}
NO_TIME, LATEST_S, FARTHEST_MIN = np.datetime64("NaT", "s"), 4.133e9, 14 * 60  # to 2100; 14 h from UTC
YEAR_FIRST, DAY_FIRST, MONTH_FIRST = "year first", "day first", "month first"


def looks_like_date(cell: str) -> bool:
    """Whether a cell reads as a date, with or without a time of day."""
    if EPOCH.match(cell) or COMPACT.match(cell):
        return True
    found = DATE.match(_day_first(cell))
    if found is None:
        return False
    a, b, c = found.group(1, 2, 3)
    if b.isalpha():
        return b[:3].lower() in MONTHS
    return 1970 <= int(a) <= 2100 and len(c) <= 2 if len(a) == 4 else int(a) <= 31 and int(b) <= 31


def _day_first(cell: str) -> str:
    """A cell whose month stands alone, or is named before the day, as one that a date is read from."""
    if (alone := MONTH_ALONE.match(cell)) is None:
        return NAME_FIRST.sub(r"\2 \1 \3", cell)
    year, month, month_too, year_too, name, year_of_name = alone.groups()
    return f"{year or year_too or year_of_name}-{month or month_too or name[:3]}-01"


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


def parsed(cells: list[str], order: str | None = None, month_first: float = 0.1) -> Parsed:
    """Read stamps; an order of day and month that is said counts, else it is found from all of them.

    Seconds since 1970 are read too, 00:29:59 is taken for 00:30, and a month alone is its first day. `month_first` is
    how likely months stand first, before any look at the dates.
    """
    n = len(cells)
    naive, offset = np.full(n, NO_TIME), np.full(n, np.nan)
    if n and COMPACT.match(cells[0]):
        cells = [COMPACT.sub(r"\1 \2", cell) for cell in cells]
    elif n and EPOCH.match(cells[0]):
        numbers = pd.to_numeric(pd.Series(cells), errors="coerce").to_numpy(dtype=np.float64)
        seconds = np.where(numbers > 1e11, numbers / 1000.0, numbers)
        good = (seconds >= 0) & (seconds < LATEST_S)
        naive[good] = seconds[good].astype(np.int64).astype("datetime64[s]")
        return Parsed(naive, np.where(good, 0.0, np.nan), YEAR_FIRST, 1.0, True)
    if n and (MONTH_ALONE.match(cells[0]) or NAME_FIRST.match(cells[0])):
        cells = [_day_first(cell) for cell in cells]
    match = DATE.match
    found = [m.groups() if (m := match(cell)) else None for cell in cells]
    rows = np.array([k for k, groups in enumerate(found) if groups is not None], dtype=np.int64)
    if not len(rows):
        return Parsed(naive, offset, YEAR_FIRST, 0.0, False)
    a, b, c, hour, minute, second, half, zone = zip(*(found[k] for k in rows), strict=True)
    dotted = order is None and all(DOTTED.match(cells[k]) for k in rows)
    date, shown, certain = _dates(a, b, c, order, 0.01 if dotted else month_first)
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
        naive[np.abs(offset) > FARTHEST_MIN] = NO_TIME
    naive = np.where(naive.astype(np.int64) % 60 == 59, naive + np.timedelta64(1, "s"), naive)
    return Parsed(naive, offset, shown, certain, any(h is not None for h in hour))


def _ints(texts: tuple[str | None, ...]) -> Ints:
    return np.array([0 if t is None else t for t in texts], dtype=np.int64)


def _offset(text: str) -> float:
    if text[0] not in "+-":
        return 0.0
    digits = text[1:].replace(":", "").ljust(4, "0")
    return (-1.0 if text[0] == "-" else 1.0) * (int(digits[:2]) * 60 + int(digits[2:4]))


def _dates(
    a: tuple[str, ...], b: tuple[str, ...], c: tuple[str, ...], order: str | None, month_first: float
) -> tuple[Dates, str, float]:
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
        order, certain = _order(year, first, middle, month_first)
    day, month = (first, middle) if order == DAY_FIRST else (middle, first)
    return _calendar(year, month, day), order, certain


def _order(year: Ints, first: Ints, middle: Ints, month_first: float) -> tuple[str, float]:
    """Day or month first: no thirteenth month; else the one whose dates fill their span without holes."""
    days, months = int((first > 12).sum()), int((middle > 12).sum())
    if days != months:
        return (DAY_FIRST if days > months else MONTH_FIRST), 1.0
    weights = []
    for often, month, day in ((1.0 - month_first, middle, first), (month_first, first, middle)):
        dates = _calendar(year, month, day)
        held = np.unique(dates[~np.isnat(dates)]).astype(np.int64)
        alone = len(held) > 1 and len(dates) < 1.5 * len(held)  # one row a date may stand at any distance
        apart = float(np.median(np.diff(held))) if alone else 1.0
        filled = min(apart * len(held) / (held[-1] - held[0] + apart), 1.0) if len(held) else 0.0
        weights.append(often * (0.02 + filled))
    sure = weights[0] / sum(weights)
    return (DAY_FIRST, min(sure, 0.99)) if sure >= 0.5 else (MONTH_FIRST, min(1.0 - sure, 0.99))


def _calendar(year: Ints, month: Ints, day: Ints) -> Dates:
    good = (month >= 1) & (month <= 12) & (day >= 1) & (day <= 31) & (year >= 1970) & (year <= 2100)
    months = (np.where(good, year, 2000) - 1970) * 12 + np.where(good, month, 1) - 1
    start = months.astype("datetime64[M]")
    dates = start.astype("datetime64[D]") + (np.where(good, day, 1) - 1).astype("timedelta64[D]")
    good &= dates.astype("datetime64[M]") == start
    return np.where(good, dates, np.datetime64("NaT", "D"))


def to_utc(naive: Dates, clock: str, zone: str) -> tuple[Dates, Bools, Bools]:
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
        Which those are, (n,).
    single
        Which stamps of the repeated hour come only once: they are taken for the first time round, (n,).
    """
    if clock != "local":
        ahead = 0 if clock == "utc" else int(_offset(clock))
        return naive - np.timedelta64(ahead, "m"), *np.zeros((2, len(naive)), dtype=bool)
    index = pd.DatetimeIndex(naive)
    seen = pd.Series(naive).duplicated(keep="first").to_numpy()
    known = index.tz_localize(zone, ambiguous=~seen, nonexistent="NaT")
    utc = known.tz_convert("UTC").tz_localize(None).to_numpy().astype("datetime64[s]")
    twice = index.tz_localize(zone, ambiguous="NaT", nonexistent="shift_forward").isna() & ~np.isnat(naive)
    return (
        utc,
        np.isnat(utc) & ~np.isnat(naive),
        np.asarray(twice & ~pd.Series(naive).duplicated(keep=False)),
    )


def utc_of(name: str, lines: Ints, cells: list[str], *, clock: str, zone: str | None, section: str) -> pd.DatetimeIndex:
    """Stamps of rows in UTC, in the order of the file, every one of them clear.

    Parameters
    ----------
    name, lines
        The file and the line of each row, (n,), for messages.
    cells
        The stamps as text, (n,). A stamp's own offset counts before `clock`; 24:00 ends a day, and a date alone among
        others with a time is its midnight.
    clock, zone
        As in `to_utc`.
    section
        Section of the case whose key ``clock`` names the clock; "" where it has none.

    Raises
    ------
    DataError
        At the first stamp that can't be read, has no offset where others have one, or is no single instant.
    """
    read = parsed(cells)
    faults = [
        (np.isnat(read.naive), "is not a date with a time"),
        (np.full(len(cells), not read.timed), "has no time of day"),
        (np.isnan(read.offset) & np.isfinite(read.offset).any(), "has no offset from UTC, and others have one"),
    ]
    for bad, why in faults:
        if bad.any():
            k = int(np.argmax(bad))
            allowed = f"{why} ({int(bad.sum()):,} of {len(cells):,} rows)"
            remedy = "Write stamps such as 2025-01-31T07:00, the same way in every row"
            raise DataError(Fault(f"{name} line {lines[k]}", f'"{cells[k]}"', allowed, remedy))
    if np.isfinite(read.offset).all():
        utc = read.naive - (read.offset * 60).astype("timedelta64[s]")
    else:
        utc = _from_wall(name, lines, read.naive, clock=clock, zone=str(zone), section=section)
    return pd.DatetimeIndex(utc, tz="UTC").as_unit("us")


def _from_wall(name: str, lines: Ints, naive: Dates, *, clock: str, zone: str, section: str) -> Dates:
    turn = -1 if np.mean(np.diff(naive) < np.timedelta64(0, "s")) > 0.5 else 1  # the newest may stand first
    utc, skipped, single = to_utc(naive[::turn], clock, zone)
    unclear = np.flatnonzero((skipped | single)[::turn])
    if len(unclear):
        k = int(unclear[0])
        given = f"the stamp {pd.Timestamp(naive[k]):%Y-%m-%d %H:%M}"
        why = f"can't be a wall time in {zone}, where a clock change takes or repeats an hour that the rows don't"
        cure = f'write clock = "utc" or an offset such as "+01:00" under {section}' if section else ""
        cure = cure or "write the offset from UTC into every stamp, such as 2025-01-31T07:00+01:00"
        remedy = f"If every day has 24 hours, the stamps are not wall time: {cure}"
        raise DataError(Fault(f"{name} line {lines[k]}", given, why, remedy))
    return utc[::turn]


def usual_step(stamps: Dates) -> tuple[int, float]:
    """Commonest distance between neighbours in time [s], and its share of all; zeros where no two differ."""
    apart = np.diff(np.sort(stamps.astype("datetime64[s]"))).astype(np.int64)
    lengths, counts = np.unique(apart[apart > 0], return_counts=True)
    if not len(lengths):
        return 0, 0.0
    best = int(np.argmax(counts))
    return int(lengths[best]), float(counts[best] / counts.sum())


def local_midnights(dates: Dates, zone: str) -> Dates:
    """First instants of civil days of a zone, in UTC, (n,)."""
    index = pd.DatetimeIndex(dates.astype("datetime64[s]"))
    known = index.tz_localize(zone, ambiguous=np.ones(len(index), dtype=bool), nonexistent="shift_forward")
    return np.asarray(known.tz_convert("UTC").tz_localize(None).to_numpy().astype("datetime64[s]"))
