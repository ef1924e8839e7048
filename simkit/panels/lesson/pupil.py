"""A pupil's number and level in; the pupil's home, with a picture of its year, out."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.lesson.answer import TITLE
from simkit.lesson.exercise import FIRST_GUESS, LEVELS
from simkit.lesson.pupil import LAST_PUPIL, pupil
from simkit.panels.fields import Choice, Number, Reading, Text
from simkit.panels.lesson.kept import Kept
from simkit.panels.machine import machine_picture
from simkit.panels.settings import Settings, Values

LAST = "last"
WORDS = {1: "1: cost and energy", 2: "2: and why", 3: "3: and derive it"}


class PupilPanel(Settings):
    """Whose lesson it is: the number on the list of the class, and the level.

    Parameters
    ----------
    folder
        Where what is typed is kept; None for the current one.

    Attributes
    ----------
    number, level
        The pupil's, 1 where nothing was typed yet.
    kept
        What stands in the boxes of the notebook.
    """

    slides = files = pins_kept = False
    asks = True

    def __init__(self, folder: str | Path | None = None) -> None:
        super().__init__(folder)
        self.kept = Kept(self.folder)
        before = self.kept.of(LAST)
        fields = (
            Number("pupil", "Your number on the list of the class", "", 1, LAST_PUPIL, 1, example=7),
            Choice("level", "Your level", tuple((str(level), WORDS[level]) for level in LEVELS)),
            Text("guess", f"Guess first. {FIRST_GUESS}", lambda given: Reading(given.strip())),
        )
        self._begin({one.name: one for one in fields}, {"pupil": 1.0, "level": "1", "guess": None})
        self._work_out()
        self.restore(before)

    @property
    def number(self) -> int:
        """The pupil's number."""
        return int(float(self.values["pupil"] or 1.0))

    @property
    def level(self) -> int:
        """The pupil's level."""
        return int(self.values["level"] or 1)

    def _take(self, wanted: Values) -> None:
        super()._take(wanted)
        if wanted:
            self.kept.keep(LAST, dict(self.values))

    def _work_out(self) -> None:
        self.home = pupil(self.number)
        self.case, self.tariffs = self.home.case, self.home.tariffs

    def hint(self, name: str) -> str:
        """What the number does."""
        return "home, prices and errors follow from it" if name == "pupil" else ""

    def was(self, name: str) -> str:
        """Nothing stands beside a number: there is no home that it is compared with."""
        return ""

    def told(self) -> str:
        """Whose it is."""
        return f"the number {self.number} at level {self.level}"

    def answer(self, *, ranged: bool = False) -> Answer:
        """The home that the exercises are about."""
        case, written = self.case, self.case.notation
        said = {
            "Heat loss": f"{written.number(self.home.steady.loss_w_per_k)} W/K",
            "Flow on the coldest day": f"{written.number(case.controls.design_flow_c)} °C",
            "One price": written.price(self.home.price),
            "Day and night": " and ".join(map(written.price, self.home.day_and_night)),
        }  # fmt: skip
        frame, column = pd.DataFrame({"described": said}), Column("described", title="Of your home")
        whose = f"This is the home of pupil {self.number}: invented, and heated by a heat pump."
        return Answer(
            TITLE, "Whose home is it?", (f"{whose} Its exercises are those of level {self.level}.",), written,
            tables=(Table("home", "Your home", frame, (column,), first="What"),),
            pictures=(machine_picture(self.home.steady),),
        )  # fmt: skip
