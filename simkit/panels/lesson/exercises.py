"""A pupil in; the exercises of a part with a box each, what is right, and what helps where it is not, out."""

from __future__ import annotations

from typing import Any

import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.lesson.exercise import GUESSES, PARTS, Exercise
from simkit.lesson.exercises import of_level
from simkit.lesson.marking import RECORD
from simkit.panels.fields import Field, Number, Reading, Text
from simkit.panels.lesson.pupil import PupilPanel
from simkit.panels.settings import Settings

MOST = 1e9
GUESS = "guess_"
RIGHT, NOT_YET, EMPTY = "right", "not yet", "–"


class Asked(Settings):
    """Questions of the lesson with a box each; what is typed is kept, and recorded in the notebook.

    Parameters
    ----------
    pupil
        Whose they are; another number there asks other questions here.
    part
        Letter of the part of the lesson.
    """

    slides = files = pins_kept = False
    asks = True

    def __init__(self, pupil: PupilPanel, part: str) -> None:
        super().__init__(pupil.folder)
        self.pupil, self.part = pupil, part
        self._ask()
        pupil.on_change(self._again)

    def _again(self) -> None:
        """Ask the questions of another pupil or level."""
        self._ask()
        self._tell()

    def _ask(self) -> None:
        """Make the boxes, and put back what was typed before."""
        self.case = self.pupil.case
        fields = {one.name: one for one in self._boxes()}
        self._begin(fields, dict.fromkeys(fields))
        held = self.pupil.kept.of(str(self.pupil.number))
        self.values |= {
            name: held[name] for name in fields if name in held and fields[name].read(held[name]).value is not None
        }

    def _boxes(self) -> list[Field]:
        """A box for each question."""
        raise NotImplementedError

    def _work_out(self) -> None:
        self.pupil.kept.keep(str(self.pupil.number), dict(self.values))

    def was(self, name: str) -> str:
        """What became of an answer, beside the question."""
        return self.verdict(name)

    def verdict(self, name: str) -> str:
        """Whether an answer is right."""
        raise NotImplementedError

    def told(self) -> str:
        """Whose answers they are."""
        return f"the answers of pupil {self.pupil.number}"

    def record(self) -> dict[str, Any]:
        """What `simkit lesson check` marks: what was typed, and by whom."""
        given = {name: value for name, value in self.values.items() if value is not None}
        return {RECORD: {"pupil": self.pupil.number, "level": self.pupil.level, "part": self.part, "given": given}}


class Exercises(Asked):
    """The exercises of one part at the pupil's level: a number is typed, and whether it is right is said at once.

    Parameters
    ----------
    pupil
        Whose they are.
    part
        ``A`` heat from electricity, ``B`` what a kelvin saves, ``C`` a cheap night, ``D`` cooler at night.
    """

    tabled = False  # whether an answer is right stands beside its box

    def _boxes(self) -> list[Field]:
        self.asked: dict[str, Exercise] = {
            one.key: one for one in of_level(self.pupil.number, self.pupil.level) if one.key[0] == self.part
        }
        guess = Text(GUESS + self.part, f"Guess first. {GUESSES[self.part]}", lambda given: Reading(given.strip()))
        numbers = (
            Number(one.key, f"{one.key}. {one.question}", one.unit, -MOST, MOST, 1.0, example=10.0, near=one.value)
            for one in self.asked.values()
        )
        return [guess, *numbers]

    def verdict(self, name: str) -> str:
        """Whether a number is right; a guess is neither."""
        value = self.values[name]
        if name.startswith(GUESS):
            return ""
        return EMPTY if value is None else RIGHT if self.asked[name].right(float(value)) else NOT_YET

    def hint(self, name: str) -> str:
        """What helps whose answer is not right yet, and what there is to learn from one that is."""
        value = self.values[name]
        if value is None or name.startswith(GUESS):
            return ""
        one = self.asked[name]
        return f"Right. {one.because}" if one.right(float(value)) else f"Not yet. {one.helped(float(value))}"

    def answer(self, *, ranged: bool = False) -> Answer:
        """How many are right."""
        verdicts = {name: self.verdict(name) for name in self.asked}
        right = sum(verdict == RIGHT for verdict in verdicts.values())
        given = {name: self.text(name) or EMPTY for name in self.asked}
        frame = pd.DataFrame({"given_words": given, "verdict_words": verdicts})
        columns = (Column("given_words"), Column("verdict_words"))
        title = PARTS[self.part]
        return Answer(
            f"{self.part}. {title}", title, (f"{right} of {len(verdicts)} are right.",), self.case.notation,
            tables=(Table("answers", "Answers", frame, columns, first="Exercise"),),
        )  # fmt: skip
