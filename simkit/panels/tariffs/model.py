"""A case and tariffs in; a schedule to try, and what each tariff then costs beside what it costs now, out. No widgets.

One move of a slider is one call of the kernel: every tariff has its lane, so that a car may charge by the prices of
each of them, and each lane is charged as a bill is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
import pandas as pd

from simkit.answers.answer import Answer
from simkit.answers.money.schedule_trial import trial_answer
from simkit.arrays import Floats
from simkit.assemble.heat_loss import loss_w_per_k
from simkit.assemble.series import Setting
from simkit.assemble.setting import setting_for, step_of
from simkit.assemble.water import water_series
from simkit.billing.charges.on_axis import laid
from simkit.billing.cost import cost_of
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.case.heating.controls import Period, Span
from simkit.clock import TimeAxis
from simkit.decide.schedule.rule import cheapest, day_of_periods, day_pattern, periods_of, year_set_points
from simkit.decide.tariff.homes import homes_on
from simkit.decide.tariff.shift_search import Home
from simkit.decide.tariff.shifting import raised_day
from simkit.figures.tariff.moving_bars import WIDTH, TariffArt, figure_height
from simkit.kernel.inputs import HomeInputs, alike
from simkit.kernel.kernel import EXTREMES
from simkit.kernel.run import ManyYears, run_home, run_homes
from simkit.panels.fields import Value
from simkit.panels.flow_and_times.fields import one_window
from simkit.panels.form.fields import tariff_files
from simkit.panels.picture import Moving
from simkit.panels.settings import Settings
from simkit.panels.tariffs.fields import (
    ANYWHERE,
    BY_PRICE,
    HERE,
    ON_HALF_HOURS,
    PREHEAT_H,
    SOLD,
    fields_of,
    first_values,
    sold_field,
)
from simkit.physics.records import State
from simkit.tariff.tariff import Tariff
from simkit.year.comfort import YearComfort, lane_comforts
from simkit.year.simulate import simulate

NIGHT = ("back_c", "back_from", "back_to")


class TariffTrial(Settings):
    """Hours of hot water, pre-heating and charging that are tried on every tariff at once.

    Parameters
    ----------
    start
        The case, or a panel that makes one, whose changes are then followed.
    tariffs
        Tariffs or paths of their files; the case's own is always among them. None takes those in its currency that lie
        beside it or came as samples, but for those that charge peaks, whose quarter-hours a drag has no time for.
    folder
        Where a file is written; None for the current folder.

    Attributes
    ----------
    own
        Name of the case's own tariff.
    costs, before
        Cost of a year by tariff with the settings, and in the case [currency].
    comfort
        Rooms and hot water with the settings, on the case's own tariff.
    """

    file = "my_schedule.toml"
    comfort: YearComfort

    def __init__(
        self, start: Case | Settings, tariffs: Sequence[Tariff | str | Path] | None = None,
        folder: str | Path | None = None,
    ) -> None:  # fmt: skip
        super().__init__(folder)
        self._tariffs = None if tariffs is None else tuple(tariffs)
        if isinstance(start, Settings):
            self._tariffs = self._tariffs or start.tariffs
            start.on_change(lambda: self._follow(start))
        self.begin(start.case if isinstance(start, Settings) else start)

    def _follow(self, other: Settings) -> None:
        """Stand on the home of another panel and on its tariffs, and say so."""
        if other.case == self.start and other.tariffs in (None, self._tariffs):
            return
        self._tariffs = other.tariffs or self._tariffs
        self.begin(other.case)
        self._tell()

    def begin(self, start: Case) -> None:
        """Stand on another home, beside the same tariffs."""
        self.start, self.own = start, start.tariff.name
        fields, first = fields_of(start), first_values(start)
        if self._tariffs is None:
            fields[SOLD] = sold_field(start)
            first[SOLD] = HERE if tariff_files(start, self.folder, peaks=False) else ANYWHERE
        self._laid_for: Value | None = None
        self._begin(fields, first)
        self._work_out()

    def _lay(self) -> None:
        """Put the home on every tariff that is wanted, and charge it as it is."""
        self._laid_for = self.values.get(SOLD, HERE)
        beside = self._tariffs
        if beside is None:
            beside = tuple(tariff_files(self.start, self.folder, peaks=False, anywhere=self._laid_for == ANYWHERE))
        cases = homes_on(self.start, beside)
        # one axis for all, since one move of a slider runs them as lanes of one call
        step = min(step_of(case)[0] for case in (*cases, vary(self.start, ON_HALF_HOURS)))
        loss = loss_w_per_k(self.start)
        self._homes = self._as_it_is = [Home(case, setting_for(case, step), loss) for case in cases]
        self._cheapest = {home.case.tariff.name: cheapest_band(home) for home in self._homes}
        self._cars: dict[tuple[str, object], Floats] = {}
        self._ended: State | None = None
        wanted, self.values = self.values, dict(self.first)
        self._charge()
        self.before, self.values = dict(self.costs), wanted

    def _work_out(self) -> None:
        """Charge every tariff with the settings."""
        if self._laid_for != self.values.get(SOLD, HERE):
            self._lay()
        self._charge()

    def _charge(self) -> None:
        """Simulate the lanes that differ, and charge one for every tariff."""
        self._table: pd.DataFrame | None = None
        axis = self._homes[0].setting.axis
        self._homes = self._as_it_is
        if self.differs("water_c"):
            self._homes = [self._warmer(home) for home in self._homes]
        each = [home.with_series(self._series(home)) for home in self._homes]
        lanes = [next(k for k, other in enumerate(each) if alike(home, other)) for home in each]
        self._made = self._simulated([each[k] for k in dict.fromkeys(lanes)], axis)
        numbers = {lane: k for k, lane in enumerate(dict.fromkeys(lanes))}
        self._lanes = [numbers[lane] for lane in lanes]
        self.costs = {
            home.case.tariff.name: float(cost_of(home.case, axis, self._made, homes=slice(lane, lane + 1)).total[0])
            for lane, home in zip(self._lanes, self._homes, strict=True)
        }
        self.comfort = lane_comforts(self._made.totals, self._made.after)[0]

    def _simulated(self, homes: Sequence[HomeInputs], axis: TimeAxis) -> ManyYears:
        """Years of these homes; after the first they begin where its year ended, which a drag is exact enough with."""
        if self._ended is None:
            made = run_homes(homes, axis.steps, axis.hours)
            self._ended = State(*(float(values[0]) for values in made.after))
            return made
        start = self._ended._replace(**EXTREMES)
        begun = [HomeInputs(home.home, start, home.series) for home in homes]
        if len(begun) > 1:
            return run_homes(begun, axis.steps, axis.hours, run_in=False)
        one = run_home(begun[0], axis.steps, axis.hours, run_in=False)
        return ManyYears.of([one], ("grid_import", "grid_export"))

    def _series(self, home: Home) -> dict[str, Floats]:
        """What the settings change for one tariff."""
        series: dict[str, Floats] = {}
        if self.differs("water_from", "water_hours"):
            water = self.start.hot_water.model_copy(update={"windows": (Span.model_validate(one_window(self.values)),)})
            series |= water_series(water, home.setting.axis)
        if self.values.get("preheat_k") or self.differs(*NIGHT):
            series["set_point_c"] = year_set_points(self._day(home.setting), home.setting.axis)
        if self.start.car is not None:
            key = (home.case.tariff.name, self.values["charging"])
            if key not in self._cars:
                self._cars[key] = home.car_kw(by_price=self.values["charging"] == BY_PRICE)
            series["car_kw"] = self._cars[key]
        return series

    def _warmer(self, home: Home) -> Home:
        """A home whose water is kept at another temperature."""
        return Home(vary(home.case, {"hot_water.target_c": self.values["water_c"]}), home.setting, home.loss_w_per_k)

    def _day(self, setting: Setting) -> Floats:
        """A workday and a weekend day of set-points: the night as it is set, and warmer ahead in the cheapest hours."""
        pattern, controls = day_pattern(self.start, setting), self.start.controls
        day = day_of_periods(controls.periods, controls.setback_c, pattern.minutes)
        if self.differs(*NIGHT):
            begin, end = self.values["back_to"], self.values["back_from"]
            begin, end = ("00:00", "24:00") if begin == end else (begin, end)  # no night: warm all day
            span = {"from": begin, "to": end, "c": controls.warmest_c, "days": "all"}
            day = day_of_periods((Period.model_validate(span),), float(self.values["back_c"] or 0.0), pattern.minutes)
        lift = float(self.values.get("preheat_k") or 0.0)
        return raised_day(day, cheapest(pattern, PREHEAT_H), lift) if lift else day

    @property
    def groups(self) -> Mapping[str, tuple[str, ...]]:
        """Rooms, hot water and car."""
        named = {
            "The rooms": (*NIGHT, "preheat_k"),
            "Hot water": ("water_from", "water_hours", "water_c"),
            "The car": ("charging",),
            "The tariffs": (SOLD,),
        }
        kept = {title: tuple(name for name in names if name in self.fields) for title, names in named.items()}
        return {title: names for title, names in kept.items() if names}

    @property
    def held(self) -> bool:
        """Whether rooms and hot water are as warm as needed."""
        return self.comfort.held

    @property
    def moving(self) -> Moving:
        """What each tariff costs, redrawn with every change."""
        table, notation = self.costs_table(), self.start.notation
        height = figure_height(len(table))
        key = tuple(sorted(self.costs))
        return Moving(
            WIDTH, height, lambda figure: TariffArt(figure, table, notation=notation, own=self.own), table, key
        )

    @property
    def winner(self) -> str:
        """Name of the cheapest tariff with these settings."""
        return min(self.costs, key=self.costs.__getitem__)

    @property
    def case(self) -> Case:  # type: ignore[override]
        """The home with these settings, on the tariff that is then the cheapest."""
        home = next(home for home in self._homes if home.case.tariff.name == self.winner)
        changes: dict[str, object] = {}
        if self.differs("water_from", "water_hours"):
            changes["hot_water.windows"] = [one_window(self.values)]
        if self.differs("water_c"):
            changes["hot_water.target_c"] = self.values["water_c"]
        if self.values.get("preheat_k") or self.differs(*NIGHT):
            periods, otherwise = periods_of(self._day(home.setting), home.setting.axis.step_minutes)
            changes |= {"controls.periods": periods, "controls.setback_c": otherwise, "as_operated": False}
        if self.start.car is not None:
            changes["car.charging"] = self.values["charging"]
        return vary(home.case, changes) if changes else home.case

    def costs_table(self) -> pd.DataFrame:
        """One row by tariff, the cheapest first: money in the case's currency, share bought at its cheapest."""
        if self._table is not None:
            return self._table
        bought = np.ascontiguousarray(self._made.flow("grid_import").T)  # a lane in a row: read so more than once
        rows = {
            home.case.tariff.name: {
                "cost_as_is": self.before[home.case.tariff.name],
                "cost_shifted": self.costs[home.case.tariff.name],
                "cheap_share": self._cheap_share(home, bought[lane]),
            }
            for lane, home in zip(self._lanes, self._homes, strict=True)
        }
        frame = pd.DataFrame.from_dict(rows, orient="index").rename_axis("tariff")
        self._table = frame.sort_values("cost_shifted")
        return self._table

    def _cheap_share(self, home: Home, bought: Floats) -> float:
        """Share of what is bought in the cheapest band, NaN where all is one price [-]."""
        weights = self._cheapest[home.case.tariff.name]
        return float("nan") if weights is None else float(bought @ weights / bought.sum())

    def answer(self, *, ranged: bool = False) -> Answer:
        """The tariffs with these settings; cautions are of a year that is simulated where ranges are asked for."""
        return trial_answer(self.start, self.costs_table(), self.comfort, simulate(self.case) if ranged else None)


def cheapest_band(home: Home) -> Floats | None:
    """Share of each step that is charged at the lowest of a tariff's prices, (steps,); None where all is one price."""
    rows = laid(home.case.tariff, home.setting.axis, home.case.site.country).bought
    energy = [line for line in rows.lines if line.kind == "energy"]
    if len({line.price for line in energy}) < 2 or any(line.kind == "market" for line in rows.lines):
        return None
    least = min(line.price for line in energy)
    return np.asarray(sum(rows.weights[line.row] for line in energy if line.price == least))
