"""What a report is made from in; its content, kept from the last time where all of it is as it was, out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from simkit.answers.answer import Drawn
from simkit.case.case import Case
from simkit.case.load import files_behind
from simkit.kept.disk import kept_as
from simkit.reporting.on_page import picture_bytes

if TYPE_CHECKING:
    from simkit.answers.report.report import Asked, Content


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
    named = (*asked.files, *(("", path) for path in files_behind(case)))
    files = [(name, path.name, path.read_bytes() if path.is_file() else b"") for name, path in named]
    about = (case.digest, case.label, case.notes, asked.language, asked.sections, files)
    return kept_as(lambda: _drawn(make()), "report", *about, always=True, smaller=1)


def _drawn(content: Content) -> Content:
    """The same with its pictures drawn."""

    def of(section: Any) -> Any:
        pictures = tuple(
            replace(picture, draw=Drawn(picture_bytes(picture, "svg"))) for picture in section.answer.pictures
        )
        return replace(section, answer=replace(section.answer, pictures=pictures))

    return replace(content, sections=tuple(map(of, content.sections)))
