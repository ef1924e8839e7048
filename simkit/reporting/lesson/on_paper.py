"""Worksheets or a key in; one page to print, or a PDF, in grey and without anything fetched, out."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory

from simkit.lesson.printed import Printed
from simkit.notation import joined
from simkit.reporting.on_page import templates
from simkit.reporting.report.glyphs import Glyphs, font_folder
from simkit.reporting.seal import MARK, sealed
from simkit.schema.toml_file import write_whole


def write_printed(found: Printed, path: Path) -> None:
    """Write the face that a file's name ends in: ``.html``, ``.htm`` or ``.pdf``."""
    write_whole(path, printed_pdf(found) if path.suffix.lower() == ".pdf" else printed_page(found))


def printed_page(found: Printed) -> str:
    """Write one page; each pupil begins on a sheet of paper of their own."""
    page = templates().get_template("lesson.html").render(d=found.content, mark=MARK)
    return sealed(f"{page}\n".encode()).decode()


def printed_pdf(found: Printed) -> bytes:
    """Write the PDF, by the road of a report's: a fixed template, and all texts as data beside it."""
    import typst

    content = Glyphs().within(found.content | {"mark": MARK})
    with TemporaryDirectory() as folder:
        place = Path(folder)
        (place / "lesson.typ").write_bytes((files("simkit.reporting") / "templates" / "lesson.typ").read_bytes())
        (place / "lesson.json").write_text(joined(json.dumps(content, ensure_ascii=False)), encoding="utf-8")
        made = typst.compile(
            str(place / "lesson.typ"), root=folder, font_paths=[str(font_folder())], ignore_system_fonts=True
        )
    return sealed(bytes(made))
