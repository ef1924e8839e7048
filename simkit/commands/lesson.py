"""`simkit lesson`: plan, worksheets and key of a lesson, and the marks of the notebooks that were handed in."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from simkit.commands.outputs import Csv, Force, Json, Page, needs, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress
from simkit.errors import CaseError, Fault

if TYPE_CHECKING:
    from simkit.answers.answer import Answer

What = Annotated[
    Literal["plan", "sheet", "key", "check"],
    typer.Argument(
        metavar="WHAT", help="plan: minutes, aims and answers; sheet: worksheets; key: their answers; check: marks."
    ),
]
Folder = Annotated[Path | None, typer.Argument(metavar="FOLDER", help="Notebooks that were handed in, for check.")]
Pupils = Annotated[str, typer.Option("--pupils", metavar="FIRST-LAST", help="Numbers on the list of the class.")]
Level = Annotated[int, typer.Option("--level", min=1, max=3, help="Level of the exercises.")]
Output = Annotated[
    Path | None, typer.Option("--output", "-o", metavar="FILE", help="Sheets or key to print: .html or .pdf.")
]
MOST_PUPILS = 200


def lesson(  # noqa: PLR0917 - typer hands them over by name
    what: What, folder: Folder = None, pupils: Pupils = "1-30", level: Level = 3, output: Output = None,
    page: Page = None, csv: Csv = None, force: Force = False, json: Json = False,
) -> None:  # fmt: skip
    """Give a lesson of fifty minutes, and mark it.

    Notebooks stand in the folder notebooks/lesson; those handed in are read and never run.
    """
    _require(what, folder, output)
    require_targets(output=output, page=page, csv=csv, force=force)
    announce_compiling()
    if what in ("sheet", "key"):
        _print(what, _numbers(pupils), level, output, page=page, csv=csv, force=force, json=json)
        return
    show_answer(_answer(what, folder, pupils), json=json, page=page, csv=csv, force=force)


def _answer(what: str, folder: Path | None, pupils: str) -> Answer:
    """The plan, or the marks of a folder."""
    from simkit.lesson.answer import lesson_plan
    from simkit.lesson.marking import check

    return check(folder).answer() if folder is not None else lesson_plan(_numbers(pupils)[0])


def _print(
    what: str, numbers: range, level: int, output: Path | None, *, page: Path | None, csv: Path | None, force: bool,
    json: bool,
) -> None:  # fmt: skip
    """Write worksheets or their key."""
    from simkit.lesson.printed import printed
    from simkit.reporting.lesson.on_paper import write_printed

    with progress(len(numbers)) as begin:
        made = printed(what, numbers, level, before_each=begin)
    show_answer(
        made.answer(), json=json, page=page, csv=csv, force=force,
        output=(output, lambda path: write_printed(made, path)),
    )  # fmt: skip


def _require(what: str, folder: Path | None, output: Path | None) -> None:
    """Refuse what does not go together."""
    if (what == "check") != (folder is not None):
        remedy = "Write `simkit lesson check FOLDER`"
        given = "is missing" if folder is None else f"belongs to check, not to {what}"
        raise CaseError(Fault("", "FOLDER", given, remedy))
    if what == "sheet" and output is None:
        raise CaseError(Fault("", "--output", "is missing", "Write `simkit lesson sheet -o sheets.pdf`"))
    if output is not None and (what not in ("sheet", "key") or output.suffix.lower() == ".xlsx"):
        remedy = "Write worksheets or a key to a file that ends in .html or .pdf"
        raise CaseError(Fault("", f"--output {output}", f"can't be written of {what}", remedy))
    if output is not None and output.suffix.lower() == ".pdf":
        needs("typst", f"--output {output}")
        needs("matplotlib", f"--output {output}")


def _numbers(given: str) -> range:
    """Numbers of pupils: ``7`` or ``1-30``."""
    first, _, last = given.partition("-")
    ends = (first.strip(), last.strip() or first.strip())
    found = range(int(ends[0]), int(ends[1]) + 1) if all(map(str.isdecimal, ends)) and len(given) < 12 else range(0)
    if not 0 < len(found) <= MOST_PUPILS or found[0] < 1 or found[-1] > 9999:
        allowed = f"are no numbers of 1 to {MOST_PUPILS} pupils from 1 to 9999"
        raise CaseError(Fault("", f"--pupils {given}", allowed, "Write for example 1-30"))
    return found
