"""A table of homes in (CSV or Parquet); its rows by dotted keys, in pieces and in the order of their places, out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from simkit.bounds import HOMES, HOMES_BYTES, TABLE_COLUMNS, unreadable
from simkit.clients.heads import unknown_key
from simkit.clients.table import Row, is_said
from simkit.errors import DataError, Fault, perhaps, raise_all
from simkit.readers.table import separator_of

PLAIN = ("name", "group", "place")
SAMPLE_BYTES = 65_536  # what tells the separator
ENDINGS = (".csv", ".parquet")


@dataclass(frozen=True, eq=False)
class HomeTable:
    """A table of homes, held by column.

    Attributes
    ----------
    path
        The file.
    names
        Name of each column: one of `PLAIN`, or a dotted key of a case.
    cells
        An Arrow table of those columns and `line`, the number of each row's line, sorted by place so that homes of one
        place and weather stand together.
    faults
        Rows that could not be taken apart.
    """

    path: Path
    names: tuple[str, ...]
    cells: Any
    faults: tuple[Fault, ...] = ()

    def __len__(self) -> int:
        return int(self.cells.num_rows)

    def pieces(self, length: int) -> Iterator[tuple[Row, ...]]:
        """The rows, so many at a time; empty cells are left out."""
        for first in range(0, len(self), length):
            held = self.cells.slice(first, length).to_pylist()
            yield tuple(
                Row(one.pop("line"), {name: value for name, value in one.items() if is_said(value)}) for one in held
            )


def read_homes(path: str | Path) -> HomeTable:
    """Read a table of homes.

    Parameters
    ----------
    path
        A CSV file with a head, or a Parquet file. Columns are dotted keys of a case file, and `name` (what a home is
        called), `group` (what homes are summed up by) and `place` (a case file beside the table, or a sample home,
        whose values hold where a row is silent).

    Raises
    ------
    DataError
        With a sentence for each thing that is wrong with the table as a whole. A row of another length than the head
        is no such thing: it is among the `faults` of what comes back.
    """
    path = Path(path)
    why = unreadable(path, HOMES_BYTES)
    if why:
        raise DataError(Fault(path.name, "the file", why, f"See that {path} is there and may be read"))
    cells, faults = _parquet(path) if path.suffix.lower() == ".parquet" else _text(path)
    names, wrong = _names(path, cells.column_names)
    if not cells.num_rows and not wrong:
        wrong.append(Fault(path.name, "the table", "holds no row under its head", "Write a row for each home"))
    raise_all(wrong, DataError)
    cells = cells.rename_columns([*names, "line"])
    order = [name for name in names if name == "place" or name.startswith(("site.", "weather."))]
    cells = cells.sort_by([(name, "ascending") for name in (*order, "line")]) if order else cells
    return HomeTable(path, tuple(names), cells, tuple(faults))


def _text(path: Path) -> tuple[Any, list[Fault]]:
    """Cells of a CSV file as text with the number of each line, and the lines of another length than the head."""
    import pyarrow as pa
    from pyarrow import csv

    _require_utf8(path)
    with path.open("rb") as stream:
        sample = stream.read(SAMPLE_BYTES).decode("utf-8", errors="replace").removeprefix("\ufeff").splitlines()
    if not sample or not sample[0].strip():
        raise DataError(Fault(f"{path.name} line 1", "the head", "is missing", "Write the names of the columns there"))
    separator = separator_of(sample)
    head = [cell.strip().strip('"') for cell in sample[0].split(separator)]
    numbers, faults = [str(k) for k in range(len(head))], []

    def uneven(row: Any) -> str:
        given = f"{row.actual_columns} cells"
        allowed = f"are not the {row.expected_columns} of the head"
        faults.append(Fault(f"{path.name} line {row.number}", given, allowed, "Write each cell, empty ones as well"))
        return "skip"

    try:
        cells = csv.read_csv(
            path,
            csv.ReadOptions(use_threads=False, skip_rows=1, column_names=numbers),
            csv.ParseOptions(delimiter=separator, ignore_empty_lines=False, invalid_row_handler=uneven),
            csv.ConvertOptions(column_types=dict.fromkeys(numbers, pa.string())),
        )
    except pa.ArrowInvalid as problem:
        said = str(problem).split(". ", maxsplit=1)[0][:200]
        remedy = "Save it anew as CSV in UTF-8, one home a line"
        raise DataError(Fault(path.name, "the table", f"can't be taken apart ({said})", remedy)) from None
    left_out = {int(fault.where.rsplit(" ", 1)[1]) for fault in faults}
    lines = [line for line in range(2, 2 + cells.num_rows + len(left_out)) if line not in left_out]
    cells = cells.rename_columns(head).append_column("line", pa.array(lines, pa.int64()))
    return _without_empty(cells), faults


def _require_utf8(path: Path) -> None:
    """Refuse what the library would complain of row by row, past everything that catches."""
    with path.open("rb") as stream:
        for number, line in enumerate(stream, start=1):
            try:
                line.decode()
            except UnicodeDecodeError:
                remedy = "Save it anew as CSV in UTF-8, one home a line"
                raise DataError(Fault(f"{path.name} line {number}", "", "is not UTF-8 text", remedy)) from None


def _without_empty(cells: Any) -> Any:
    """The rows in which something stands."""
    from pyarrow import compute

    filled = None
    for column in cells.columns[:-1]:
        said = compute.fill_null(compute.not_equal(compute.utf8_trim_whitespace(column), ""), False)
        filled = said if filled is None else compute.or_(filled, said)
    return cells.filter(filled)


def _parquet(path: Path) -> tuple[Any, list[Fault]]:
    import pyarrow as pa
    from pyarrow import parquet

    try:
        rows = parquet.read_metadata(path).num_rows
        cells = parquet.read_table(path) if rows <= HOMES else None
        if cells is not None:
            cells.validate(
                full=True
            )  # text that is broken, in a cell or a head, is found here and not where it is used
            cells = cells.rename_columns(cells.column_names)
    except (pa.ArrowException, OSError, ValueError):
        raise DataError(Fault(path.name, "the file", "is no Parquet file", "Save it again, or as CSV")) from None
    if cells is None:
        allowed = f"holds more than {HOMES:,} rows"
        raise DataError(Fault(path.name, f"a table of {rows:,} homes", allowed, "Part it into several tables"))
    return cells.append_column("line", pa.array(range(1, rows + 1), pa.int64())), []


def _names(path: Path, heads: list[str]) -> tuple[list[str], list[Fault]]:
    """The name of each column but the last, which counts the lines, and what is wrong with the head."""
    where, names, faults = f"{path.name}, its head", [], []
    if len(heads) - 1 > TABLE_COLUMNS:
        given, allowed = f"{len(heads) - 1:,} columns", f"are more than {TABLE_COLUMNS:,}"
        raise DataError(Fault(where, given, allowed, "Keep those that are keys of a case file"))
    for head in heads[:-1]:
        name = head.strip() if "." in head else head.strip().casefold()
        if "." in name:
            fault = unknown_key(name, head, where)
            faults += [fault] if fault else []
        elif name not in PLAIN:
            listed = f"Columns are {', '.join(PLAIN)}, and keys of a case file such as controls.design_flow_c"
            faults.append(Fault(where, f'column "{head}"', "is not known", perhaps(name, PLAIN, listed)))
        if name in names:
            faults.append(Fault(where, f'column "{head}"', "stands there twice", "Keep one of the two"))
        names.append(name)
    return names, faults
