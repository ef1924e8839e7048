"""A file of readings in; its cells as text, with the separator and the lines that are no data told apart, out."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from simkit.errors import DataError, Fault
from simkit.meter.reading.stamps import looks_like_date
from simkit.readers.text_file import read_text

LARGEST_MB = 60.0  # own: thirty years of half-hours in the wordiest layout met
SEPARATORS = (";", "\t", "|", ",")
LOOKED_AT = 400
NUMBER = re.compile(r"^\s*[-+]?(\d[\d ,.'\u2009\u00a0]*|[.,]\d+)(e[-+]?\d+)?\s*([a-zA-Z³°/]{0,5})\s*$")


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


def read_table(path: Path | str) -> Table:
    """Read the cells of a file of readings.

    Raises
    ------
    DataError
        Where it is missing, too large, empty, no text, or holds no row with a date and a number.
    """
    path = Path(path)
    if path.is_file() and path.stat().st_size > LARGEST_MB * 1e6:
        given = f"the file of {path.stat().st_size / 1e6:,.0f} MB"
        allowed = (
            f"is larger than {LARGEST_MB:g} MB, which thirty years of half-hours don't fill; nothing of it was read"
        )
        raise DataError(Fault(path.name, given, allowed, "Export readings of one meter and of fewer years"))
    return table_of(read_text(path), path.name)


def table_of(text: str, name: str) -> Table:
    """Cut text into cells."""
    lines = text.split("\n")
    kept = [k for k, line in enumerate(lines) if line.strip(" ;,\t|")]
    sample = [lines[k] for k in kept[:LOOKED_AT]]
    separator = _separator(sample)
    first = _first_row(sample, separator)
    if first is None:
        raise DataError(
            Fault(
                name, "the file", "holds no row with a date and a number beside it; nothing was read",
                "Export the readings as a table: a date and time, and a value, in each row",
            )
        )  # fmt: skip
    body = [lines[k] for k in kept[first:]]
    width = max(_count(line, separator) for line in body)
    head = _head(sample[:first], separator, width)
    frame = pd.read_csv(
        io.StringIO("\n".join(body)), sep=separator, header=None, names=range(width), dtype=str,
        keep_default_na=False, skipinitialspace=True, skip_blank_lines=False, quoting=csv.QUOTE_MINIMAL,
    )  # fmt: skip
    frame = frame.where(frame.notna(), "")
    above = tuple(sample[: max(first - 1, 0)] if any(head) else sample[:first])
    return Table(name, frame, head, above, separator, np.array(kept[first:]) + 1)


def _count(line: str, separator: str) -> int:
    if '"' in line:
        line = re.sub(r'"[^"]*"', "", line)
    return line.count(separator) + 1


def _split(line: str, separator: str) -> list[str]:
    return [cell.strip().strip('"').strip() for cell in next(csv.reader([line], delimiter=separator))]


def _separator(sample: list[str]) -> str:
    """The separator that cuts most lines into the same number of cells; a comma only where nothing else does."""
    best, chosen = 0.0, ","
    for separator in SEPARATORS:
        counts = Counter(_count(line, separator) for line in sample)
        usual, times = max(counts.items(), key=lambda item: (item[1] * (item[0] > 1), item[0]))
        share = times / len(sample) if usual > 1 else 0.0
        if share > best + (0.0 if separator != "," else 0.15):
            best, chosen = share, separator
    return chosen


def is_number(cell: str) -> bool:
    """Whether a cell reads as a number, a unit behind it allowed."""
    return bool(NUMBER.match(cell))


def _first_row(sample: list[str], separator: str) -> int | None:
    for k, line in enumerate(sample):
        cells = _split(line, separator)
        dated = [looks_like_date(cell) for cell in cells]
        if any(dated) and any(is_number(cell) for cell, date in zip(cells, dated, strict=True) if not date and cell):
            return k
    return None


def _head(before: list[str], separator: str, width: int) -> tuple[str, ...]:
    """Names of the columns: the line just above the data, where it has about as many cells."""
    if before:
        cells = _split(before[-1], separator)
        if len(cells) > 1 and len(cells) >= min(width, 3) - 1 and not any(looks_like_date(cell) for cell in cells):
            return tuple((cells + [""] * width)[:width])
    return ("",) * width
