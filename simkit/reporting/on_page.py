"""An answer in; one self-contained HTML page, or its fragment for a notebook, out.

Nothing is fetched from anywhere, and all text can be selected. The same answer makes the same page, byte for byte.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Sequence
from functools import cache
from importlib.metadata import version
from io import BytesIO
from typing import TYPE_CHECKING, Any

from simkit.answers.answer import Answer, Drawn, Picture, Table
from simkit.notation import Notation, joined
from simkit.reporting.seal import MARK, sealed

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

DOTS_PER_INCH = 160
KINDS = ("sentences", "pictures", "tables", "cautions", "notes")
LONG = 8  # rows of a table that a panel shows at once


def answer_page(answer: Answer) -> str:
    """Write the page of an answer, pictures included."""
    content = _content(answer, pictures=answer.pictures) | {"mark": MARK}
    return sealed((templates().get_template("answer.html").render(content) + "\n").encode()).decode()


def answer_html(answer: Answer, *, static: str = "") -> str:
    """Write an answer as a piece of HTML that stands in a notebook, its main picture drawn into it.

    `static` is the line of a still copy, which hides itself while the live panel above it is there.
    """
    content = _content(answer, pictures=answer.pictures[:1]) | {"static": static}
    return templates().get_template("fragment.html").render(content)


def pieces_html(answer: Answer, *kinds: str, fold: bool = True) -> str:
    """Write some of ``sentences``, ``pictures``, ``tables`` and ``cautions`` for a panel; long tables may fold."""
    kept = {kind: getattr(answer, kind) if kind in kinds else () for kind in KINDS}
    kept["pictures"] = _drawn(kept["pictures"])
    kept["tables"] = [
        table_rows(table, answer.notation, folded=fold and len(table.frame) > LONG) for table in kept["tables"]
    ]
    return templates().get_template("pieces.html").render(answer=kept)


def style_of_notebooks() -> str:
    """The look of answers in notebooks and panels."""
    return templates().get_template("notebook.css").render()


def picture_bytes(picture: Picture, kind: str) -> bytes:
    """Draw a picture on a figure of its own, outside matplotlib's list of open ones; the same file each time.

    `kind` as a file ends in it: ``png``, ``svg`` or ``pdf``.
    """
    if isinstance(picture.draw, Drawn):  # kept as a page shows it, and as nothing else
        return picture.draw.svg
    import matplotlib
    from matplotlib.figure import Figure

    figure, kind = Figure(), kind.lstrip(".").lower()
    with matplotlib.rc_context({"svg.hashsalt": "simkit", "svg.fonttype": "path"}):
        picture.draw(figure)
        out = BytesIO()
        stamps = {
            "svg": {"Date": None, "Creator": MARK},
            "pdf": {"CreationDate": None, "Creator": MARK},
            "png": {"Software": MARK},
        }
        figure.savefig(out, format=kind, dpi=DOTS_PER_INCH, metadata=stamps[kind])
    return sealed(out.getvalue())


def _content(answer: Answer, *, pictures: Sequence[Picture]) -> dict[str, Any]:
    """All that the templates show, as text."""
    return {
        "title": answer.title,
        "question": answer.question,
        "sentences": answer.sentences,
        "tables": [table_rows(table, answer.notation) for table in answer.tables],
        "pictures": _drawn(pictures),
        "cautions": answer.cautions,
        "notes": answer.notes,
        "provenance": [f"{name}: {value}" for name, value in answer.provenance.items() if not isinstance(value, dict)],
        "version": version("home-heat-simkit"),
    }


def _drawn(pictures: Sequence[Picture]) -> list[dict[str, str]]:
    """Pictures as the templates read them."""
    return [
        {"data": base64.b64encode(picture_bytes(one, "svg")).decode(), "sentence": one.sentence} for one in pictures
    ]


def table_rows(table: Table, notation: Notation, *, folded: bool = False) -> dict[str, Any]:
    """A table as the templates read it: every cell with whether its column holds words."""
    words = [True, *(table.wordy(place) for place in range(len(table.shown())))]
    return {
        "title": table.title,
        "note": table.note,
        "heads": list(zip(table.heads(notation), words, strict=True)),
        "rows": [list(zip(row, words, strict=True)) for row in table.cells(notation)],
        "total": table.total,
        "folded": folded,
    }


@cache
def templates() -> Environment:
    """The templates; whatever a name or a note holds is escaped."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    loader = PackageLoader("simkit.reporting", "templates")
    made = Environment(
        loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, finalize=_shown
    )
    made.filters["coded"] = _coded
    return made


def _shown(value: object) -> object:
    """A text with its numbers held to their units; what is markup already, and what is no text, as it is."""
    return joined(value) if isinstance(value, str) and not hasattr(value, "__html__") else value


def _coded(said: str) -> Markup:
    """A sentence in which what is to be typed, between backticks, stands as such."""
    from markupsafe import Markup, escape

    return Markup(re.sub("`([^`]+)`", r"<code>\1</code>", str(escape(joined(said)))))
