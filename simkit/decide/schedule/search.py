"""A case in; the cheapest schedule that its controller can hold without costing comfort, out.

Candidates run on lanes: a grid first, then the numbers of the best one moved one by one until none helps. Those below
the needed comfort are thrown out before anyone looks at their cost.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.assemble.home import home_inputs
from simkit.assemble.water import water_series
from simkit.case.build import Case, vary
from simkit.case.heating.controls import Span
from simkit.decide.schedule.candidates import grid, neighbours
from simkit.decide.schedule.rule import (
    DayPattern,
    Rule,
    Window,
    changes_of,
    curve_change,
    day_pattern,
    day_set_points,
    year_set_points,
)
from simkit.decide.variants import Lanes, Needs, cost_and_comfort, run_variants
from simkit.errors import CaseError, Fault
from simkit.kernel.inputs import HomeInputs
from simkit.uncertainty.ranges import Range
from simkit.year.simulate import simulate
from simkit.year.year import Year

ROUNDS = 6
WORTH_TYPING = 0.001  # own: of the bill; weekends of their own that save less are not worth typing in


class Variants:
    """Homes that differ from one case by a rule only; series and constants that two of them share are made once."""

    def __init__(self, today: Year) -> None:
        """Take over what stays: the case, its surroundings, its heat loss, and where its year ends."""
        self.today, self.case, self.setting = today, today.case, today.setting
        self.pattern: DayPattern = day_pattern(self.case, self.setting)
        self._curves: dict[float, HomeInputs] = {}
        self._rooms: dict[Rule, Floats] = {}
        self._water: dict[tuple[Window, ...], dict[str, Floats]] = {}
        self._fills: dict[float, Floats] = {}

    def home(self, rule: Rule) -> HomeInputs:
        """One variant's inputs, starting where today's year ends."""
        base = self._curve(rule.curve_k)
        series = dict(base.series)
        series["set_point_c"] = self._room(rule)
        if rule.water is not None:
            series |= self._water_of(rule.water)
        if rule.charge_to is not None:
            series["charge_to"] = self._fill(rule.charge_to)
        return HomeInputs(base.home, self.today.run.after._replace(coldest_room_c=np.inf, peak_import_kw=0.0), series)

    def _curve(self, shift_k: float) -> HomeInputs:
        if shift_k not in self._curves:
            case = vary(self.case, {**curve_change(self.case, shift_k), "as_operated": False})
            self._curves[shift_k] = home_inputs(case, self.setting, self.today.loss_w_per_k)
        return self._curves[shift_k]

    def _room(self, rule: Rule) -> Floats:
        key = replace(rule, curve_k=0.0, water=None, charge_to=None)
        if key not in self._rooms:
            self._rooms[key] = year_set_points(day_set_points(key, self.pattern), self.setting.axis)
        return self._rooms[key]

    def _water_of(self, windows: tuple[Window, ...]) -> dict[str, Floats]:
        if windows not in self._water:
            spans = tuple(Span.model_validate(window.table) for window in windows)
            water = self.case.hot_water.model_copy(update={"windows": spans})
            self._water[windows] = water_series(water, self.setting.axis, self.case.heat_source == "boiler")
        return self._water[windows]

    def _fill(self, share: float) -> Floats:
        if share not in self._fills:
            filled = self._curve(0.0).series["charge_to"]
            battery = self.case.battery
            most = battery.charge_to if battery is not None else 1.0
            self._fills[share] = np.minimum(filled * (share / most if most > 0 else 0.0), 1.0)
        return self._fills[share]

    def run(self, rules: list[Rule]) -> Lanes:
        """Simulate and charge them."""
        return run_variants(self.case, self.setting, [self.home(rule) for rule in rules], run_in=False)


@dataclass(frozen=True, eq=False, repr=False)
class BestSchedule:
    """The cheapest schedule found, beside today's.

    Attributes
    ----------
    today, best
        Simulated years, each after a run-in of its own.
    rule, pattern
        The schedule in numbers, and the needed day it stands on.
    tried, too_cold
        Candidates simulated, and those thrown out for comfort.
    """

    today: Year
    best: Year
    rule: Rule
    pattern: DayPattern
    tried: int
    too_cold: int

    @property
    def case(self) -> Case:
        """The case with the best schedule in it."""
        return self.best.case

    @property
    def saving(self) -> float:
        """What it saves a year [currency]."""
        return self.today.bill.total - self.best.bill.total

    @cached_property
    def saving_range(self) -> Range:
        """The range of that saving on shared samples [currency]."""
        return Range.of(
            self.today.samples.total - self.best.samples.total, self.today.bill.total - self.best.bill.total
        )

    def table(self) -> pd.DataFrame:
        """Cost and comfort of both, side by side."""
        both = {"today": self.today, "best schedule": self.best}
        rows = [{"electricity_kwh": year.totals["import"], **cost_and_comfort(year)} for year in both.values()]
        return pd.DataFrame(rows, index=pd.Index(both, name="schedule"))

    def __repr__(self) -> str:
        money = f"{self.saving:,.0f} {self.today.case.currency}"
        return f"BestSchedule: saves {money} a year; {self.tried} tried, {self.too_cold} of them too cold"


def best_schedule(case: Case, *, before_each: Callable[[str], None] | None = None) -> BestSchedule:
    """Find the cheapest schedule that holds the needed comfort.

    Parameters
    ----------
    case
        A home with a heat pump; its needed comfort, tariff, hygiene cycle and storage temperature stay as they are.
    before_each
        Called with a word on each round before it is run, to show how far it is.

    Raises
    ------
    CaseError
        Where no heat pump heats the home, or no schedule that was simulated keeps it warm enough.
    """
    say = before_each or (lambda _: None)
    require_heat_pump(case)
    say("today")
    today = simulate(case)
    variants, needs = Variants(today), Needs.of(today)
    rules, cost, cold = grid(case, variants.pattern), dict[Rule, float](), 0
    best: Rule | None = None
    for turn in range(1 + ROUNDS):
        if best is not None:
            rules = [
                rule for rule in dict.fromkeys(neighbours(best, case, today.axis.step_minutes)) if rule not in cost
            ]
        say("the best one moved a little" if turn else f"{len(rules)} schedules")
        if rules:
            made = variants.run(rules)
            kept = needs.kept(made)
            cost |= dict(zip(rules, np.where(kept, made.cost, np.inf).tolist(), strict=True))
            cold += int((~kept).sum())
        found = min(cost, key=cost.__getitem__)
        if not np.isfinite(cost[found]):
            given, allowed = f"{len(rules)} schedules", "were simulated, and none of them holds the needed comfort"
            remedy = (
                "Raise controls.design_flow_c, or look with `simkit run` whether machine and radiators are big enough"
            )
            raise CaseError(Fault(case.label, given, allowed, remedy))
        if found == best:
            break
        best = found
    alike = min((rule for rule in cost if rule.weekend is None), key=cost.__getitem__)
    best = alike if cost[alike] - cost[found] < WORTH_TYPING * today.bill.total else found
    chosen = simulate(vary(case, changes_of(best, variants.pattern, case)))
    return BestSchedule(today, chosen, best, variants.pattern, len(cost), cold)


def require_heat_pump(case: Case) -> None:
    """Refuse a case that no heat pump heats alone."""
    if case.heat_source != "heat_pump" or case.heat_pump is None:
        given = f'heat_source = "{case.heat_source}"'
        remedy = 'Choose an option of the case with heat_source = "heat_pump"'
        raise CaseError(Fault(case.label, given, "leaves nothing to schedule: that is done for a heat pump", remedy))
