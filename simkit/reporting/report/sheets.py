"""Texts, numbers and formulas in; a workbook whose texts are never formulas, the same bytes each time, out."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from io import BytesIO
from math import ceil, isfinite
from numbers import Real
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

import numpy as np
from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Alignment, Font
from openpyxl.worksheet._write_only import WriteOnlyWorksheet

MOST_CHARACTERS = 32_000  # a cell holds 32,767
NOT_IN_NAMES = re.compile(r"[\[\]:*?/\\]")
NAME_CHARACTERS = 31
FIRST_DAY = (1980, 1, 1, 0, 0, 0)  # the first that a zip file knows: no clock is in the bytes
STAMPS = re.compile(rb"(<dcterms:(created|modified)[^>]*>)[^<]*")
WIDEST, NARROWEST = 60, 9  # widths of columns [characters]
PAGE_CHARACTERS = 120  # own: as far as a sentence runs before it goes on in another line
LINE_POINTS = 15.0  # height of a line in the usual type of spreadsheets
MOST_LINES = 27  # a row is 409 points high at most


@dataclass(frozen=True)
class Formula:
    """What a spreadsheet works out; it is made here, and never from anything that a user wrote."""

    text: str


@dataclass(frozen=True)
class Strong:
    """A head or a total."""

    value: Any


@dataclass(frozen=True)
class Shown:
    """A number or a formula that is held in full and shown in a format of the spreadsheet."""

    value: Any
    digits: int
    unit: str = ""

    @property
    def format(self) -> str:
        """The format: so many decimals, thousands marked as the reader's spreadsheet does, the unit after it."""
        decimals = f".{'0' * self.digits}" if self.digits else ""
        if self.unit == "share":
            return f"0{decimals}%"
        return f"#,##0{decimals}" + (f' "{self.unit}"' if self.unit else "")


class Sheets:
    """A workbook that is written sheet by sheet."""

    def __init__(self) -> None:
        self._book = Workbook(write_only=True)

    def add(self, name: str, rows: Iterable[Sequence[Any]], widths: Sequence[int] = (), *, frozen: str = "") -> None:
        """Add a sheet of rows.

        Parameters
        ----------
        name
            What it is called; shortened and told apart where it has to be.
        rows
            Values: texts, numbers, `Formula`, `Strong` around one of them, None for an empty cell.
        widths
            Of its columns [characters].
        frozen
            Cell above and left of which nothing scrolls.
        """
        sheet: WriteOnlyWorksheet = self._book.create_sheet(self._name(name))
        held = [min(max(width, NARROWEST), WIDEST) for width in widths]
        for place, width in enumerate(held):
            sheet.column_dimensions[column_letter(place)].width = width
        if frozen:
            sheet.freeze_panes = frozen
        for number, row in enumerate(rows, 1):
            over = _sentence_over(row, held)  # a sentence by itself runs over as many columns as a line of a page
            if over > 1:
                sheet.merged_cells.add(f"A{number}:{column_letter(over - 1)}{number}")
            lines = _lines(row, [sum(held[:over])] if over else held)
            if lines > 1:  # a spreadsheet finds no height for cells that run over others, and not always for the rest
                sheet.row_dimensions[number].height = LINE_POINTS * min(lines, MOST_LINES)
            sheet.append([_cell(sheet, value) for value in row])

    def _name(self, name: str) -> str:
        bare = NOT_IN_NAMES.sub(" ", ILLEGAL_CHARACTERS_RE.sub("", name))[:NAME_CHARACTERS].strip(" '") or "Sheet"
        taken, found, number = set(self._book.sheetnames), bare, 2
        while found in taken:
            found, number = f"{bare[: NAME_CHARACTERS - 3]} {number}", number + 1
        return found

    def written(self) -> bytes:
        """The workbook as a file, without any clock in it."""
        held, out = BytesIO(), BytesIO()
        self._book.save(held)
        with ZipFile(held) as made, ZipFile(out, "w", ZIP_DEFLATED) as kept:
            for name in made.namelist():
                content = made.read(name)
                if name == "docProps/core.xml":
                    content = STAMPS.sub(rb"\g<1>2000-01-01T00:00:00Z", content)
                kept.writestr(ZipInfo(name, FIRST_DAY), content, ZIP_DEFLATED)
        return out.getvalue()


def column_letter(place: int) -> str:
    """Letters of a column counted from 0."""
    from openpyxl.utils import get_column_letter

    return str(get_column_letter(place + 1))


def _bare(cell: Any) -> Any:
    """What a head or a total holds; any other cell as it is."""
    return cell.value if isinstance(cell, Strong) else cell


def _sentence_over(row: Sequence[Any], widths: Sequence[int]) -> int:
    """Over how many columns a row of one text runs; 0 for any other row."""
    if len(row) != 1 or not isinstance(_bare(row[0]), str):
        return 0
    reach = np.cumsum(widths)
    return int((reach < PAGE_CHARACTERS).sum() + 1) if len(reach) and reach[-1] >= PAGE_CHARACTERS else len(widths)


def _lines(row: Sequence[Any], widths: Sequence[int]) -> int:
    """How many lines the longest text of a row takes."""
    texts = ((_bare(cell), width) for cell, width in zip(row, widths, strict=False))
    return max((ceil(len(text) / (1.05 * width)) for text, width in texts if isinstance(text, str)), default=1)


def _cell(sheet: WriteOnlyWorksheet, value: Any) -> Any:
    held = _bare(value)
    shown = held if isinstance(held, Shown) else None
    held = held if shown is None else shown.value
    if held is None:
        return None
    cell = WriteOnlyCell(sheet)
    if shown is not None:
        cell.number_format = shown.format
        cell.alignment = Alignment(vertical="top")
    if isinstance(held, Formula):
        cell.value = f"={held.text}"
    elif isinstance(held, Real) and not isinstance(held, bool):
        number = float(held)
        if not isfinite(number):
            return None
        cell.value = int(number) if number.is_integer() and abs(number) < 1e15 else number
    else:
        text = ILLEGAL_CHARACTERS_RE.sub("", str(held))[:MOST_CHARACTERS]
        cell.value = text
        cell.data_type = "s"  # whatever it begins with, it is text
        cell.alignment = Alignment(wrap_text=True, vertical="top")
    if isinstance(value, Strong):
        cell.font = Font(bold=True)
    return cell
