"""A table of clients in (CSV, or the first sheet of a workbook); its rows by the names of their columns out."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from simkit.bounds import CLIENTS, TABLE_BYTES, TABLE_CELLS, TABLE_COLUMNS, TOML_LINE_CHARACTERS, unreadable
from simkit.clients.heads import REQUIRED, head_of
from simkit.errors import DataError, Fault, either, raise_all
from simkit.readers.table import separator_of
from simkit.readers.text_file import read_text

Cells = Sequence[Any]
Line = tuple[int, Cells]  # its number in the file, and what stands in it
SAMPLE = 400  # lines that tell the separator


@dataclass(frozen=True)
class Row:
    """One home of a table.

    Attributes
    ----------
    line
        Number of its line in the file.
    values
        What was written, by the name of the column; empty cells are left out.
    """

    line: int
    values: dict[str, Any]

    @property
    def name(self) -> str:
        """What the client is called; empty where nothing stands there."""
        return str(self.values.get("name", "")).strip()


def read_clients(path: Path) -> tuple[Row, ...]:
    """Read a table of clients: a head, and a row for each home.

    Parameters
    ----------
    path
        A CSV file, or a workbook (.xlsx) of which the first sheet is read: the values of formulas, never the formulas.

    Raises
    ------
    DataError
        With a sentence for each thing that is wrong with the table as a whole.
    """
    lines = list(_sheet_lines(path) if path.suffix.lower() == ".xlsx" else _text_lines(path))
    lines = [(number, cells) for number, cells in lines if any(is_said(cell) for cell in cells)]
    if len(lines) < 2:
        remedy = "Begin with what `simkit clients --template` prints"
        raise DataError(Fault(path.name, "the table", "holds no row under its head", remedy))
    (at, head), body = lines[0], lines[1:]
    width = max(len(cells) for _, cells in lines)
    if len(body) > CLIENTS or width > TABLE_COLUMNS:
        given = f"a table of {len(body):,} rows and {width:,} columns"
        allowed = f"is more than the {CLIENTS:,} rows and {TABLE_COLUMNS:,} columns that are read"
        raise DataError(Fault(path.name, given, allowed, "Part it into several tables"))
    names, faults = _names(f"{path.name} line {at}", [*head, *[None] * (width - len(head))], body)
    faults += [fault for line in body for fault in _overlong(path.name, *line)]
    rows = tuple(
        Row(line, {name: cell for name, cell in zip(names, cells, strict=False) if name and is_said(cell)})
        for line, cells in body
    )
    raise_all([*faults, *_twice(path.name, rows)], DataError)
    return rows


def is_said(cell: Any) -> bool:
    """Whether something stands in a cell."""
    return cell is not None and str(cell).strip() != ""


def _names(where: str, head: Cells, body: Sequence[Line]) -> tuple[list[str], list[Fault]]:
    """The name of each column, empty where the whole column is; and what is wrong with the head."""
    names, faults = [], []
    for place, cell in enumerate(head):
        if not is_said(cell):
            if any(place < len(cells) and is_said(cells[place]) for _, cells in body):
                allowed = "has values and no head"
                faults.append(Fault(where, f"column {place + 1}", allowed, "Write what it holds, or empty it"))
            names.append("")
            continue
        name, fault = head_of(str(cell), where)
        faults += [fault] if fault else []
        if name and name in names:
            faults.append(Fault(where, f'column "{cell}"', "stands there twice", "Keep one of the two"))
        names.append(name)
    missing = [name for name in REQUIRED if name not in names]
    if missing and not faults:
        given = either([f'column "{name}"' for name in missing])
        remedy = "Begin with what `simkit clients --template` prints"
        faults.append(Fault(where, given, "is missing" if len(missing) == 1 else "are missing", remedy))
    return names, faults


def _overlong(name: str, line: int, cells: Cells) -> Iterator[Fault]:
    longest = max(len(str(cell)) for cell in cells)
    if longest > TOML_LINE_CHARACTERS:
        allowed = f"is longer than {TOML_LINE_CHARACTERS:,}"
        yield Fault(f"{name} line {line}", f"a cell of {longest:,} characters", allowed, "Shorten it")


def _twice(name: str, rows: Sequence[Row]) -> Iterator[Fault]:
    """Two rows of one name: which report is whose could not be told."""
    first: dict[str, int] = {}
    for row in rows:
        known = first.setdefault(row.name.casefold(), row.line)
        if row.name and known != row.line:
            given, allowed = f'the name "{row.name}"', f"stands in line {known} as well"
            yield Fault(f"{name} line {row.line}", given, allowed, "Give every home a name of its own")


def _text_lines(path: Path) -> Iterator[Line]:
    """Rows of a text file with the number of the line on which each begins; "#" begins a remark."""
    text = read_text(path)
    sample = [line for line in text.split("\n")[:SAMPLE] if line.strip() and not line.startswith("#")]
    reader = csv.reader(io.StringIO(text), delimiter=separator_of(sample) if sample else ",", strict=True)
    begin = 1
    try:
        for cells in reader:
            if not (cells and cells[0].lstrip().startswith("#")):
                yield begin, cells
            begin = reader.line_num + 1
    except csv.Error:
        allowed = "opens a quote and does not close it, or holds a field without end"
        raise DataError(Fault(f"{path.name} line {begin}", "", allowed, "Mend the line")) from None


def _sheet_lines(path: Path) -> Iterator[Line]:
    """Rows of the first sheet of a workbook; formulas give the values that were saved with them."""
    from openpyxl import load_workbook

    _require_workbook(path)
    try:
        with path.open("rb") as stream:
            sheet = load_workbook(stream, data_only=True).worksheets[0]
        with path.open("rb") as stream:
            written = load_workbook(stream).worksheets[0]
    except Exception:  # the library has no one kind of error for a broken file
        raise DataError(
            Fault(path.name, "the workbook", "can't be read", "Save it again as .xlsx, or as CSV")
        ) from None
    if sheet.max_row * sheet.max_column > TABLE_CELLS:
        given = f"a sheet of {sheet.max_row:,} rows and {sheet.max_column:,} columns"
        raise DataError(Fault(path.name, given, "is too large", "Copy the table alone into a new workbook"))
    merged = sorted((span.min_row, span.coord) for span in sheet.merged_cells.ranges)
    remedy = "Part them, so that every value stands in its own cell"
    faults = [Fault(f"{path.name} line {row}", f"cells {at}", "are merged into one", remedy) for row, at in merged]
    for cells in written.iter_rows():
        for cell in cells:
            if cell.data_type == "f" and sheet[cell.coordinate].value is None:
                given = f"the formula in {cell.coordinate}"
                allowed = "was saved without its value"
                faults.append(Fault(f"{path.name} line {cell.row}", given, allowed, "Write the value itself"))
    raise_all(faults, DataError)
    yield from enumerate(sheet.iter_rows(values_only=True), start=1)


def _require_workbook(path: Path) -> None:
    """Refuse what is no workbook, or would fill the memory once it is unpacked, before it is parsed."""
    why = unreadable(path, TABLE_BYTES)
    if why:
        raise DataError(Fault(path.name, "the file", why, f"See that {path} is there and may be read"))
    try:
        with zipfile.ZipFile(path) as packed:
            size = sum(one.file_size for one in packed.infolist())
    except zipfile.BadZipFile:
        raise DataError(Fault(path.name, "the file", "is no workbook", "Save it as .xlsx, or as CSV")) from None
    if size > TABLE_BYTES:
        given = f"the workbook of {size / 1e6:,.0f} MB unpacked"
        allowed = f"is larger than {TABLE_BYTES / 1e6:g} MB, which no table of clients fills"
        raise DataError(Fault(path.name, given, allowed, "Copy the table alone into a new workbook"))
