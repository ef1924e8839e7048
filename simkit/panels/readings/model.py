"""A home and a file of readings in; what was read, the fitted home, and its year, out. No widgets."""

from __future__ import annotations

import tempfile
from pathlib import Path

from simkit.answers.answer import Answer
from simkit.answers.meter.readings import readings_answer
from simkit.answers.wording import ESTIMATE
from simkit.case.case import Case
from simkit.errors import SimkitError
from simkit.meter.fitting.fitted import Fit
from simkit.meter.fitting.fitting import fit
from simkit.meter.fitting.projection import Projection, project
from simkit.meter.reading.reading import Readings, read_meter
from simkit.panels.fields import Choice, Field, Upload
from simkit.panels.my_case import READINGS
from simkit.panels.settings import Settings
from simkit.panels.writing import Written

FILE, SHOWN = "file", "shown"
READ, FITTED, YEAR = "read", "fitted", "year"
WORDS = {READ: "what was read", FITTED: "the fitted home", YEAR: "its year"}


class ReadingsTrial(Settings):
    """Readings of a meter that are read, fitted and projected, one after the other.

    Parameters
    ----------
    start
        The home; readings beside its file, named ``readings.csv``, are read at once.
    folder
        Where a file is written; None for the current one.

    Attributes
    ----------
    readings, fitted, year
        What was read; the fitted home and its year once they were asked for.
    """

    file = "my_home.toml"
    acts = ((FITTED, "Fit the home to the readings"), (YEAR, "Work out its year"))
    readings: Readings | None = None
    fitted: Fit | None = None
    year: Projection | None = None

    def __init__(self, start: Case, folder: str | Path | None = None) -> None:
        super().__init__(folder)
        self.begin(start)

    def begin(self, case: Case) -> None:
        """Stand on another home, and read what lies beside its file."""
        self.case = case
        self._begin(self._fields(), {FILE: "", SHOWN: READ})
        path = case.folder / READINGS
        if path.is_file():
            self._took(path)

    def upload(self, field: str, name: str, text: str) -> Written:
        """Read a meter's file that was sent, or stand on a case file."""
        if field != FILE:
            return super().upload(field, name, text)
        with tempfile.TemporaryDirectory() as place:
            path = Path(place) / (Path(name).name or READINGS)
            path.write_text(text, encoding="utf-8")
            said = self._took(path)
        self._tell()
        return Written(None, said) if said else Written(self.folder, f"Read from {name}.")

    def _took(self, path: Path) -> str:
        """Read a file; empty, or every fault of it, and what was read before stays."""
        try:
            self.readings = read_meter(path, zone=self.case.site.zone)
        except SimkitError as error:
            return " ".join(map(str, error.faults))
        self.fitted = self.year = None
        self.values |= {FILE: path.name, SHOWN: READ}
        return ""

    def act(self, name: str) -> Written | None:
        """Fit the home, or work out its year, for which it is fitted first."""
        if self.readings is None:
            return Written(None, "There are no readings yet. Choose a file first.")
        try:
            self.fitted = self.fitted or fit(self.case, self.readings)
            if name == YEAR:
                self.year = self.year or project(self.fitted)
        except SimkitError as error:
            return Written(None, " ".join(map(str, error.faults)))
        self.values[SHOWN] = name
        return None

    def _fields(self) -> dict[str, Field]:
        shown = tuple(WORDS.items())
        return {FILE: Upload(FILE, "A meter's file", ".csv,.txt,.tsv"), SHOWN: Choice(SHOWN, "Show", shown)}

    def shown(self, name: str) -> bool:
        """What to show can be chosen once there is more than one thing."""
        return name != SHOWN or self.fitted is not None

    def hint(self, name: str) -> str:
        """The file that was read."""
        return f"read: {self.values[FILE]}" if name == FILE and self.values[FILE] else ""

    def differs(self, *names: str) -> bool:
        """Nothing here is a setting of the home."""
        return False

    def _work_out(self) -> None:
        """Show what was chosen, and work it out first where it was not yet."""
        if self.values[SHOWN] != READ:
            self.act(str(self.values[SHOWN]))

    def answer(self, *, ranged: bool = False) -> Answer:
        """What was read, the fitted home, or its year."""
        if self.year is not None and self.values[SHOWN] == YEAR:
            return self.year.answer()
        if self.fitted is not None and self.values[SHOWN] == FITTED:
            return self.fitted.answer()
        if self.readings is not None:
            return readings_answer(self.readings)
        nothing = "Nothing is read yet: choose the file of your meter."
        return Answer(self.case.name, "What did the meter read?", (nothing, ESTIMATE), self.case.notation)
