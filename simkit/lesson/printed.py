"""Numbers of pupils and a level in; what stands on their worksheets, or on the teacher's key, out: texts, no layout."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from simkit.answered import Answered
from simkit.lesson.answer import INVENTED, TITLE, class_table
from simkit.lesson.errors import PLANTED, calculation
from simkit.lesson.exercise import FIRST_GUESS, GUESSES, HUNT, PARTS
from simkit.lesson.exercises import of_level
from simkit.lesson.pupil import pupil
from simkit.notation import PLAIN

SHEET, KEY = "sheet", "key"
FIND = f"{HUNT}. Ten errors: {PLANTED} of these lines hold one. Each line stands on its own. Which?"


@dataclass(frozen=True, eq=False, repr=False)
class Printed(Answered):
    """What is to be printed.

    Attributes
    ----------
    kind
        ``sheet``, or ``key``.
    numbers, level
        Pupils and the level of their exercises.
    content
        All texts, as the templates of page and PDF read them.
    """

    answered_by = "simkit.lesson.answer:printed_answer"
    kind: str
    numbers: tuple[int, ...]
    level: int
    content: dict[str, Any]


def printed(
    kind: str, numbers: Sequence[int], level: int, *, before_each: Callable[[str], None] | None = None
) -> Printed:
    """Make the worksheets of a class, or the key to them.

    Parameters
    ----------
    kind
        ``sheet``, or ``key``.
    numbers
        Numbers of the pupils.
    level
        Level of the exercises, 1 to 3.
    before_each
        Called with the name of each pupil.
    """
    pages = []
    for number in numbers:
        if before_each is not None:
            before_each(f"pupil {number}")
        pages.append(_sheet(number, level) if kind == SHEET else _key(number, level))
    table = class_table(numbers, level) if kind == KEY else None
    heads = [] if table is None else table.heads(PLAIN)
    rows = [] if table is None else table.cells(PLAIN)
    content = {
        "title": TITLE, "kind": kind, "level": level, "guess": FIRST_GUESS, "invented": INVENTED,
        "pages": pages, "heads": heads, "rows": rows,
    }  # fmt: skip
    return Printed(kind, tuple(numbers), level, content)


def _sheet(number: int, level: int) -> dict[str, Any]:
    """One pupil's worksheet."""
    asked = of_level(number, level)
    parts = [
        {"title": f"{part}. {title}", "guess": GUESSES[part],
         "exercises": [{"key": one.key, "text": one.question, "unit": one.unit} for one in asked if one.key[0] == part]}
        for part, title in PARTS.items()
    ]  # fmt: skip
    lines = [{"number": line.number, "text": line.text} for line in calculation(number)]
    return {"pupil": number, "parts": parts, "find": FIND, "lines": lines}


def _key(number: int, level: int) -> dict[str, Any]:
    """One pupil's answers, and the errors of the calculation with what each line should say."""
    written = pupil(number).written
    answers = [
        {"key": one.key, "text": one.worded(one.value, written), "why": one.because} for one in of_level(number, level)
    ]
    errors = [{"number": line.number, "text": line.right, "why": line.why} for line in calculation(number) if line.why]
    return {"pupil": number, "answers": answers, "errors": errors}
