"""A case in; the cheapest schedule that its controller can hold without costing comfort, out.

Candidates run on lanes: a grid first, then the numbers of the best one moved one by one until none helps. Those below
the needed comfort are thrown out before anyone looks at their cost.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import pandas as pd

from simkit.answered import Answered
from simkit.arrays import Floats
from simkit.assemble.home import home_inputs
from simkit.assemble.water import water_series
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.case.heating.controls import Span
from simkit.decide.schedule.candidates import grid, neighbours, strategies
from simkit.decide.schedule.rule import (
    DayPattern,
    Rule,
    Window,
    changes_of,
    day_pattern,
    day_set_points,
    year_set_points,
)
from simkit.decide.variants import Lanes, Needs, cost_and_comfort, run_variants
from simkit.errors import CaseError, Fault
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.kernel import EXTREMES
from simkit.uncertainty.ranges import Range
from simkit.year.comfort import LITTLE_COOL, SHORT_SHARE, WARM, lane_comforts
from simkit.year.simulate import simulate
from simkit.year.year import Year

ROUNDS = 6
BEAM = 4  # rules that are moved at a time
SETTLED = 16  # front runners that are simulated anew, after a year of their own
WORTH_TYPING = 0.001  # own: of the bill; weekends of their own that save less are not worth typing in


class Variants:
    """Homes that differ from one case by a rule only; series and constants that two of them share are made once."""

    def __init__(self, today: Year) -> None:
        """Take over what stays: the case, its surroundings, its heat loss, and where its year ends."""
        self.today, self.case, self.setting = today, today.case, today.setting
        self.pattern: DayPattern = day_pattern(self.case, self.setting)
        self._homes: dict[tuple[float, float | None, bool], HomeInputs] = {}
        self._rooms: dict[Rule, Floats] = {}
        self._water: dict[tuple[Window, ...], dict[str, Floats]] = {}
        self._fills: dict[float, Floats] = {}

    def home(self, rule: Rule) -> HomeInputs:
        """One variant's inputs, starting where today's year ends."""
        base = self._home(rule.curve_k, rule.recovery_k, rule.car_cheap)
        series = dict(base.series)
        series["set_point_c"] = self._room(rule)
        if rule.water is not None:
            series |= self._water_of(rule.water)
        if rule.charge_to is not None:
            series["charge_to"] = self._fill(rule.charge_to)
        return HomeInputs(base.home, self.today.run.after._replace(**EXTREMES), series)

    def _home(self, curve_k: float, recovery_k: float | None, car_cheap: bool) -> HomeInputs:
        key = (curve_k, recovery_k, car_cheap)
        if key not in self._homes:
            rule = Rule(curve_k=curve_k, recovery_k=recovery_k, car_cheap=car_cheap)
            case = vary(self.case, changes_of(rule, self.pattern, self.case))
            self._homes[key] = home_inputs(case, self.setting, self.today.loss_w_per_k)
        return self._homes[key]

    def _room(self, rule: Rule) -> Floats:
        key = Rule().with_days(*rule.days)
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
            filled = self._home(0.0, None, False).series["charge_to"]
            battery = self.case.battery
            most = battery.charge_to if battery is not None else 1.0
            self._fills[share] = np.minimum(filled * (share / most if most > 0 else 0.0), 1.0)
        return self._fills[share]

    def run(self, rules: Sequence[Rule], *, run_in: bool = False) -> Lanes:
        """Simulate and charge them, each from where today's year ends or after a year of its own."""
        return run_variants(self.case, self.setting, [self.home(rule) for rule in rules], run_in=run_in)


@dataclass(frozen=True, eq=False, repr=False)
class BestSchedule(Answered):
    """The cheapest schedule found, beside today's.

    Attributes
    ----------
    today, best
        Simulated years, each after a run-in of its own.
    rule
        The schedule in numbers; None where none that was tried is cheaper than today's, which is then the best.
    tried, too_cold
        Candidates simulated, and those thrown out for comfort.
    kept
        Whether it holds what was asked; else nothing that was simulated does, and it is what comes nearest.
    """

    answered_by = "simkit.answers.schedule:schedule_answer"
    today: Year
    best: Year
    rule: Rule | None
    tried: int
    too_cold: int
    kept: bool = True

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
        notation = self.today.case.notation
        tried, cold = map(notation.number, (self.tried, self.too_cold))
        return f"The best schedule saves {notation.money(self.saving)} a year; {tried} tried, {cold} of them left aside"


def best_schedule(case: Case, *, before_each: Callable[[str], None] | None = None) -> BestSchedule:
    """Find the cheapest schedule that costs no comfort; where none gives the needed comfort, the nearest to it.

    Parameters
    ----------
    case
        A home with a heat pump; its needed comfort, tariff, hygiene cycle and storage temperature stay as they are.
    before_each
        Called with a word on each round before it is run, to show how far it is.

    Raises
    ------
    CaseError
        Where no heat pump heats the home.
    """
    say = before_each or (lambda _: None)
    require_heat_pump(case)
    say("today")
    today = simulate(case)
    variants, kept = Variants(today), False
    for needs in wishes(today):
        cost = searched(variants, needs, say)
        chosen, holds_today = settled(variants, needs, cost), bool(needs.kept(Lanes.of(today)).all())
        kept = chosen is not None or holds_today
        if kept:
            break
    chosen = chosen if kept else nearest(variants, [*cost])
    year = today if chosen is None else simulate(vary(case, changes_of(chosen, variants.pattern, case)))
    if (holds_today and year.bill.total >= today.bill.total) or (not kept and not _nearer(year, today)):
        year, chosen = today, None
    return BestSchedule(today, year, chosen, len(cost), int(np.isinf(list(cost.values())).sum()), kept)


def _nearer(year: Year, today: Year) -> bool:
    return year.comfort.how_far < today.comfort.how_far


def wishes(today: Year) -> list[Needs]:
    """What is asked of a schedule: the needed comfort first; then what `needs_of` says, where today lacks some."""
    least = needs_of(today)
    if today.comfort.held:
        return [least]
    water = SHORT_SHARE * today.comfort.wanted_kwh + 1e-6
    return [replace(least, level=WARM, most=least.most | {"tap_water_unmet": water}), least]


def nearest(variants: Variants, rules: Sequence[Rule]) -> Rule:
    """Of rules none of which holds the needed comfort the one that comes nearest to it; the cheaper of two alike."""
    front = list(rules)
    for run_in in (False, True):
        made = variants.run(front, run_in=run_in)
        far = [comfort.how_far for comfort in lane_comforts(made.totals, made.after)]
        order = sorted(range(len(front)), key=lambda lane: (*far[lane], made.cost[lane]))
        front = [front[lane] for lane in order[:SETTLED]]
    return front[0]


def needs_of(today: Year) -> Needs:
    """What a schedule must keep to: today's comfort, and rooms that are at worst a little cool."""
    needs = Needs.of(today.run, today.case)
    return replace(needs, level=min(needs.level, LITTLE_COOL))


def searched(variants: Variants, needs: Needs, say: Callable[[str], None]) -> dict[Rule, float]:
    """Cost of every rule that was tried [currency]: the grid, then the best ones moved; infinite where one fails."""
    rules, cost = grid(variants.case, variants.pattern), dict[Rule, float]()
    best: list[Rule] = []
    for turn in range(1 + ROUNDS):
        say("the best ones moved a little" if turn else f"{len(rules)} schedules")
        cost |= _costs(variants, needs, rules)
        before, best = best, sorted((rule for rule in cost if np.isfinite(cost[rule])), key=cost.__getitem__)[:BEAM]
        moved = (each for rule in best for each in neighbours(rule, variants.case, variants.pattern))
        rules = [rule for rule in dict.fromkeys(moved) if rule not in cost]
        if best == before or not rules:
            break
    return cost


def _costs(variants: Variants, needs: Needs, rules: Sequence[Rule], *, run_in: bool = False) -> dict[Rule, float]:
    """Cost of each rule [currency]; infinite where it does not keep to the needs."""
    made = variants.run(rules, run_in=run_in)
    return dict(zip(rules, np.where(needs.kept(made), made.cost, np.inf).tolist(), strict=True))


def settled(variants: Variants, needs: Needs, cost: dict[Rule, float]) -> Rule | None:
    """The cheapest rule once the front runners, and those that are shown beside them, have had a year to settle."""
    ranked = sorted((rule for rule in cost if np.isfinite(cost[rule])), key=cost.__getitem__)
    alike = [rule for rule in ranked if rule.weekend is None]
    front = dict.fromkeys([*ranked[:SETTLED], *alike[:SETTLED], *strategies(variants.case).values()])
    sure = {rule: at for rule, at in _costs(variants, needs, [*front], run_in=True).items() if np.isfinite(at)}
    if not sure:
        return None
    best = min(sure, key=sure.__getitem__)
    one = min((rule for rule in sure if rule.weekend is None), key=sure.__getitem__, default=best)
    return one if sure[one] - sure[best] < WORTH_TYPING * variants.today.bill.total else best


def require_heat_pump(case: Case) -> None:
    """Refuse a case that no heat pump heats alone."""
    if case.heat_source != "heat_pump" or case.heat_pump is None:
        given = f'heat_source = "{case.heat_source}"'
        remedy = 'Choose an option of the case with heat_source = "heat_pump"'
        raise CaseError(Fault(case.label, given, "leaves nothing to schedule: that is done for a heat pump", remedy))
