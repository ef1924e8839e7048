"""Notebooks that were handed in in; one table of marks, and a sentence for each that can't be marked, out.

A notebook is read as text: nothing in it is run. What a box held stands in its output, beside the still copy; whether
that is right is worked out here, whatever the copy says.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

from simkit.answered import Answered
from simkit.bounds import NOTEBOOK_BYTES, NOTEBOOKS, unreadable
from simkit.errors import DataError, Fault
from simkit.lesson.errors import PLANTED, lines_in, marks
from simkit.lesson.exercise import HUNT, LEVELS, PARTS
from simkit.lesson.exercises import of_level
from simkit.lesson.pupil import LAST_PUPIL

RECORD = "application/vnd.simkit.lesson+json"  # of the output that a box leaves in a notebook
COLUMNS = ("heat_marks", "kelvin_marks", "night_marks", "set_back_marks", "error_marks")
CHECKPOINTS = ".ipynb_checkpoints"


@dataclass(frozen=True)
class HandedIn:
    """What one notebook holds: whose it is, its level, and what stands in its boxes by their keys."""

    pupil: int
    level: int
    given: Mapping[str, float | str]


@dataclass(frozen=True, eq=False, repr=False)
class Marks(Answered):
    """The marks of a class.

    Attributes
    ----------
    table
        One row by notebook: pupil and level, marks by part of the lesson, in all and of how many.
    faults
        Notebooks that can't be marked.
    twice
        Numbers that more than one notebook bears.
    """

    answered_by = "simkit.lesson.answer:marks_answer"
    table: pd.DataFrame
    faults: tuple[Fault, ...]
    twice: tuple[int, ...]


def check(folder: str | Path) -> Marks:
    """Mark every notebook of a folder, and of the folders in it.

    Parameters
    ----------
    folder
        Where the notebooks are that were handed in.

    Raises
    ------
    DataError
        Where there is no such folder, or no notebook in it.
    """
    place = Path(folder)
    paths = sorted(path for path in place.rglob("*.ipynb") if CHECKPOINTS not in path.parts) if place.is_dir() else []
    if not 0 < len(paths) <= NOTEBOOKS:
        holds = f"holds {len(paths)} notebooks (1 to {NOTEBOOKS} can be marked)" if place.is_dir() else "is not there"
        raise DataError(Fault("", f"the folder {folder}", holds, "Name the folder with the notebooks handed in"))
    rows, faults, whose = {}, [], Counter[int]()
    for path in paths:
        name = path.relative_to(place).as_posix()
        try:
            found = handed_in(path)
        except DataError as error:
            faults += [Fault(name, fault.given, fault.allowed, fault.remedy) for fault in error.faults]
        else:
            rows[name], whose[found.pupil] = _row(found), whose[found.pupil] + 1
    table = pd.DataFrame.from_dict(rows, orient="index").rename_axis("notebook")
    return Marks(table, tuple(faults), tuple(sorted(number for number, times in whose.items() if times > 1)))


def handed_in(path: Path) -> HandedIn:
    """Read what the boxes of a notebook hold.

    Raises
    ------
    DataError
        Where it is no notebook, holds no answers, or those of several pupils.
    """
    records = list(_records(_notebook(path)))
    if not records:
        remedy = "Ask for it anew: run all cells, fill in the boxes, and save before handing it in"
        raise DataError(Fault(path.name, "", "holds no answers", remedy))
    pupils = sorted({record.pupil for record in records})
    if len(pupils) > 1:
        allowed = f"holds answers of pupils {' and '.join(map(str, pupils))}"
        raise DataError(Fault(path.name, "", allowed, "Ask for one notebook of each pupil"))
    given = {key: text for record in records for key, text in record.given.items()}
    return HandedIn(pupils[0], records[-1].level, given)


def _notebook(path: Path) -> Any:
    """The notebook as data; never run."""
    remedy = "Ask for the file anew: in JupyterLab, File, then Save, then hand in the .ipynb"
    why = unreadable(path, NOTEBOOK_BYTES)
    if why:
        raise DataError(Fault(path.name, "", why, remedy))
    try:
        return json.loads(path.read_text(encoding="utf-8"))
    except (ValueError, RecursionError):
        raise DataError(Fault(path.name, "", "can't be read as a notebook", remedy)) from None


def _records(notebook: Any) -> Iterator[HandedIn]:
    """What every box of the lesson left behind; what is of another shape is no record."""
    for cell in _listed(notebook, "cells"):
        for output in _listed(cell, "outputs"):
            held = _part(_part(output, "data"), RECORD)
            pupil, level, given = (_part(held, name) for name in ("pupil", "level", "given"))
            if _whole(pupil, LAST_PUPIL) and _whole(level, LEVELS[-1]) and isinstance(given, dict):
                yield HandedIn(
                    pupil, level, {key: held for key, held in given.items() if isinstance(held, int | float | str)}
                )


def _whole(value: Any, most: int) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= most


def _part(held: Any, name: str) -> Any:
    return held.get(name) if isinstance(held, dict) else None


def _listed(held: Any, name: str) -> list[Any]:
    found = _part(held, name)
    return found if isinstance(found, list) else []


def _row(found: HandedIn) -> dict[str, str | int]:
    """The marks of one notebook."""
    asked = of_level(found.pupil, found.level)
    by_part = dict.fromkeys((*PARTS, HUNT), 0)
    for one in asked:
        held = found.given.get(one.key)
        by_part[one.key[0]] += isinstance(held, int | float) and one.right(held)
    named = lines_in(str(found.given.get(HUNT, "")))
    by_part[HUNT] = marks(found.pupil, named) if named else 0
    return {
        "pupil_words": str(found.pupil), "level_words": str(found.level),
        **dict(zip(COLUMNS, by_part.values(), strict=True)),
        "all_marks": sum(by_part.values()), "full_marks": len(asked) + PLANTED,
    }  # fmt: skip
