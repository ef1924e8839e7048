"""Text of a table whose dates stand across, or are a spreadsheet's numbers of days, in; dates down its rows out."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd

from simkit.readers.stamps import MONTH_ALONE, looks_like_date, minute_of_cell
from simkit.readers.table import LOOKED_AT, is_number, numbers_of, separator_of, split_cells

LEAST_DATES = 5  # own: dates in a head from which they stand across
MONTH_DAYS = tuple(range(1, 29))  # every month has them
DAY_ZERO = pd.Timestamp("1899-12-30")  # spreadsheets count days from here
DAY_NUMBERS = (32_874.0, 55_153.0)  # 1990 to 2050: what is outside is no date
WHOLE_MINUTE_S = 5.0
OUT = ";"


def unfolded(text: str) -> tuple[str, str]:
    """The same readings with one date in each row, and what was done; else the text as it is.

    A month in each row and its days across; a time of day, or a quantity, in each row and its dates across; dates that
    a spreadsheet wrote as its numbers of days.
    """
    lines = [line for line in text.split("\n") if line.strip(" ;,\t|")]
    if not lines:
        return text, ""
    separator = separator_of(lines[:LOOKED_AT])
    for k, line in enumerate(lines[:LOOKED_AT]):
        head = split_cells(line, separator)
        below = lines[k + 1 :]
        for turn, said in TURNED.items():
            if (made := turn(head, below, separator)) is not None:
                return "\n".join((*lines[:k], *made)) + "\n", said
        if any(looks_like_date(cell) for cell in head):
            return text, ""
    made = _with_dates(lines, separator)
    return (text, "") if made is None else ("\n".join(made) + "\n", "Dates are a spreadsheet's numbers of days.")


def _months_down(head: list[str], below: list[str], separator: str) -> list[str] | None:
    """Days of a table whose rows are months and whose columns are their days; None where it is none."""
    days = {k: int(found.group(1)) for k, cell in enumerate(head) if (found := re.fullmatch(r"\D*(\d{1,2})\.?", cell))}
    if tuple(sorted(days.values()))[:28] != MONTH_DAYS or max(days.values()) > 31 or len(days) > 31:
        return None
    rows = [split_cells(line, separator) for line in below]
    months = [
        next((cell for j, cell in enumerate(row) if j not in days and MONTH_ALONE.match(cell)), "") for row in rows
    ]
    if not months or not months[0]:
        return None
    words = " ".join(cell for k, cell in enumerate(head) if k not in days and cell)
    made = [f"Date{OUT}{words or 'value'}"]
    for month, row in zip(months, rows, strict=True):
        first = _first_of(month)
        made += [
            f"{first}-{day:02d}{OUT}{row[k]}" if first else f"{month}{OUT}{row[k]}"
            for k, day in days.items()
            if k < len(row) and row[k]
        ]
    return made


def _first_of(month: str) -> str:
    """Year and month of a cell that holds a month alone; "" where it is none."""
    from simkit.readers.stamps import parsed

    at = parsed([month]).naive[0]
    return "" if np.isnat(at) else str(at.astype("datetime64[M]"))


def _dates_across(head: list[str], below: list[str], separator: str) -> list[str] | None:
    """Readings of a table with dates in its head: a time of day, or a quantity, in each row; None where it is none."""
    dated = [k for k, cell in enumerate(head) if looks_like_date(cell)]
    if len(dated) < LEAST_DATES or len(dated) < len(head) - 3 or not below:
        return None
    rows = [split_cells(line, separator) for line in below]
    if any(looks_like_date(cell) for cell in rows[0]) or not any(is_number(cell) for cell in rows[0]):
        return None
    names = [" ".join(cell for k, cell in enumerate(row) if k not in dated and cell) for row in rows]
    if all(minute_of_cell(name) is not None for name in names):
        words = " ".join(cell for k, cell in enumerate(head) if k not in dated and cell)
        cells = ((head[k], name, row[k]) for k in dated for name, row in zip(names, rows, strict=True) if k < len(row))
        return [f"Date and time{OUT}{words or 'value'}", *(f"{day} {name}{OUT}{cell}" for day, name, cell in cells)]
    made = [OUT.join(("Date", *names))]
    return made + [OUT.join((head[k], *(row[k] if k < len(row) else "" for row in rows))) for k in dated]


def _with_dates(lines: list[str], separator: str) -> list[str] | None:
    """A table whose first column that runs on like dates holds a spreadsheet's numbers of days, with its dates."""
    rows = [split_cells(line, separator) for line in lines]
    width = max(len(row) for row in rows)
    decimal = "," if separator != "," and not any("." in row[0] for row in rows) else "."
    for k in range(width if width > 1 else 0):
        numbers = numbers_of([row[k] if k < len(row) else "" for row in rows], decimal)
        there = np.isfinite(numbers)
        good = numbers[there]
        if len(good) < max(3, 0.8 * len(rows)) or good.min() < DAY_NUMBERS[0] or good.max() > DAY_NUMBERS[1]:
            continue
        steps = np.diff(good)
        if not (np.all(steps >= 0) or np.all(steps <= 0)) or np.ptp(good) > 20 * len(good) or not steps.any():
            continue
        stamps = _stamps_of(good)
        for place, stamp in zip(np.flatnonzero(there), stamps, strict=True):
            rows[place][k] = stamp
        return [OUT.join(row) for row in rows]
    return None


def _stamps_of(days: np.ndarray) -> list[str]:
    """Dates of numbers of days, with the time where there is one: to the minute, where all are near one."""
    if np.all(days % 1 == 0):
        return [f"{DAY_ZERO + pd.Timedelta(days=int(day)):%Y-%m-%d}" for day in days]
    seconds = days * 86400.0
    minutes = np.rint(seconds / 60.0) * 60.0
    at = minutes if np.all(np.abs(seconds - minutes) < WHOLE_MINUTE_S) else np.rint(seconds)
    return [f"{DAY_ZERO + pd.Timedelta(seconds=int(second)):%Y-%m-%d %H:%M:%S}" for second in at]


TURNED = {
    _months_down: "Each row held a month and its days stood across: they were laid one under another.",
    _dates_across: "Dates stood across: they were laid one under another.",
}
