"""Paths of files to write in; faults before anything is worked out, and the answer and whole files after, out.

A file is replaced where the kit wrote it and nobody changed it since, which a page and a picture prove by their mark;
any other only with --force, and one that is read for the answer never. A link is not followed: what it leads to stays.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from simkit.case.sample_homes import CASE_FILE
from simkit.errors import CaseError, Fault, SimkitError, raise_all

if TYPE_CHECKING:
    from simkit.answers.answer import Answer

ENDINGS = {
    "page": (".html", ".htm"), "figure": (".png", ".svg", ".pdf"), "csv": (".csv",), "hourly": (".csv",),
    "save": (".toml",), "write": (".toml",), "output": (".html", ".htm", ".pdf", ".xlsx"),
}  # fmt: skip
DRAWN = ("page", "figure")
Writer = Callable[[Path], None]

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
Force = Annotated[bool, typer.Option("--force", help="Replace files that are there already.")]


def show_answer(
    answer: Answer, *, json: bool, page: Path | None = None, figure: Path | None = None, csv: Path | None = None,
    force: bool = False, **others: tuple[Path | None, Writer],
) -> None:  # fmt: skip
    """Print an answer, as JSON where asked, and write its page, its main picture and its main table where asked.

    Files come first, `others` of a command among them, each with what writes it: who reads the answer may leave early.
    """
    if figure is not None and not answer.pictures:
        nothing = "has nothing to show: this answer has no picture"
        raise CaseError(Fault("", f"--figure {figure}", nothing, "Leave it out"))
    from simkit.reporting.as_data import answer_csv, answer_json
    from simkit.reporting.on_page import answer_page, picture_bytes
    from simkit.schema.toml_file import write_whole

    writers: dict[str, tuple[Path | None, Writer]] = {
        "page": (page, lambda path: write_whole(path, answer_page(answer))),
        "figure": (figure, lambda path: write_whole(path, picture_bytes(answer.pictures[0], path.suffix))),
        "csv": (csv, lambda path: write_whole(path, answer_csv(answer))),
        **others,
    }
    asked = [(option, path, write) for option, (path, write) in writers.items() if path is not None]
    failed = {path: _unwritten(f"--{option} {path}", path, write, force=force) for option, path, write in asked}
    try:
        if json:
            typer.echo(answer_json(answer))
        else:
            from simkit.reporting.on_terminal import answer_view
            from simkit.reporting.terminal import console

            console().print(answer_view(answer))
    finally:
        for path, faults in failed.items():
            if not faults:
                typer.echo(f"Written: {path}", err=True)
        raise_all([fault for faults in failed.values() for fault in faults])


def _unwritten(given: str, path: Path, write: Writer, *, force: bool) -> list[Fault]:
    """Write a file; why that can't be, where it can't: the answer that was worked out is shown all the same."""
    try:
        raise_all(list(_in_the_way(given, path, force=force)))  # it may have come in the meantime
        write(path)
    except SimkitError as error:
        return list(error.faults)
    return []


def require_targets(*reads: Path | None, force: bool = False, **targets: Path | None) -> None:
    """Refuse files that could not be written, or that should not be, before anything is worked out.

    Parameters
    ----------
    *reads
        Files that the answer is made from: a case stands for the files that it names as well.
    force
        Whether files that are there may be replaced.
    **targets
        The file of each option that writes one, or None.
    """
    named = {option: path for option, path in targets.items() if path is not None}
    faults = [fault for option, path in named.items() for fault in _faults(option, path, force=force)]
    resolved = [path.resolve() for path in named.values()]
    if len(set(resolved)) < len(resolved):
        faults.append(Fault("", "the same file", "is named for two things", "Give each a file of its own"))
    there = {option: path for option, path in named.items() if path.exists()}
    read = [file for one in reads if one is not None for file in _behind(one)] if there else []
    for option, path in there.items():
        if any(file.exists() and path.samefile(file) for file in read):
            given, allowed = f"--{option} {path}", "is read for this answer and never written over"
            faults = [fault for fault in faults if fault.given != given]
            faults.append(Fault("", given, allowed, "Choose another name"))
    raise_all(faults, CaseError)
    for option in DRAWN:
        if option in named:
            needs("matplotlib", f"--{option}")


def _faults(option: str, path: Path, *, force: bool) -> list[Fault]:
    given, endings = f"--{option} {path}", ENDINGS[option]
    if path.suffix.lower() not in endings:
        allowed = f"does not end in {' or '.join(endings)}"
        remedy = f"Write for example {path.with_suffix(endings[0]).name if path.name else 'out' + endings[0]}"
        return [Fault("", given, allowed, remedy)]
    if path.is_dir():
        return [Fault("", given, "is a folder", "Name a file inside it")]
    folder = path.parent
    if not folder.is_dir():
        return [Fault("", given, f"can't be written: there is no folder {folder}", "Make the folder first")]
    if not all(os.access(place, os.W_OK) for place in (folder, path) if place.exists()):
        return [Fault("", given, "can't be written: it may not be changed", "Choose another folder or name")]
    return list(_in_the_way(given, path, force=force))


def _in_the_way(given: str, path: Path, *, force: bool) -> Iterator[Fault]:
    """What stands where a file is to be written, and may not be lost."""
    from simkit.reporting.seal import is_as_written

    if path.exists() and not path.is_file():
        yield Fault("", given, "is a pipe or a device, not a file", "Choose a new name")
    elif force or not os.path.lexists(path):
        return
    elif path.is_symlink():
        yield Fault("", given, "is a link, and links are not followed", "Choose a new name, or let --force replace it")
    elif not is_as_written(path):
        allowed = "is there already, and nothing that may have been changed by hand is overwritten"
        yield Fault("", given, allowed, "Choose a new name, or let --force replace it")


def _behind(path: Path) -> Iterator[Path]:
    """A file that is read; where it is a case, the files that it, its options, measures and tariffs name as well."""
    from simkit.case.load import files_behind, read_case

    path = path / CASE_FILE if path.is_dir() else path
    yield path
    if path.suffix.lower() == ".toml":
        with suppress(SimkitError):  # no case, or a wrong one: that is said where it is read
            yield from files_behind(read_case(path))


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
