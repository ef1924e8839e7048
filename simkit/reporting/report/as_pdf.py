"""A report in; a PDF of it out: tagged, with bookmarks, no table cut, the same bytes from the same report.

typst sets it from a fixed template; all texts go beside it as data, so that none is read as markup. Fonts come from
packages only, and its date from the details of the report.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from simkit.notation import joined
from simkit.reporting.grid import GAPS, Grid, column_widths
from simkit.reporting.report.glyphs import Glyphs, font_folder
from simkit.reporting.report.laid_out import laid_out
from simkit.reporting.seal import MARK, sealed

if TYPE_CHECKING:
    from simkit.answers.report.report import Report

# Characters that a line of 170 mm holds, by the size of the text [points]: the largest in which a table fits is taken.
LINES = {9.5: 92, 8.5: 104, 7.5: 118}
WHOLE_LINES = 30  # of a table that is kept on one page, well under what one holds
TALL_CELL = 1500  # characters: a row with so long a cell may go over to the next page
HEADER_CHARACTERS = 70


def report_pdf(report: Report) -> bytes:
    """Write the PDF of a report."""
    import typst

    content, pictures = _content(report)
    with TemporaryDirectory() as folder:
        place = Path(folder)
        template = files("simkit.reporting") / "templates" / "report.typ"
        (place / "report.typ").write_bytes(template.read_bytes())
        (place / "report.json").write_text(joined(json.dumps(content, ensure_ascii=False)), encoding="utf-8")
        for name, picture in pictures.items():
            (place / name).write_bytes(picture)
        made = typst.compile(
            str(place / "report.typ"), root=folder, font_paths=[str(font_folder())], ignore_system_fonts=True
        )
    return sealed(bytes(made))


def _content(report: Report) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Every text that the template shows, and its pictures by the names of their files."""
    content, pictures, details = laid_out(report), dict[str, bytes](), report.details
    for section in content["sections"]:
        for number, drawn in enumerate(section["pictures"]):
            drawn["file"] = f"{section['name']}_{number}.svg"
            pictures[drawn["file"]] = drawn.pop("svg")
        section["tables"] = [_table(table) for table in section["tables"]]
    logo = None
    if report.logo is not None:
        logo = "logo.png" if report.logo.startswith(b"\x89PNG") else "logo.jpg"
        pictures[logo] = report.logo
    glyphs = Glyphs()
    content = glyphs.within(
        content | {"short_title": _short(content["title"]), "short_home": _short(content["home"])}
        | {"pdf_author": ", ".join(part for part in (details.author, details.firm) if part)}
    )  # fmt: skip
    names = glyphs.names()
    content["replaced"] = report.words("faces.replaced", characters=", ".join(names)) if names else ""
    date = None if details.date is None else [details.date.year, details.date.month, details.date.day]
    return content | {"mark": MARK, "logo": logo, "date": date}, pictures


def _short(text: str) -> str:
    """A text that fits in the head of a page."""
    return text if len(text) <= HEADER_CHARACTERS else f"{text[:HEADER_CHARACTERS]}…"


def _table(table: dict[str, Any]) -> dict[str, Any]:
    """A table with the widths of its columns in the largest size in which it fits; else row by row."""
    heads = [head for head, _ in table["heads"]]
    words = [place for place, (_, wordy) in enumerate(table["heads"]) if wordy]
    rows = [[cell for cell, _ in row] for row in table["rows"]]
    grid = Grid(tuple(heads), tuple(map(tuple, rows)), table["total"], tuple(words))
    fitting = ((points, column_widths(grid, line, GAPS[0])) for points, line in LINES.items())
    points, widths = next(((points, widths) for points, widths in fitting if widths), (min(LINES), []))
    tall = any(len(cell) > TALL_CELL for row in rows for cell in row)
    whole = bool(widths) and sum(_lines(row, widths) for row in rows) <= WHOLE_LINES and not tall
    return {
        "title": table["title"], "note": table["note"], "heads": heads, "rows": rows, "words": words,
        "total": table["total"], "widths": widths, "points": points, "as_blocks": not widths, "tall": tall,
        "whole": whole,
    }  # fmt: skip


def _lines(row: Sequence[str], widths: Sequence[int]) -> int:
    """Lines that a row takes, rather one too many."""
    return max(
        sum(1 + len(line) // max(width - 2, 1) for line in cell.split("\n"))
        for cell, width in zip(row, widths, strict=True)
    )
