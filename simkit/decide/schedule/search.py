"""A case in; the cheapest schedule that its controller can hold without costing comfort, out.

Candidates run on lanes: a grid first, then the numbers of the best one moved one by one until none helps. Those below
the needed comfort are thrown out before anyone looks at their cost.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import product

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Floats
from simkit.assemble.home import home_inputs
from simkit.assemble.setting import shared_step
from simkit.assemble.water import water_series
from simkit.case.build import Case, vary
from simkit.case.heating.controls import Span
from simkit.decide.schedule.rule import (
    DayPattern,
    RoomRule,
    Rule,
    Window,
    changes_of,
    cheapest,
    curve_change,
    day_pattern,
    day_set_points,
    year_set_points,
)
from simkit.decide.variants import Lanes, run_variants
from simkit.errors import CaseError, Fault
from simkit.kernel.inputs import HomeInputs
from simkit.uncertainty.ranges import Range
from simkit.year.comfort import COLD_DEGREE_HOURS
from simkit.year.simulate import simulate
from simkit.year.year import Year

OVER_K = (0.0, 0.5)
LEAD_H = (0.5, 1.0, 2.0, 3.0)
SET_BACK_K = (0.0, 1.0, 2.0)
PRE_HEAT = ((0.0, 0.0), (0.5, 3.0), (1.0, 3.0), (2.0, 4.0))
CURVE_K = (-6.0, -3.0, 0.0, 3.0)
MOST = {"lift_k": 2.0}  # own: a bedroom at night is not heated further up, however cheap the hours
ROUNDS = 6
WORTH_TYPING = 0.001  # own: of the bill; weekends of their own that save less are not worth typing in
UNMET_SHARE = 0.005  # own: of the water drawn; what today leaves unmet is allowed as well
MORE_OVER_KH = 50.0  # own: overheating beyond today's that is not felt


@dataclass(frozen=True)
class Needs:
    """What every schedule must keep to: limits on totals of the year."""

    below_k: float
    below_18: float
    unmet: float
    over_k: float

    @classmethod
    def of(cls, today: Year) -> Needs:
        """The needed comfort, and hot water and overheating no worse than today's."""
        t = today.run.totals
        unmet = max(UNMET_SHARE * (t.tap_water + t.tap_water_unmet), t.tap_water_unmet)
        return cls(COLD_DEGREE_HOURS, 0.01, unmet + 1e-6, t.over_k + MORE_OVER_KH)

    def kept(self, lanes: Lanes) -> Bools:
        """Which variants keep to them, (n,)."""
        limits = {
            "below_k": self.below_k,
            "below_18": self.below_18,
            "tap_water_unmet": self.unmet,
            "over_k": self.over_k,
        }
        found = np.ones(len(lanes.cost), dtype=bool)
        for name, limit in limits.items():
            found &= getattr(lanes.totals, name) <= limit
        return found


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
        return Range.of(self.today.samples.total - self.best.samples.total)

    def table(self) -> pd.DataFrame:
        """Cost and comfort of both, side by side."""
        rows = [_row("today", self.today), _row("best schedule", self.best)]
        return pd.DataFrame(rows).set_index("schedule")

    def __repr__(self) -> str:
        money = f"{self.saving:,.0f} {self.today.case.currency}"
        return f"BestSchedule: saves {money} a year; {self.tried} tried, {self.too_cold} of them too cold"


def _row(name: str, year: Year) -> dict[str, object]:
    return {
        "schedule": name,
        "cost": year.bill.total,
        "electricity_kwh": year.totals["import"],
        "space_heat_kwh": year.totals["space_heat"],
        "min_room_c": year.comfort.min_room_c,
        "degree_hours_below": year.comfort.degree_hours_below,
        "comfort": year.comfort.words,
    }


def grid(case: Case, pattern: DayPattern) -> list[Rule]:
    """The first round of candidates: about two thousand."""
    curves = [shift for shift in CURVE_K if curve_fits(case, shift)]
    waters = water_choices(case, pattern)
    rooms = [
        (over, lead, back, lift, hours)
        for over, lead, back, (lift, hours) in product(OVER_K, LEAD_H, SET_BACK_K, PRE_HEAT)
        if back > 0 or lead == LEAD_H[0]
    ]
    return [Rule(*room, curve, water) for room, curve, water in product(rooms, curves, waters)]


@lru_cache(maxsize=256)
def curve_fits(case: Case, shift_k: float) -> bool:
    """Whether the flow of the design day may be shifted so far [K]; only 0 fits where there is no curve to shift."""
    if shift_k == 0.0:
        return True
    try:
        return curve_change(case, shift_k) != {} and vary(case, curve_change(case, shift_k)) is not None
    except CaseError:
        return False


def water_choices(case: Case, pattern: DayPattern) -> list[tuple[Window, ...] | None]:
    """Stretches for hot water: as they are, the cheapest three and five hours, both with two mild hours, any time."""
    mild = Window(13 * 60, 2 * 60)
    short, long = cheapest(pattern, 3.0), cheapest(pattern, 5.0)
    found: list[tuple[Window, ...] | None] = [
        None,
        (short,),
        (long,),
        (short, mild),
        (long, mild),
        (Window(0, 24 * 60),),
    ]
    return [choice for choice in found if choice is None or not _overlap(choice)]


def _overlap(windows: tuple[Window, ...]) -> bool:
    taken = np.zeros(24 * 60, dtype=int)
    for window in windows:
        taken[(window.start + np.arange(window.minutes)) % len(taken)] += 1
    return bool(taken.max() > 1)


def neighbours(rule: Rule, case: Case, minutes: int) -> Iterable[Rule]:
    """The same rule with one of its numbers moved a little, on all days, on workdays or on weekends alone."""
    workdays, weekend = rule.days
    for day in _moved_days(workdays, minutes):
        if rule.weekend is None:
            yield rule.with_days(day)
        yield rule.with_days(day, weekend)
    yield from (rule.with_days(workdays, day) for day in _moved_days(weekend, minutes))
    if rule.weekend is not None:
        yield replace(rule, weekend=None)
    for move in (-2.0, -1.0, 1.0, 2.0):
        if curve_fits(case, rule.curve_k + move):
            yield replace(rule, curve_k=rule.curve_k + move)
    for number, window in enumerate(rule.water or ()):
        for start, length in ((-minutes, 0), (minutes, 0), (0, -minutes), (0, minutes), (-minutes, minutes)):
            moved = Window((window.start + start) % 1440, window.minutes + length)
            held = (*(rule.water or ())[:number], moved, *(rule.water or ())[number + 1 :])
            if minutes <= moved.minutes < 1440 and not _overlap(held):
                yield replace(rule, water=held)
    if case.battery is not None and case.battery.fill_below_price is not None:
        now = case.battery.charge_to if rule.charge_to is None else rule.charge_to
        for share in (now - 0.2, now - 0.1, now + 0.1):
            if case.battery.reserve_share <= share <= 1.0:
                yield replace(rule, charge_to=round(share, 2))


def _moved_days(rooms: RoomRule, minutes: int) -> Iterable[RoomRule]:
    """A day of the rooms with one of its numbers moved a little."""
    step = minutes / 60.0
    for name, moves in {
        "over_k": (-0.5, -0.25, 0.25), "lead_h": (-step, step, 1.0), "set_back_k": (-1.0, -0.5, 0.5, 1.0),
        "lift_k": (-0.5, -0.25, 0.25, 0.5), "lift_h": (-1.0, 1.0),
    }.items():  # fmt: skip
        for move in moves:
            value = getattr(rooms, name) + move
            if 0 <= value <= MOST.get(name, np.inf):
                yield rooms._replace(**{name: value})
    if rooms.lift_k == 0.0:
        yield from (rooms._replace(lift_k=0.5, lift_h=hours) for hours in (2.0, 4.0, 6.0))


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
        Where no heat pump heats the home, or nothing that was tried keeps it warm enough.
    """
    say = before_each or (lambda _: None)
    require_heat_pump(case)
    say("today")
    step, _ = shared_step([case])
    today = simulate(case, step_minutes=step)
    variants, needs = Variants(today), Needs.of(today)
    rules = grid(case, variants.pattern)
    say(f"{len(rules)} schedules")
    cost, cold = _tried(variants, rules, needs)
    if not np.isfinite(min(cost.values())):
        given, allowed = f"{len(rules)} schedules", "were tried, and none of them holds the needed comfort"
        remedy = "Raise controls.design_flow_c, or look with `simkit run` whether machine and radiators are big enough"
        raise CaseError(Fault(case.label, given, allowed, remedy))
    best = min(cost, key=cost.__getitem__)
    for _ in range(ROUNDS):
        say("the best one moved a little")
        fresh = [rule for rule in dict.fromkeys(neighbours(best, case, step)) if rule not in cost]
        more, colder = _tried(variants, fresh, needs)
        cost, cold = cost | more, cold + colder
        found = min(cost, key=cost.__getitem__)
        if found == best:
            break
        best = found
    alike = min((rule for rule in cost if rule.weekend is None), key=cost.__getitem__)
    if cost[alike] - cost[best] < WORTH_TYPING * today.bill.total:
        best = alike
    chosen = simulate(vary(case, changes_of(best, variants.pattern, case)), step_minutes=step)
    return BestSchedule(today, chosen, best, variants.pattern, len(cost), cold)


def _tried(variants: Variants, rules: list[Rule], needs: Needs) -> tuple[dict[Rule, float], int]:
    """Cost of each rule, infinite for those thrown out for comfort, and how many those are."""
    if not rules:
        return {}, 0
    made = variants.run(rules)
    kept = needs.kept(made)
    return dict(zip(rules, np.where(kept, made.cost, np.inf).tolist(), strict=True)), int((~kept).sum())


def require_heat_pump(case: Case) -> None:
    """Refuse a case that no heat pump heats alone."""
    if case.heat_source != "heat_pump" or case.heat_pump is None:
        given = f'heat_source = "{case.heat_source}"'
        remedy = 'Choose an option of the case with heat_source = "heat_pump"'
        raise CaseError(Fault(case.label, given, "leaves nothing to schedule: that is done for a heat pump", remedy))
