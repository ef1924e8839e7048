"""Fields and first values in; what somebody set, what is wrong with it, and the words of it out. No widgets.

Every panel is such a model: it says what its settings may be, makes what they stand for, and is told apart from the
others by that alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pandas as pd

from simkit.answers.answer import Answer
from simkit.case.case import Case
from simkit.errors import SimkitError
from simkit.panels.fields import Choice, Field, Value
from simkit.panels.picture import Moving
from simkit.panels.pins import Pinning, Values
from simkit.panels.writing import Written, read_named, read_text, write_new
from simkit.reporting.on_page import answer_html

if TYPE_CHECKING:
    from simkit.panels.view import PanelView
    from simkit.tariff.tariff import Tariff


class Settings(Pinning):
    """Settings of a panel: values within limits, one sentence for whatever is outside them, and the way back.

    A panel fills `fields`, `first` and `values` by `_begin`, and makes what its values stand for in `_work_out`, which
    may refuse them by an error of the kit: they are then put back, and the error stands beside the setting.

    Attributes
    ----------
    fields, first, values
        By name of the setting: what it may be, what it is in the case, and what it is now.
    problems, typed
        By name: one sentence where something else was asked for, and what that was.
    trouble
        Sentences that belong to no single setting.
    case
        The home with the settings.
    folder, file
        Where a case file is written, and its name where none is given.
    groups
        Names of the settings under the heading of each group, in the order shown.
    slides, live, files, pins_kept, asks, table_first, tabled
        Whether numbers and times have a slider; the answer follows while it moves, and not when it is let go; case
        files can be saved and loaded; settings can be pinned; they are questions, which need the whole width; they are
        about its table; what the table holds stands nowhere else.
    tariffs
        Those that its home is put on; None for whichever lie beside it.
    derived
        What follows from the settings and is not asked for, a sentence each.
    moving
        The picture that follows every change; None where it waits until nothing changes.
    acts
        What takes longer and is done when asked for: its key and its words.
    pins
        Settings that stay beside the moving one.
    """

    fields: dict[str, Field]
    first: Values
    values: Values
    problems: dict[str, str]
    typed: dict[str, str]
    trouble: tuple[str, ...] = ()
    case: Case
    folder: Path
    file = "my_home.toml"
    slides = live = files = pins_kept = True
    asks = table_first = False
    tabled = True
    derived: tuple[str, ...] = ()
    acts: tuple[tuple[str, str], ...] = ()
    tariffs: tuple[Tariff, ...] | None = None
    _told: list[Callable[[], None]]

    def __init__(self, folder: str | Path | None) -> None:
        self.folder, self._told = Path(folder) if folder else Path.cwd(), []
        self._settled: list[Callable[[Answer], None]] = []

    @cached_property
    def view(self) -> PanelView:
        """The widget of this panel; needs anywidget."""
        from simkit.panels.view import PanelView

        return PanelView(self)

    @property
    def groups(self) -> Mapping[str, tuple[str, ...]]:
        """Names of the settings under the heading of each group."""
        return {"": tuple(self.fields)}

    @property
    def held(self) -> bool:
        """Whether rooms and hot water are as warm as needed; where not, the answer stands in the colour of that."""
        return True

    @property
    def moving(self) -> Moving | None:
        """The picture that follows every change."""
        return None

    def begin(self, case: Case) -> None:
        """Stand on another home."""
        raise NotImplementedError

    def act(self, name: str) -> Written | None:
        """Do one of `acts`."""
        raise NotImplementedError

    def record(self) -> dict[str, Any]:
        """What a saved notebook holds of it besides its still copy, by type of data."""
        return {}

    def told(self) -> str:
        """What was moved, in a few words; empty where nothing was."""
        moved = [name for name in self.values if self.differs(name) and self.shown(name)]
        return ", ".join(f"{self.label(name)} {self.text(name)} {self.unit(name)}".strip() for name in moved)

    def _begin(self, fields: dict[str, Field], first: Mapping[str, Value | None]) -> None:
        """Stand where the case stands."""
        self.fields, self.first, self.values = fields, dict(first), dict(first)
        self.problems, self.typed = {}, {}

    def _work_out(self) -> None:
        """Make what the values stand for, or raise an error that says why there is no such thing."""
        raise NotImplementedError

    def set(self, name: str, given: object) -> None:
        """Try another value of one setting; what is not allowed is answered by a sentence and changes nothing."""
        self.set_all({name: given})

    def set_all(self, given: Mapping[str, object]) -> None:
        """Try several values at once."""
        before = dict(self.problems)
        wanted = self._read(given)
        self._change(wanted, news=self.problems != before)

    def reset(self, *names: str) -> None:
        """Put settings back to the case; all of them where none is named."""
        chosen = names or tuple(self.values)
        marked = [self.problems.pop(name, "") for name in chosen]
        self.typed = {name: typed for name, typed in self.typed.items() if name not in chosen}
        self._change({name: self.first[name] for name in chosen}, news=any(marked))

    def _read(self, given: Mapping[str, object]) -> Values:
        """Those values that can be read; of the others, what is wrong with them."""
        found: Values = {}
        for name, what in given.items():
            reading = self.fields[name].read(what)
            self.problems.pop(name, None)
            self.typed.pop(name, None)
            if reading.value is None:
                self.problems[name], self.typed[name] = reading.problem, str(what)
            else:
                found[name] = reading.value
        return found

    def _change(self, wanted: Values, *, news: bool = False) -> None:
        """Take over values and work out what they make, or put the old ones back; tell whoever listens of any news."""
        before = dict(self.values)
        self._take(wanted)
        if self.values != before:
            news = True
            try:
                self._work_out()
            except SimkitError as error:
                name = next(iter(wanted))
                self.typed[name] = self.fields[name].words(wanted[name])
                self.problems[name] = " ".join(str(fault) for fault in error.faults)
                self.values = before
        if news:
            self._tell()

    def _tell(self) -> None:
        for tell in self._told:
            tell()

    def _take(self, wanted: Values) -> None:
        """Take over values that were read, and let others follow them where a panel has such."""
        self.values |= wanted

    def on_change(self, tell: Callable[[], None]) -> None:
        """Call `tell` after every change of a value."""
        self._told.append(tell)

    def on_settled(self, tell: Callable[[Answer], None]) -> None:
        """Call `tell` with the whole answer once nothing changes."""
        self._settled.append(tell)

    def settled(self, answer: Answer) -> None:
        """Tell whoever waits for it what the settings come to."""
        for tell in self._settled:
            tell(answer)

    def differs(self, *names: str) -> bool:
        """Whether one of these settings is another than in the case."""
        return any(self.values[name] != self.first[name] for name in names)

    @property
    def good(self) -> bool:
        """Whether every setting can be read and they make sense together."""
        return not self.problems and not self.trouble

    def state(self) -> Values:
        """Every value by name, fit for JSON."""
        return dict(self.values)

    def restore(self, state: Mapping[str, object]) -> None:
        """Take over a state; names that are no setting are left out."""
        self.set_all({name: value for name, value in state.items() if name in self.fields and value is not None})

    def label(self, name: str) -> str:
        """What stands beside a setting."""
        return self.fields[name].label

    def unit(self, name: str) -> str:
        """What stands behind a setting."""
        return self.fields[name].unit

    def limits(self, name: str) -> str:
        """What a setting may be, in words."""
        return self.fields[name].limits

    def hint(self, name: str) -> str:
        """What stands below a setting."""
        return "" if isinstance(self.fields[name], Choice) else self.limits(name)

    def was(self, name: str) -> str:
        """What a setting is in the home itself."""
        return f"your home: {self.fields[name].words(self.first[name])}"

    def shown(self, name: str) -> bool:
        """Whether a setting has a meaning, given the others."""
        return name in self.fields

    def text(self, name: str) -> str:
        """What stands in the box of a setting: what was typed where it can't be read, else the value."""
        return self.typed.get(name, self.fields[name].words(self.values[name]))

    def answer(self, *, ranged: bool = False) -> Answer:
        """What the settings come to; with its likely ranges, which take a few tenths of a second, where asked for."""
        raise NotImplementedError

    def moved(self) -> Answer:
        """What they come to while they move: what takes longer than a drag has time for is left out."""
        return self.answer()

    def table(self) -> pd.DataFrame:
        """Numbers behind what is shown."""
        return self.moved().tables[0].frame

    def csv(self) -> str:
        """The table and the settings as CSV."""
        said = {self.label(name): f"{self.text(name)} {self.unit(name)}".strip() for name in self.values}
        settings = pd.Series(said, name="value").rename_axis("setting")
        return f"{self.table().round(3).to_csv()}\n{settings.to_csv()}"

    def write(self, name: str = "") -> Written:
        """Write the home with these settings as a case file; a file that is there is never overwritten."""
        if not self.good:
            return Written(None, "Nothing was written. Mend what is marked first.")
        return write_new(self.case, name.strip() or self.file, self.folder)

    def load(self, name: str) -> Written:
        """Stand on the home of a case file in the folder."""
        return self._loaded(*read_named(name.strip() or self.file, self.folder))

    def upload(self, field: str, name: str, text: str) -> Written:
        """Stand on the home of a case file that was sent; its relative paths are seen from the folder."""
        return self._loaded(*read_text(text, name, self.folder))

    def _loaded(self, case: Case | None, said: str) -> Written:
        """Stand on a case that was read, and say so; or say every fault of it."""
        if case is None:
            return Written(None, said)
        try:
            self.begin(case)
        except SimkitError as error:
            return Written(None, " ".join(map(str, error.faults)))
        self._tell()
        return Written(case.folder, said)

    def __repr__(self) -> str:
        wrong = (f"{self.label(name)}: {problem}" for name, problem in self.problems.items())
        return "\n".join([repr(self.answer()), *self.trouble, *wrong])

    def _repr_html_(self) -> str:
        return answer_html(self.answer(ranged=True))

    def _ipython_display_(self) -> None:
        from simkit.panels.showing import show

        show(self)
