"""A file of stamped rows in; its cells as text, with the separator and the lines that are no data told apart, out.

Here stand the one way to cut a table and the one way to read its numbers, for readings, weather, prices and a
household's use.
"""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.bounds import TABLE_CELLS, TABLE_COLUMNS
from simkit.errors import DataError, Fault, nearest
from simkit.readers.stamps import looks_like_date, minute_of_cell
from simkit.readers.text_file import read_text

SEPARATORS = (";", "\t", "|", ",")
LOOKED_AT, SAMPLE, LONGEST_START = 400, 300, 20_000
MISSING = frozenset(("", "-", "--", "na", "n/a", "nan", "null", "none", "x", "m", "missing", "?"))
MARKS = (-99.9, -999.0, -999.9, -9900.0, -9999.0, 9999.0)
THOUSANDS = {
    ".": r"^[-+]?\d{1,3}(?:,\d{2,3})*,\d{3}(?!\d)[^,]*$", ",": r"^[-+]?\d{1,3}(?:\.\d{2,3})*\.\d{3}(?!\d)[^.]*$",
}  # fmt: skip
BLANKS = re.compile(r"[\s'\u00a0\u2009]")
WIDE_FROM = 20  # columns from which a row may hold a day, under a head of numbers
PLAIN_NUMBER = re.compile(r"[-+]?\d+(?:[.,]\d+)?$")
_UNITS = r"(?:[kM]?Wh?|kvarh|m³|m3|ft³|ft3|[hc]cf|°?[CFK]|%|€|£|\$|ct|[pc]/kWh|l/min|l|bar|Pa|hPa)"
UNIT = re.compile(rf"(?<=[\d.,]){_UNITS}$", re.IGNORECASE)
NUMBER = re.compile(rf"^\s*[-+]?(\d[\d ,.'\u2009\u00a0]*|[.,]\d+)(e[-+]?\d+)?\s*{_UNITS}?\s*$", re.IGNORECASE)


@dataclass(frozen=True, eq=False)
class Table:
    """Cells of a file.

    Attributes
    ----------
    name
        Name of the file.
    cells
        Rows of data as text, one column for each position; short rows are filled with "".
    head
        Names of the columns, "" where there is none.
    above
        Lines before the head: title, address, unit.
    separator
        What stands between two cells.
    lines
        Number of the line in the file on which each row stands, (rows,).
    """

    name: str
    cells: pd.DataFrame
    head: tuple[str, ...]
    above: tuple[str, ...]
    separator: str
    lines: np.ndarray

    @cached_property
    def sample(self) -> pd.DataFrame:
        """Rows from all over the file, in order: its first ones may be blank, or all of one register."""
        rows = np.unique(np.linspace(0, len(self.cells) - 1, SAMPLE).astype(np.int64))
        return self.cells.iloc[rows]


def read_table(path: Path | str) -> Table:
    """Read the cells of a file.

    Raises
    ------
    DataError
        Where it is missing, too large, empty, no text, or holds no row with a date and a number.
    """
    return table_of(read_text(path), Path(path).name)


def table_of(text: str, name: str) -> Table:
    """Cut text into cells; blank lines, and lines that begin with "#" below the head, are no rows."""
    lines = text.split("\n")
    kept = [k for k, line in enumerate(lines) if line.strip(" ;,\t|")]
    sample = [lines[k] for k in kept[:LOOKED_AT]]
    separator = separator_of(sample)
    first = _first_row(sample, separator)
    if first is None:  # a file may begin with rows in which nothing was measured yet
        sample = [lines[k] for k in kept[:LONGEST_START]]
        first = _first_row(sample, separator)
    if first is None:
        raise DataError(
            Fault(
                name, "the file", "holds no row with a date and a number beside it; nothing was read",
                "Export it as a table: a date and time, and a value, in each row",
            )
        )  # fmt: skip
    above = _head_at(sample, first, separator)
    first = first if above is None else above + 1
    kept_rows = [k for k in kept[first:] if not lines[k].startswith("#")]
    body = [lines[k] for k in kept_rows]
    frame = _cells(name, body, separator, kept_rows)
    width = frame.shape[1]
    head = ("",) * width
    if above is not None:
        named = split_cells(sample[above].lstrip("# "), separator)
        head = tuple((named + [""] * width)[:width])
    return Table(
        name, frame, head, tuple(sample[: first if above is None else above]), separator, np.array(kept_rows) + 1
    )


def _cells(name: str, body: list[str], separator: str, at: list[int]) -> pd.DataFrame:
    """Cut rows into cells; too many of them, or a quote that runs on over the end of its line, are refused."""
    counts = [_count(line, separator) for line in body]
    width = max(counts)
    if width > TABLE_COLUMNS or width * len(body) > TABLE_CELLS:
        where = f"{name} line {at[counts.index(width)] + 1}"
        allowed = f"are more than a table of {len(body):,} rows may have"
        raise DataError(Fault(where, f"{width:,} cells", allowed, "Mend the line, or export fewer columns and years"))
    try:
        frame = pd.read_csv(
            io.StringIO("\n".join(body)), sep=separator, header=None, names=range(width), dtype=str,
            keep_default_na=False, skipinitialspace=True, skip_blank_lines=False, quoting=csv.QUOTE_MINIMAL,
        )  # fmt: skip
    except pd.errors.ParserError:
        frame = pd.DataFrame()
    if len(frame) != len(body):
        odd = next((k for k, line in enumerate(body) if line.count('"') % 2), 0)
        where = f"{name} line {at[odd] + 1}"
        raise DataError(Fault(where, f"'{body[odd][:60]}'", "opens a quote and does not close it", "Mend the line"))
    return frame.where(frame.notna(), "")


def _count(line: str, separator: str) -> int:
    if '"' in line:
        line = re.sub(r'"[^"]*"', "", line)
    return line.count(separator) + 1


def split_cells(line: str, separator: str) -> list[str]:
    """Cut one line into its cells."""
    return [cell.strip().strip('"').strip() for cell in next(csv.reader([line], delimiter=separator))]


def separator_of(sample: list[str]) -> str:
    """The separator that cuts most lines into the same number of cells; a comma only where nothing else does."""
    best, chosen = 0.0, ","
    for separator in SEPARATORS:
        counts = Counter(_count(line, separator) for line in sample)
        usual, times = max(counts.items(), key=lambda item: (item[1] * (item[0] > 1), item[0]), default=(1, 0))
        share = times / len(sample) if usual > 1 else 0.0
        if share > best + (0.0 if separator != "," else 0.15):
            best, chosen = share, separator
    return chosen


def is_number(cell: str) -> bool:
    """Whether a cell reads as a number, a unit behind it allowed."""
    return bool(NUMBER.match(cell))


def _first_row(sample: list[str], separator: str) -> int | None:
    for k, line in enumerate(sample):
        cells = split_cells(line, separator)
        dated = [looks_like_date(cell) for cell in cells]
        if any(dated) and any(is_number(cell) for cell, date in zip(cells, dated, strict=True) if not date and cell):
            return k
    return None


def _head_at(sample: list[str], first: int, separator: str) -> int | None:
    """Line of the head: the one above the data that has about as many cells, rows that can't be read passed over."""
    width = _count(sample[first], separator)
    for k in range(first - 1, -1, -1):
        cells = split_cells(sample[k], separator)
        if len(cells) < 2 or len(cells) < (min(width, 3) - 1 if k == first - 1 else width):
            break
        broken = width < WIDE_FROM and any(PLAIN_NUMBER.match(cell) for cell in cells)
        if not broken and not any(looks_like_date(cell) for cell in cells):
            return k
    cells = split_cells(sample[first - 1], separator) if first else [""]
    dated = any(looks_like_date(cell) for cell in cells)
    return None if dated or len(cells) < max(2, min(width, 3) - 1) else first - 1


def column_at(table: Table, name: str, section: str) -> int:
    """Position of a named column.

    Raises
    ------
    DataError
        Where the head has no such name (a column without one is "column 2"); the nearest one is offered.
    """
    names = [head or f"column {place + 1}" for place, head in enumerate(table.head)]
    if name in names:
        return names.index(name)
    near = nearest(name, [head for head in table.head if head])
    shown = ", ".join(f'"{head}"' for head in table.head[:8] if head) + (" .." if len(table.head) > 8 else "")
    if not shown:
        raise DataError(
            Fault(table.name, f'column "{name}"', "is named, and the file has no head", "Leave the name out")
        )
    remedy = f'Perhaps "{near}" is meant' if near else f"Name one of these under {section}"
    raise DataError(Fault(table.name, f'column "{name}"', f"is not among the columns of its head: {shown}", remedy))


def with_times(table: Table, position: int) -> Table:
    """The table with the times of day of the next column put behind the dates of this one, where they stand apart."""
    dates, beside = table.cells[position], position + 1
    apart = beside in table.cells and not any(":" in cell for cell in dates.iloc[:SAMPLE])
    if not apart or any(minute_of_cell(cell) is None for cell in table.cells[beside].iloc[:SAMPLE]):
        return table
    cells = table.cells.drop(columns=beside)
    cells[position] = dates + " " + table.cells[beside]
    cells.columns = range(cells.shape[1])
    return replace(table, cells=cells, head=(*table.head[:beside], *table.head[beside + 1 :]))


def require_even_rows(table: Table) -> None:
    """Refuse rows with more cells than the head: a decimal comma between commas would be read as two numbers."""
    names = max((k + 1 for k, head in enumerate(table.head) if head), default=len(table.head))
    longer = np.flatnonzero((table.cells.iloc[:, names:] != "").any(axis=1))
    if len(longer):
        why = f'has more fields than its head, which is split at "{table.separator}"'
        remedy = "Mend the line; decimal commas need semicolons between the fields"
        raise DataError(Fault(f"{table.name} line {table.lines[longer[0]]}", "", why, remedy))
    if len(table.cells) < 2:
        remedy = "Fetch or export it again: a row for each interval is needed"
        raise DataError(Fault(table.name, "the file", "holds one row of data", remedy))


def decimal_of(table: Table, positions: Sequence[int]) -> tuple[str, str]:
    """The decimal sign of columns of numbers, and why it is that."""
    cells = [cell for k in positions for cell in table.sample[k].tolist() if cell]
    comma, point = sum("," in cell for cell in cells), sum("." in cell for cell in cells)
    if table.separator == "," and not any('"' in cell for cell in cells) and comma == 0:
        return ".", "commas part the cells"
    if comma and point:
        last = sum(cell.rfind(",") > cell.rfind(".") for cell in cells if "," in cell and "." in cell)
        both = sum("," in cell and "." in cell for cell in cells)
        return ("," if last > both / 2 or (not both and comma > point) else "."), "the other sign parts thousands"
    return (",", "only commas stand in the numbers") if comma else (".", "no commas stand in the numbers")


def numbers_of(cells: Sequence[str], decimal: str, marks: Sequence[float] = ()) -> Floats:
    """Read numbers; NaN where a cell is empty, marks a missing value or is no number, (n,).

    A sign that parts thousands counts as one only where three digits follow it; a unit behind the number is left aside.
    """
    plain = pd.Series(cells, dtype=object)
    found = np.array(pd.to_numeric(plain, errors="coerce"), dtype=np.float64)
    if decimal == "." and np.isfinite(found).all():
        return np.where(np.isin(found, marks), np.nan, found)
    plain = plain.astype(str).str.strip()
    other = "." if decimal == "," else ","
    if plain.str.contains(other, regex=False).any():
        parted = plain.str.contains(THOUSANDS[decimal])
        plain = plain.where(~parted, plain.str.replace(other, "", regex=False))
    if decimal == ",":
        plain = plain.where(~plain.str.contains(".", regex=False), "?").str.replace(",", ".", regex=False)
    found = np.array(pd.to_numeric(plain, errors="coerce"), dtype=np.float64)
    odd = np.flatnonzero(np.isnan(found) & ~plain.str.lower().isin(MISSING).to_numpy())
    for k in odd[: len(odd) if len(odd) < 100_000 else 0]:
        try:
            found[k] = float(UNIT.sub("", BLANKS.sub("", str(plain.iloc[k]))))
        except ValueError:
            continue
    found[~np.isfinite(found) | np.isin(found, marks)] = np.nan
    return found


def numbers_at(table: Table, position: int, decimal: str, *, gaps: bool, marks: Sequence[float] = ()) -> Floats:
    """Numbers of a column, (rows,); NaN for what is empty or marked as missing, where `gaps` are allowed.

    Raises
    ------
    DataError
        At the first cell that is no number.
    """
    cells = table.cells[position]
    numbers = numbers_of(cells.tolist(), decimal, marks)
    bad = np.isnan(numbers)
    if gaps:
        known = pd.to_numeric(cells, errors="coerce").isin(marks) | cells.str.strip().str.lower().isin(MISSING)
        bad &= ~known.to_numpy()
    if bad.any():
        k = int(np.argmax(bad))
        given = f'"{cells.iloc[k]}" in column "{table.head[position]}"' if cells.iloc[k] else "an empty field"
        why = f"is not a number ({int(bad.sum()):,} of {len(cells):,} rows)"
        remedy = "Mend it, or leave the field empty where nothing was measured" if gaps else ""
        remedy = remedy or "Write a number in every row; a gap is not a zero"
        raise DataError(Fault(f"{table.name} line {table.lines[k]}", given, why, remedy))
    return numbers
