"""What a report or an explanation is made from in; it, kept from the last time where all of it is as it was, out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from simkit.answers.answer import Answer, Drawn
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.case.load import files_behind
from simkit.kept import disk
from simkit.kept.disk import kept_as, path_of, read_kept, write_kept
from simkit.reporting.on_page import picture_bytes

if TYPE_CHECKING:
    from simkit.answers.report.report import Asked, Content

MOST_LISTED = 8  # reports of one case that are looked at for a number


def kept(case: Case, asked: Asked, make: Callable[[], Content]) -> Content:
    """What was kept of a report, else what is made, which is kept from then on: see `simkit.kept`.

    Parameters
    ----------
    case
        The home.
    asked
        What is asked for.
    make
        Works the content out.
    """
    about = ("report", case.digest, case.label, case.notes, asked.language, asked.sections, _read(case, *asked.files))
    found = kept_as(lambda: _drawn(make()), *about, always=True, smaller=1)
    name, listed = path_of(*about).name, _list_of(case)
    names = read_kept(listed) or ()
    if disk.to_disk and name not in names:
        write_kept(listed, (*names[1 - MOST_LISTED :], name))
    return found


def kept_answer(case: Case, asked: str, make: Callable[[Sequence[Content]], Answer]) -> Answer:
    """The answer to a question about a case that was kept, else what is made, which is kept from then on.

    Parameters
    ----------
    case
        The home.
    asked
        The question.
    make
        Works the answer out, from what is kept of reports on the case in whatever language and with whatever sections.
    """
    listed = _list_of(case)
    names = read_kept(listed) or ()

    def made() -> Answer:
        contents = (read_kept(listed.with_name(name)) for name in names)
        return make([one for held in contents if held is not None for one in held])

    about = (case.digest, case.label, case.notes, asked, names, _read(case))
    return kept_as(made, "answer", *about, always=True, smaller=1)


def _list_of(case: Case) -> Path:
    """Where it is kept which reports are kept of a case, however its numbers are written."""
    return path_of("reports", vary(case, {"site.locale": None}).digest, _read(case))


def _read(case: Case, *more: tuple[str, Path]) -> list[tuple[str, str, bytes]]:
    """Every file behind a case, and others by what they are: its name and what it holds."""
    named = (*more, *(("", path) for path in files_behind(case)))
    return [(name, path.name, path.read_bytes() if path.is_file() else b"") for name, path in named]


def _drawn(content: Content) -> Content:
    """The same with its pictures drawn."""

    def of(section: Any) -> Any:
        pictures = tuple(
            replace(picture, draw=Drawn(picture_bytes(picture, "svg"))) for picture in section.answer.pictures
        )
        return replace(section, answer=replace(section.answer, pictures=pictures))

    return replace(content, sections=tuple(map(of, content.sections)))
