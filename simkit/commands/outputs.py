"""Paths of files to write in; faults before anything is worked out, and the answer and whole files after, out."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from simkit.errors import CaseError, Fault, raise_all

if TYPE_CHECKING:
    from simkit.answers.answer import Answer

PAGES, PICTURES, TABLES = (".html", ".htm"), (".png", ".svg", ".pdf"), (".csv",)

Json = Annotated[bool, typer.Option("--json", help="Print one JSON object instead of text.")]
Page = Annotated[
    Path | None, typer.Option("--page", metavar="FILE.html", help="Write one self-contained page to open in a browser.")
]
Figure = Annotated[
    Path | None, typer.Option("--figure", metavar="FILE.png", help="Write the picture (png, svg or pdf).")
]
Csv = Annotated[
    Path | None, typer.Option("--csv", metavar="FILE.csv", help="Write the main table as plain numbers (CSV).")
]


def show_answer(
    answer: Answer, *, json: bool, page: Path | None = None, figure: Path | None = None, csv: Path | None = None
) -> None:
    """Print an answer, as JSON where asked, and write its page, its main picture and its main table where asked."""
    if figure is not None and not answer.pictures:
        nothing = "has nothing to show: this answer has no picture"
        raise CaseError(Fault("", f"--figure {figure}", nothing, "Leave it out"))
    from simkit.reporting.as_data import answer_csv, answer_json
    from simkit.reporting.on_page import answer_page, picture_bytes

    if json:
        typer.echo(answer_json(answer))
    else:
        from simkit.reporting.on_terminal import answer_view
        from simkit.reporting.terminal import console

        console().print(answer_view(answer))
    write(page, lambda: answer_page(answer))
    write(figure, lambda: picture_bytes(answer.pictures[0], figure.suffix if figure else ""))
    write(csv, lambda: answer_csv(answer))


def write(path: Path | None, content: Callable[[], str | bytes]) -> None:
    """Write a file, whole or not at all, where one was asked for, and say so."""
    if path is None:
        return
    from simkit.schema.toml_file import write_whole

    write_whole(path, content())
    typer.echo(f"Written: {path}", err=True)


def require_drawing(*, page: Path | None = None, figure: Path | None = None, csv: Path | None = None) -> None:
    """Refuse a page or a picture that could not be drawn or written, before anything is worked out."""
    require_targets(("--page", page, PAGES), ("--figure", figure, PICTURES), ("--csv", csv, TABLES))
    for path, what in ((page, "--page"), (figure, "--figure")):
        if path is not None:
            needs("matplotlib", what)


def require_targets(*targets: tuple[str, Path | None, Sequence[str]]) -> None:
    """Refuse files that could not be written, before anything is worked out.

    Parameters
    ----------
    *targets
        Option, its path or None, and the endings that it may have.
    """
    faults = [
        fault for option, path, endings in targets if path is not None for fault in _faults(option, path, endings)
    ]
    paths = [path.resolve() for _, path, _ in targets if path is not None]
    if len(set(paths)) < len(paths):
        faults.append(Fault("", "the same file", "is named for two things", "Give each a file of its own"))
    raise_all(faults, CaseError)


def _faults(option: str, path: Path, endings: Sequence[str]) -> list[Fault]:
    given = f"{option} {path}"
    if path.suffix.lower() not in endings:
        allowed = f"does not end in {' or '.join(endings)}"
        return [
            Fault("", given, allowed, f"Write for example {path.with_suffix(endings[0]).name or 'out' + endings[0]}")
        ]
    if path.is_dir():
        return [Fault("", given, "is a folder", "Name a file inside it")]
    folder = path.parent
    if not folder.is_dir():
        return [Fault("", given, f"can't be written: there is no folder {folder}", "Make the folder first")]
    if not os.access(path if path.exists() else folder, os.W_OK):
        return [Fault("", given, "can't be written: it may not be changed", "Choose another folder or name")]
    return []


def needs(module: str, what: str) -> None:
    """Refuse what a part is needed for that is not installed, before anything is worked out.

    Parameters
    ----------
    module
        Name of the part, as it is imported and as it is installed.
    what
        What was asked for.
    """
    from importlib.util import find_spec

    if find_spec(module) is None:
        remedy = f"Install it into this environment: python -m pip install {module}"
        raise CaseError(Fault("", what, f"needs {module}, which is not installed", remedy))


def require_new(name: str, path: Path | None) -> None:
    """Refuse to write where a file is that may have been changed by hand."""
    if path is not None and path.exists():
        raise CaseError(
            Fault("", f"{name} {path}", "is there already, and nothing is overwritten", "Choose a new name")
        )
