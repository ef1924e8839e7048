"""A case or a home form in; settings to try, the year that each makes, and its table and sentence out. No widgets."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from html import escape
from pathlib import Path

import pandas as pd

from simkit.assemble.setting import shared_step
from simkit.case.build import Case, vary
from simkit.errors import SimkitError
from simkit.figures.decide.effect import Effect, setting_effect_sentence
from simkit.panels.answer import about, more_or_less
from simkit.panels.beside import BEFORE, THIS, Beside, in_figures, in_words, room_c
from simkit.panels.fields import Choice, Field, Value
from simkit.panels.flow_and_times.fields import first_settings, one_window, trial_fields
from simkit.panels.form.case import made_whole
from simkit.panels.form.form import HomeForm
from simkit.panels.look import page_html, rows_html
from simkit.panels.writing import Written, place_of, write_new
from simkit.uncertainty.ranges import Range
from simkit.year.simulate import simulate
from simkit.year.year import Year

MOST_OTHERS = 2
FILE = "my_setting.toml"


@dataclass
class Trial:
    """Settings of a controller that are tried on a home: flow, set-back, water heating and tariff.

    Parameters
    ----------
    start
        The case to try them on, or a home form, whose changes are then followed.
    folder
        Beside which sample tariffs are looked for, and where a file is written.

    Attributes
    ----------
    fields, values, problems
        By name of the setting: what it may be, what it is, and one sentence where something else was asked for.
    case, year
        The home with the settings, and its year.
    """

    start: Case | HomeForm
    folder: Path = field(default_factory=Path.cwd)
    fields: dict[str, Field] = field(init=False, repr=False)
    values: dict[str, Value] = field(init=False)
    problems: dict[str, str] = field(init=False, default_factory=dict)
    case: Case = field(init=False, repr=False)
    year: Year = field(init=False, repr=False)
    beside: Beside = field(init=False, repr=False)
    _base: Case = field(init=False, repr=False)
    _first: dict[str, Value] = field(init=False, repr=False)
    _cache: dict[int, Beside] = field(init=False, repr=False, default_factory=dict)
    _steps: dict[tuple[Value, ...], int] = field(init=False, repr=False, default_factory=dict)
    _told: list[Callable[[], None]] = field(init=False, repr=False, default_factory=list)

    def __post_init__(self) -> None:
        """Begin with the settings of the case."""
        form = self.start if isinstance(self.start, HomeForm) else None
        self.folder = form.folder if form else Path(self.folder)
        self._begin(form.case if form else self.start)  # type: ignore[arg-type]
        if form:
            form.on_change(lambda: self.begin(form.case))

    def begin(self, case: Case) -> None:
        """Try the settings on another case: those that were moved stay, where that case allows them."""
        if case == self._base:  # nothing changed, or there is a fault in the form
            return
        moved = {name: value for name, value in self.values.items() if self.differs(name)}
        self._begin(case)
        self._take(moved)
        self._tell()

    def _begin(self, case: Case) -> None:
        case = made_whole(case)
        self._base = case
        self._cache, self._steps = {}, {}
        self.fields = trial_fields(case, self.folder)
        self._first = first_settings(case)
        self.values, self.problems = dict(self._first), {}
        self._run(case)

    def set(self, name: str, given: object) -> None:
        """Try another value of one setting; what is not allowed is answered by a sentence and changes nothing."""
        self.set_all({name: given})

    def set_all(self, given: Mapping[str, object]) -> None:
        """Try several values at once."""
        if self._take(given):
            self._tell()

    def _take(self, given: Mapping[str, object]) -> bool:
        """Read values and run the year they make; whether anything changed."""
        before = dict(self.values)
        for name, what in given.items():
            reading = self.fields[name].read(what)
            self.problems.pop(name, None)
            if reading.value is None:
                self.problems[name] = reading.problem
            else:
                self.values[name] = reading.value
        if self.values == before:
            return False
        try:
            changes = self._changes()
            self._run(vary(self._base, changes) if changes else self._base)
        except SimkitError as error:
            name = next(iter(given))
            self.problems[name] = " ".join(str(fault) for fault in error.faults)
            self.values = before
        return True

    def _tell(self) -> None:
        for tell in self._told:
            tell()

    def on_change(self, tell: Callable[[], None]) -> None:
        """Call `tell` after every change of a value."""
        self._told.append(tell)

    def differs(self, name: str) -> bool:
        """Whether a setting is another than in the case."""
        return self.values[name] != self._first[name]

    def reset(self, *names: str) -> None:
        """Put settings back to the case; all of them where none is named."""
        self.problems = {name: words for name, words in self.problems.items() if names and name not in names}
        self.set_all({name: self._first[name] for name in names or self._first})

    def state(self) -> dict[str, Value]:
        """Every value by name, fit for JSON."""
        return dict(self.values)

    def restore(self, state: Mapping[str, object]) -> None:
        """Take over a state; names that are no setting are left out."""
        self.set_all({name: value for name, value in state.items() if name in self.fields})

    @property
    def before(self) -> Mapping[str, Value]:
        """The settings as they are in the case."""
        return self._first

    def limits(self, name: str) -> str:
        """What a setting may be, in words, and what moving it does besides."""
        windows = self._base.hot_water.windows
        if name in ("water_from", "water_hours") and len(windows) > 1:
            spans = " and ".join(f"{span.start}–{span.end}" for span in windows)
            return f"{spans} in the case; moving this makes it one"
        return "" if isinstance(self.fields[name], Choice) else self.fields[name].limits

    def _changes(self) -> dict[str, object]:
        changes: dict[str, object] = {}
        if self.differs("flow_c"):
            changes["controls.design_flow_c"] = self.values["flow_c"]
        if self.differs("night_c"):
            changes["controls.setback_c"] = self.values["night_c"]
        if self.differs("water_from") or self.differs("water_hours"):
            changes["hot_water.windows"] = [
                one_window(str(self.values["water_from"]), float(self.values["water_hours"]))
            ]
        if self.differs("tariff"):
            changes["tariff"] = self.values["tariff"]
        return changes

    def _run(self, case: Case) -> None:
        """Simulate the setting, and what it stands beside on the same step."""
        step = self._step(case)
        if step not in self._cache:
            others = [option for _, _, option in self._base.options() if option.heat_source == "boiler"][:MOST_OTHERS]
            years = [simulate(other, step_minutes=step) for other in (self._base, *others)]
            self._cache[step] = Beside(years[0], tuple(years[1:]))
        self.beside = self._cache[step]
        self.year = self.beside.case if case is self._base else simulate(case, step_minutes=step)
        self.case = case

    def _step(self, case: Case) -> int:
        """Step on which the case and the setting are both run; only windows and tariff could move it."""
        edges = (self.values["water_from"], self.values["water_hours"], self.values["tariff"])
        if edges not in self._steps:
            self._steps[edges] = shared_step([self._base, case])[0]
        return self._steps[edges]

    @property
    def _years(self) -> dict[str, Year]:
        """Every year that is shown, by its name."""
        beside = self.beside
        return {THIS: self.year, BEFORE: beside.case} | {year.case.name: year for year in beside.others}

    @property
    def effect(self) -> Effect:
        """What the figure draws."""
        before, steps = self.beside.case, self.beside.cold_steps
        return Effect(
            {name: year.bill.total for name, year in self._years.items()},
            self.year.bill.currency, self.year.bill.months, before.bill.months,
            self.beside.cold_times,
            room_c(self.year)[steps], room_c(before)[steps], before.inputs.series["needed_c"][steps],
        )  # fmt: skip

    def table(self) -> pd.DataFrame:
        """Numbers behind the figure, one row by setting: money in the currency of the case, energy in kWh."""
        rows = {name: in_figures(year, self.beside.case) for name, year in self._years.items()}
        return pd.DataFrame.from_dict(rows, orient="index").rename_axis("setting")

    def csv(self) -> str:
        """The table and the settings as CSV."""
        settings = pd.Series({self.fields[name].label: self._said(name) for name in self.values}, name=THIS)
        return f"{self.table().round(2).to_csv()}\n{settings.rename_axis('setting').to_csv()}"

    def _said(self, name: str) -> str:
        return f"{self.fields[name].words(self.values[name])} {self.fields[name].unit}".strip()

    @property
    def sentence(self) -> str:
        """What the figure shows, in words."""
        return setting_effect_sentence(self.effect)

    def likely(self) -> str:
        """The likely range of the cost and of the difference from the case; sampled when asked for."""
        cost = self.year.range()
        words = f"Likely {about(cost.low)} to {about(cost.high)} {self.year.bill.currency} a year"
        if self.year is self.beside.case:
            return f"{words}."
        found = Range.of(self.year.samples.total - self.beside.case.samples.total)
        return f"{words}; {more_or_less(found)} than the case."

    def write(self, name: str = FILE) -> Written:
        """Write the home with these settings as a case file; a file that is there is never overwritten."""
        return write_new(self.case, place_of(name, self.folder, otherwise=FILE))

    def table_html(self) -> str:
        """The table as it is read, as HTML that can be selected and copied."""
        heads = [f"{self.year.bill.currency} a year", "against the case", "SPF", "electricity [kWh]", "fuel [kWh]"]
        heads += ["coldest room [°C]", "comfort"]
        before = self.beside.case
        rows = {name: in_words(year, before) for name, year in self._years.items()}
        return rows_html(heads, rows, label="The setting beside the case", text=["comfort"])

    def __repr__(self) -> str:
        return self.sentence

    def _repr_html_(self) -> str:
        return page_html(f"<p>{escape(self.sentence)}</p>{self.table_html()}")
