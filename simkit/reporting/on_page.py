"""An answer in; one self-contained HTML page, or its fragment for a notebook, out.

Nothing is fetched from anywhere, and all text can be selected. The same answer makes the same page, byte for byte.
"""

from __future__ import annotations

import base64
from functools import cache
from importlib.metadata import version
from io import BytesIO
from typing import TYPE_CHECKING, Any

from simkit.answers.answer import Answer, Picture, Table
from simkit.answers.notation import Notation

if TYPE_CHECKING:
    from jinja2 import Environment

DOTS_PER_INCH = 160


def answer_page(answer: Answer) -> str:
    """Write the page of an answer, pictures included."""
    return templates().get_template("answer.html").render(_content(answer, pictures=True)) + "\n"


def answer_html(answer: Answer) -> str:
    """Write an answer as a piece of HTML that stands in a notebook; pictures are drawn by the notebook itself."""
    return templates().get_template("fragment.html").render(_content(answer, pictures=False))


def picture_bytes(picture: Picture, notation: Notation, kind: str) -> bytes:
    """Draw a picture on a figure of its own, outside matplotlib's list of open ones; the same file each time.

    `kind` as a file ends in it: ``png``, ``svg`` or ``pdf``.
    """
    import matplotlib
    from matplotlib.figure import Figure

    figure, kind = Figure(), kind.lstrip(".").lower()
    with notation.on_pictures(), matplotlib.rc_context({"svg.hashsalt": "simkit", "svg.fonttype": "path"}):
        picture.draw(figure)
        out = BytesIO()
        stamps = {"svg": {"Date": None, "Creator": None}, "pdf": {"CreationDate": None}}
        figure.savefig(out, format=kind, dpi=DOTS_PER_INCH, metadata=stamps.get(kind))
    return out.getvalue()


def _content(answer: Answer, *, pictures: bool) -> dict[str, Any]:
    """All that the templates show, as text."""
    drawn = [(picture_bytes(one, answer.notation, "svg"), one.sentence) for one in answer.pictures if pictures]
    return {
        "title": answer.title,
        "question": answer.question,
        "sentences": answer.sentences,
        "tables": [_rows(table, answer.notation) for table in answer.tables],
        "pictures": [{"data": base64.b64encode(svg).decode(), "sentence": said} for svg, said in drawn],
        "cautions": answer.cautions,
        "notes": answer.notes,
        "provenance": [f"{name}: {value}" for name, value in answer.provenance.items() if not isinstance(value, dict)],
        "version": version("home-heat-simkit"),
    }


def _rows(table: Table, notation: Notation) -> dict[str, Any]:
    """A table as the templates read it: every cell with whether its column holds words."""
    words = [True, *(table.wordy(place) for place in range(len(table.shown())))]
    return {
        "title": table.title,
        "note": table.note,
        "heads": list(zip(table.heads(notation), words, strict=True)),
        "rows": [list(zip(row, words, strict=True)) for row in table.cells(notation)],
        "total": table.total,
    }


@cache
def templates() -> Environment:
    """The templates; whatever a name or a note holds is escaped."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    loader = PackageLoader("simkit.reporting", "templates")
    return Environment(loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
