"""A pupil in; a calculation with ten errors, a box for the lines that hold them, and how many were found, out."""

from __future__ import annotations

import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.lesson.errors import PLANTED, calculation, found, lines_in
from simkit.lesson.exercise import HUNT
from simkit.panels.fields import Field, Reading, Text
from simkit.panels.lesson.exercises import EMPTY, Asked
from simkit.panels.lesson.pupil import PupilPanel


class Errors(Asked):
    """Ten errors to find in a calculation of sixteen lines.

    Parameters
    ----------
    pupil
        Whose calculation it is.
    """

    table_first = True

    def __init__(self, pupil: PupilPanel) -> None:
        super().__init__(pupil, HUNT)

    def _boxes(self) -> list[Field]:
        self.lines = calculation(self.pupil.number)
        label = f"{HUNT}. Which {PLANTED} lines hold an error? Write their numbers; a right line accused takes one off."
        return [Text(HUNT, label, self._read_lines)]

    def _read_lines(self, given: str) -> Reading:
        """Read numbers of lines: ``2, 5 and 7``."""
        named, most = lines_in(given), len(self.lines)
        if named is None or not all(1 <= line <= most for line in named):
            return Reading(problem=f'"{given}" are no lines from 1 to {most}. Write numbers such as 2, 5, 7.')
        return Reading(", ".join(map(str, sorted(named))))

    def verdict(self, name: str) -> str:
        """How many were found."""
        hit, wrong = self._found()
        return (
            EMPTY
            if self.values[HUNT] is None
            else f"{hit} found, {wrong} accused that {'is' if wrong == 1 else 'are'} right"
        )

    def hint(self, name: str) -> str:
        """What makes a line wrong."""
        return "each line stands on its own: only its result may be wrong, and rounding is no error"

    def answer(self, *, ranged: bool = False) -> Answer:
        """The calculation, and how many of its errors were found."""
        hit, _ = self._found()
        said = Column("described", title="What it says")
        frame = pd.DataFrame({"described": {f"Line {line.number}": line.text for line in self.lines}})
        return Answer(
            f"{HUNT}. Ten errors", "Where is it wrong?", (f"{hit} of {PLANTED} errors are found.",), self.case.notation,
            tables=(Table("calculation", "The calculation", frame, (said,), first="Line"),),
        )  # fmt: skip

    def _found(self) -> tuple[int, int]:
        return found(self.pupil.number, lines_in(str(self.values[HUNT] or "")) or frozenset())
