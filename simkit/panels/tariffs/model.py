"""A case and tariffs in; a schedule to try, and what each tariff then costs beside what it costs now, out. No widgets.

One move of a slider is one call of the kernel: every tariff has its lane, so that a smart charger may follow each of
them, and each lane is charged as a bill is.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.assemble.heat_loss import loss_w_per_k
from simkit.assemble.home import Setting
from simkit.assemble.setting import setting_for, shared_step
from simkit.assemble.water import water_series
from simkit.billing.charge import charge_lanes
from simkit.billing.charges.on_axis import laid
from simkit.case.build import Case, vary
from simkit.case.heating.controls import Span
from simkit.clock import TimeAxis
from simkit.decide.schedule.rule import cheapest, day_pattern, periods_of, year_set_points
from simkit.decide.tariff.homes import homes_on
from simkit.decide.tariff.shift_search import Home
from simkit.decide.tariff.shifting import own_day, raised_day
from simkit.errors import SimkitError
from simkit.figures.style import number
from simkit.figures.tariff.ranking import tariff_bars_sentence
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import ManyYears, run_home, run_homes
from simkit.panels.answer import words_of
from simkit.panels.fields import Field, Value
from simkit.panels.flow_and_times.fields import one_window
from simkit.panels.look import page_html, rows_html
from simkit.panels.tariffs.fields import PREHEAT_H, SMART, fields_of, first_values, half_hours
from simkit.panels.writing import Written, place_of, write_new
from simkit.physics.records import State
from simkit.tariff.tariff import Tariff
from simkit.uncertainty.sampled_homes import fuel_costs
from simkit.year.comfort import YearComfort

FILE = "my_schedule.toml"
UNMET_SHARE = 0.005  # own: of the water drawn; less is not noticed


@dataclass
class TariffTrial:
    """Hours of hot water, pre-heating and charging that are tried on every tariff at once.

    Parameters
    ----------
    start
        The case.
    tariffs
        Tariffs or paths of their files; the case's own is always among them.
    folder
        Where a file is written.

    Attributes
    ----------
    fields, values, problems
        By name of the setting: what it may be, what it is, and one sentence where something else was asked for.
    costs, before
        Cost of a year by tariff with the settings, and in the case [currency].
    comfort, unmet_kwh
        The year's comfort with the settings, and hot water that was drawn and too cold, on the case's own tariff.
    """

    start: Case
    tariffs: Sequence[Tariff | str | Path] = ()
    folder: Path = field(default_factory=Path.cwd)
    fields: dict[str, Field] = field(init=False, repr=False)
    values: dict[str, Value] = field(init=False)
    problems: dict[str, str] = field(init=False, default_factory=dict)
    costs: dict[str, float] = field(init=False)
    before: dict[str, float] = field(init=False)
    comfort: YearComfort = field(init=False)
    unmet_kwh: float = field(init=False)
    _homes: list[Home] = field(init=False, repr=False)
    _first: dict[str, Value] = field(init=False, repr=False)
    _made: ManyYears = field(init=False, repr=False)
    _lanes: list[int] = field(init=False, repr=False)
    _cars: dict[tuple[str, Value], Floats] = field(init=False, repr=False, default_factory=dict)
    _table: pd.DataFrame | None = field(init=False, repr=False, default=None)
    _ended: State | None = field(init=False, repr=False, default=None)
    _told: list[Callable[[], None]] = field(init=False, repr=False, default_factory=list)

    def __post_init__(self) -> None:
        """Begin with the case as it is."""
        cases = homes_on(self.start, self.tariffs)
        step, _ = shared_step([*cases, *half_hours(self.start)])
        loss = loss_w_per_k(self.start, step)
        self._homes = [Home(case, setting_for(case, step), loss) for case in cases]
        self.fields = fields_of(self.start)
        self._first = first_values(self.start)
        self.values = dict(self._first)
        self._run()
        self.before = dict(self.costs)

    @property
    def own(self) -> str:
        """Name of the case's own tariff."""
        return self.start.tariff.name

    @property
    def currency(self) -> str:
        """ISO 4217 code."""
        return self.start.currency

    def set(self, name: str, given: object) -> None:
        """Try another value of one setting; what is not allowed is answered by a sentence and changes nothing."""
        self.set_all({name: given})

    def set_all(self, given: Mapping[str, object]) -> None:
        """Try several values at once."""
        before = dict(self.values)
        for name, what in given.items():
            reading = self.fields[name].read(what)
            self.problems.pop(name, None)
            if reading.value is None:
                self.problems[name] = reading.problem
            else:
                self.values[name] = reading.value
        if self.values == before:
            return
        try:
            self._run()
        except SimkitError as error:
            self.problems[next(iter(given))] = " ".join(str(fault) for fault in error.faults)
            self.values = before
        for tell in self._told:
            tell()

    def _run(self) -> None:
        """Simulate the lanes that differ, and charge one for every tariff."""
        self._table = None
        axis = self._homes[0].setting.axis
        each = [home.with_series(self._series(home)) for home in self._homes]
        lanes = [next(k for k, other in enumerate(each) if _same(home, other)) for home in each]
        self._made = self._simulated([each[k] for k in dict.fromkeys(lanes)], axis)
        numbers = {lane: k for k, lane in enumerate(dict.fromkeys(lanes))}
        self._lanes = [numbers[lane] for lane in lanes]
        bought, sold = self._made.flow("grid_import") * axis.hours, self._made.flow("grid_export") * axis.hours
        fuel, standing, _ = fuel_costs(self.start, self._made.totals.fuel, len(axis.dates))
        costs = {}
        for lane, home in zip(self._lanes, self._homes, strict=True):
            one = slice(lane, lane + 1)
            tariff, country = home.case.tariff, home.case.site.country
            bill = charge_lanes(tariff, axis, bought[:, one], sold[:, one], country=country)
            costs[tariff.name] = float(bill[0] + fuel[lane] + standing[lane])
        self.costs = costs
        t, end = self._made.totals, self._made.after
        below, under, over = float(t.below_k[0]), float(t.below_18[0]), float(t.over_k[0])
        self.comfort = YearComfort(float(end.coldest_room_c[0]), below, under, over)
        self.unmet_kwh = float(self._made.totals.tap_water_unmet[0])

    def _simulated(self, homes: Sequence[HomeInputs], axis: TimeAxis) -> ManyYears:
        """Years of these homes; after the first they begin where its year ended, which a drag is exact enough with."""
        if self._ended is None:
            made = run_homes(homes, axis.steps, axis.hours)
            self._ended = State(*(float(values[0]) for values in made.after))
            return made
        start = self._ended._replace(coldest_room_c=np.inf, peak_import_kw=0.0)
        begun = [HomeInputs(home.home, start, home.series) for home in homes]
        if len(begun) > 1:
            return run_homes(begun, axis.steps, axis.hours, run_in=False)
        one = run_home(begun[0], axis.steps, axis.hours, run_in=False)
        return ManyYears.of([one], ("grid_import", "grid_export"))

    def _series(self, home: Home) -> dict[str, Floats]:
        """What the settings change for one tariff."""
        series: dict[str, Floats] = {}
        if self.differs("water_from") or self.differs("water_hours"):
            water = self.start.hot_water.model_copy(update={"windows": (Span.model_validate(self._window()),)})
            series |= water_series(water, home.setting.axis)
        if self.differs("preheat_k"):
            series["set_point_c"] = year_set_points(self._raised(home.setting), home.setting.axis)
        if self.start.car is not None:
            key = (home.case.tariff.name, self.values["charging"])
            if key not in self._cars:
                self._cars[key] = home.car_kw(smart=self.values["charging"] == SMART)
            series["car_kw"] = self._cars[key]
        return series

    def _window(self) -> dict[str, str]:
        return {**one_window(str(self.values["water_from"]), float(self.values["water_hours"])), "days": "all"}

    def _raised(self, setting: Setting) -> Floats:
        pattern = day_pattern(self.start, setting)
        own = own_day(self.start, pattern.minutes)
        return raised_day(own, cheapest(pattern, PREHEAT_H), float(self.values["preheat_k"]), pattern.minutes)

    @property
    def winner(self) -> str:
        """Name of the cheapest tariff with these settings."""
        return min(self.costs, key=self.costs.__getitem__)

    @property
    def case(self) -> Case:
        """The home with these settings, on the tariff that is then the cheapest."""
        home = next(home for home in self._homes if home.case.tariff.name == self.winner)
        changes: dict[str, object] = {}
        if self.differs("water_from") or self.differs("water_hours"):
            changes["hot_water.windows"] = [self._window()]
        if self.differs("preheat_k"):
            pattern = day_pattern(home.case, home.setting)
            periods, otherwise = periods_of(self._raised(home.setting), pattern.minutes)
            changes |= {"controls.periods": periods, "controls.setback_c": otherwise, "as_operated": False}
        if self.start.car is not None:
            changes["car.charging"] = self.values["charging"]
        return vary(home.case, changes) if changes else home.case

    def table(self) -> pd.DataFrame:
        """One row by tariff, the cheapest first: money in the case's currency, share bought at its cheapest."""
        if self._table is not None:
            return self._table
        rows = {
            home.case.tariff.name: {
                "cost_as_is": self.before[home.case.tariff.name],
                "cost_shifted": self.costs[home.case.tariff.name],
                "saving": self.before[self.own] - self.costs[home.case.tariff.name],
                "cheap_share": self._cheap_share(home, lane),
            }
            for lane, home in zip(self._lanes, self._homes, strict=True)
        }
        frame = pd.DataFrame.from_dict(rows, orient="index").rename_axis("tariff")
        self._table = frame.sort_values("cost_shifted")
        return self._table

    def _cheap_share(self, home: Home, lane: int) -> float:
        """Share of what is bought in the cheapest band, NaN where all is one price [-]."""
        rows = laid(home.case.tariff, home.setting.axis, home.case.site.country).bought
        energy = [line for line in rows.lines if line.kind == "energy"]
        if len({line.price for line in energy}) < 2 or any(line.kind == "market" for line in rows.lines):
            return float("nan")
        least = min(line.price for line in energy)
        weights = sum(rows.weights[line.row] for line in energy if line.price == least)
        bought = self._made.flow("grid_import")[:, lane]
        return float(bought @ weights / bought.sum())

    @property
    def sentence(self) -> str:
        """What the figure shows, in words, and what the rooms say to it."""
        said = tariff_bars_sentence(self.table(), currency=self.currency, own=self.own)
        return f"{said} The rooms: {words_of(self.comfort)}; {self._water}."

    @property
    def _water(self) -> str:
        """Whether the hot water lasts: what a window too short leaves cold is never left out."""
        drawn = float(self._made.totals.tap_water[0]) + self.unmet_kwh
        if self.unmet_kwh < UNMET_SHARE * drawn:
            return "hot water enough"
        return f"hot water runs short: {self.unmet_kwh / drawn:.0%} of what is drawn stays too cold"

    def table_html(self) -> str:
        """The table as it is read, as HTML that can be selected and copied."""
        heads = [f"{self.currency} a year", "as it is", "saved", "at its cheapest"]
        rows = {}
        for name, row in self.table().iterrows():
            share = "–" if np.isnan(row["cheap_share"]) else f"{row['cheap_share']:.0%}"
            mark = f"{name} (yours)" if name == self.own else str(name)
            rows[mark] = [number(row["cost_shifted"]), number(row["cost_as_is"]), number(row["saving"]), share]
        return rows_html(heads, rows, label="Tariffs with these settings")

    def csv(self) -> str:
        """The table and the settings as CSV."""
        said = {one.label: f"{one.words(self.values[name])} {one.unit}".strip() for name, one in self.fields.items()}
        settings = pd.Series(said, name="setting").rename_axis("")
        return f"{self.table().round(3).to_csv()}\n{settings.to_csv()}"

    def write(self, name: str = FILE) -> Written:
        """Write the home with these settings, on its cheapest tariff, as a case file; nothing is ever overwritten."""
        return write_new(self.case, place_of(name, Path(self.folder), otherwise=FILE))

    def on_change(self, tell: Callable[[], None]) -> None:
        """Call `tell` after every change of a value."""
        self._told.append(tell)

    def differs(self, name: str) -> bool:
        """Whether a setting is another than in the case."""
        return name in self.values and self.values[name] != self._first[name]

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

    def __repr__(self) -> str:
        return self.sentence

    def _repr_html_(self) -> str:
        from html import escape

        return page_html(f"<p>{escape(self.sentence)}</p>{self.table_html()}")


def _same(one: HomeInputs, other: HomeInputs) -> bool:
    """Whether two lanes are the same home: then one of them is enough."""
    return all(
        values is other.series[name] or np.array_equal(values, other.series[name])
        for name, values in one.series.items()
    )
