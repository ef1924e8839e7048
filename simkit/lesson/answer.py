"""Marks, exercises and the plan of a lesson in; what is said of them, out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.lesson.errors import PLANTED, calculation, wrong_lines
from simkit.lesson.exercise import HUNT, PARTS
from simkit.lesson.exercises import exercises, of_level
from simkit.lesson.marking import COLUMNS, Marks
from simkit.lesson.plan import AIM, MATERIAL, PLAN
from simkit.lesson.pupil import pupil
from simkit.notation import PLAIN

if TYPE_CHECKING:
    from simkit.lesson.printed import Printed

INVENTED = "The homes, their machine and all prices are invented; the numbers are simulated for each pupil's home."
WARM = (
    "18 °C is the least that is safe for health indoors: the exercises go no lower, and no pupil should try it at home."
)
TITLE = "What does heat from electricity cost?"  # of what is printed for the class
SUBJECT = "Heat from electricity"
RIGHT, WHY = Column("correct_words"), Column("because_words")
COUNTED = (*COLUMNS, "all_marks", "full_marks")
HEADS = dict(zip(COUNTED, (*PARTS, HUNT, "In all", "Of"), strict=True))
MEANING = "; ".join(f"{part} {title.lower()}" for part, title in PARTS.items()) + f"; {HUNT} errors found."


def marks_answer(found: Marks) -> Answer:
    """Say how the class did, and what could not be marked."""
    said, shown = [], []
    if len(found.table):
        reached = found.table["all_marks"].sum() / found.table["full_marks"].sum()
        said.append(f"{_counted(len(found.table))} marked: {PLAIN.share(reached)} of the marks that could be had.")
        columns = (Column("pupil_words"), Column("level_words"), *(Column(name, title=HEADS[name]) for name in COUNTED))
        shown.append(Table("marks", "Marks", found.table, columns, note=MEANING, first="Notebook"))
    said += [f"Pupil {number} stands on more than one notebook: ask whose they are." for number in found.twice]
    if found.faults:
        said.append(f"{_counted(len(found.faults))} could not be marked: see below.")
        why = {fault.where: {WHY.name: str(replace(fault, where=""))} for fault in found.faults}
        shown.append(
            Table("not_marked", "Not marked", _frame(why, "notebook"), (replace(WHY, title="Why"),), first="Notebook")
        )
    return Answer(SUBJECT, "How did the class do?", tuple(said), PLAIN, tables=tuple(shown))


def lesson_plan(number: int = 1) -> Answer:
    """The teacher's plan: minutes and aims, and the answers for one pupil's home.

    Parameters
    ----------
    number
        Number of that pupil.
    """
    ends = [sum(part.minutes for part in PLAN[: k + 1]) for k in range(len(PLAN))]
    rows = {
        part.title: {
            "minutes_words": f"{end - part.minutes}–{end}", "doing_words": part.doing, "aim_words": part.aim,
        }
        for part, end in zip(PLAN, ends, strict=True)
    }  # fmt: skip
    columns = tuple(map(Column, ("minutes_words", "doing_words", "aim_words")))
    return Answer(
        SUBJECT, f"What happens in the {ends[-1]} minutes?", (AIM, *MATERIAL), PLAIN,
        tables=(Table("plan", "The plan", _frame(rows, "part"), columns, first="Part"), *_key_tables(number)),
        cautions=(WARM,), notes=(INVENTED,), in_full=True, data={"pupil": number, "minutes": ends[-1]},
    )  # fmt: skip


def printed_answer(found: Printed) -> Answer:
    """Say what was made for printing; of a key, the answers by pupil."""
    is_key, count = bool(found.content["rows"]), len(found.numbers)
    whose = f"pupil {found.numbers[0]}" if count == 1 else f"{count} pupils"
    return Answer(
        SUBJECT, "What is right?" if is_key else "What is handed out?",
        (f"{'The key' if is_key else 'Worksheets'} of {whose} at level {found.level}.",), PLAIN,
        tables=(class_table(found.numbers, found.level),) if is_key else (), cautions=(WARM,), notes=(INVENTED,),
        data=found.content,
    )  # fmt: skip


def _key_tables(number: int) -> tuple[Table, Table]:
    """The answers of one pupil, and the errors of the calculation."""
    written = pupil(number).written
    answers = {
        one.key: {RIGHT.name: one.worded(one.value, written), WHY.name: one.because} for one in exercises(number)
    }
    errors = {
        f"Line {line.number}": {RIGHT.name: line.right, WHY.name: line.why} for line in calculation(number) if line.why
    }
    slip = replace(WHY, title="What the slip is")
    return (
        Table("answers", f"Answers of pupil {number}", _frame(answers, "exercise"), (RIGHT, WHY), first="Exercise"),
        Table("errors", f"The {PLANTED} errors of pupil {number}", _frame(errors, "line"), (RIGHT, slip), first="Line"),
    )


def class_table(numbers: Sequence[int], level: int) -> Table:
    """Answers of every pupil of a class, a row each, and the lines with errors."""
    rows = {}
    for number in numbers:
        written = pupil(number).written
        row = {one.key: one.worded(one.value, written) for one in of_level(number, level)}
        rows[str(number)] = row | {HUNT: ", ".join(map(str, sorted(wrong_lines(number))))}
    columns = tuple(Column(name, title=name) for name in next(iter(rows.values())))
    return Table("key", "Answers by pupil", _frame(rows, "pupil"), columns, first="Pupil")


def _frame(rows: dict[str, dict[str, str]], of: str) -> pd.DataFrame:
    return pd.DataFrame.from_dict(rows, orient="index").rename_axis(of)


def _counted(count: int) -> str:
    return "1 notebook" if count == 1 else f"{count} notebooks"
