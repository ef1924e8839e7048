"""Texts, numbers and formulas in; a workbook whose texts are never formulas, the same bytes each time, out."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from io import BytesIO
from math import isfinite
from numbers import Real
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

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


@dataclass(frozen=True)
class Formula:
    """What a spreadsheet works out; it is made here, and never from anything that a user wrote."""

    text: str


@dataclass(frozen=True)
class Strong:
    """A head or a total."""

    value: Any


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
        for place, width in enumerate(widths):
            letter = column_letter(place)
            sheet.column_dimensions[letter].width = min(max(width, NARROWEST), WIDEST)
        if frozen:
            sheet.freeze_panes = frozen
        for row in rows:
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


def _cell(sheet: WriteOnlyWorksheet, value: Any) -> Any:
    strong = isinstance(value, Strong)
    held = value.value if strong else value
    if held is None:
        return None
    cell = WriteOnlyCell(sheet)
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
    if strong:
        cell.font = Font(bold=True)
    return cell
