"""A schedule that a real controller can hold, in a dozen numbers, in; its set-points over a day and over the year out.

A rule is laid on the needed comfort of the case: how much warmer than needed, how long before, how far back otherwise,
and how much heat is put in ahead in the cheapest stretch of the day. Workdays and weekends have a day each.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np

from simkit.arrays import Bools, Floats, Ints
from simkit.assemble.series import Setting
from simkit.case.case import Case
from simkit.case.heating.controls import Period
from simkit.clock import TimeAxis
from simkit.times_of_day import DAY_MINUTES, pieces_of_day, time_of

DAY_KINDS = ("workdays", "weekend")
WEEKEND_FROM = 5
TYPICAL_FLOW_C = 45.0  # own: to weigh mild hours against cheap ones
MILD, START, END = "mild", "start", "end"  # where in the cheap hours a stretch lies
SAME_PRICE = 0.01  # own: stretches whose price differs by less are taken for equally cheap


@dataclass(frozen=True)
class Window:
    """A stretch of the day in minutes after midnight; it may run over midnight."""

    start: int
    minutes: int

    @property
    def table(self) -> dict[str, str]:
        """The stretch as it stands in a case file."""
        end = self.start + self.minutes
        if self.minutes >= DAY_MINUTES:
            return {"from": "00:00", "to": "24:00", "days": "all"}
        return {
            "from": time_of(self.start),
            "to": time_of(end if end <= DAY_MINUTES else end - DAY_MINUTES),
            "days": "all",
        }

    def slots(self, minutes: int) -> Ints:
        """Slots of so many minutes that it covers, at least one."""
        return (self.start // minutes + np.arange(max(self.minutes // minutes, 1))) % (DAY_MINUTES // minutes)

    @property
    def words(self) -> str:
        """The stretch as it is read."""
        if self.minutes >= DAY_MINUTES:
            return "at any time"
        return f"{self.table['from']}–{self.table['to']}"


class RoomRule(NamedTuple):
    """A day of the rooms; see `Rule`."""

    over_k: float
    lead_h: float
    set_back_k: float
    lift_k: float
    lift_h: float
    lift_at: str = MILD


@dataclass(frozen=True)
class Rule:
    """A schedule of the rooms, the curve, hot water and the battery.

    Attributes
    ----------
    over_k
        Set-point over the needed warmth [K].
    lead_h
        Hours by which the warmth begins before it is needed [h].
    set_back_k
        How far the set-point falls outside, never below what is needed there [K].
    lift_k, lift_h
        Pre-heating: how much more, in the cheapest stretch of so many hours [K, h].
    lift_at
        Where that stretch lies: where heat costs least, or at the start or the end of the cheap hours.
    weekend
        The rooms' numbers on weekends; None for those of workdays.
    curve_k
        Shift of the flow temperature of the design day [K].
    water
        Stretches in which water may be reheated; None leaves them as they are.
    charge_to
        Share to which the battery is filled from the grid; None leaves it as it is.
    recovery_k
        Lift of the flow while a cool room is driven back up [K]; None leaves it as it is.
    car_cheap
        Whether the car charges in the cheapest hours of its session; False leaves it as it is.
    """

    over_k: float = 0.0
    lead_h: float = 1.0
    set_back_k: float = 0.0
    lift_k: float = 0.0
    lift_h: float = 0.0
    lift_at: str = MILD
    curve_k: float = 0.0
    water: tuple[Window, ...] | None = None
    charge_to: float | None = None
    weekend: RoomRule | None = None
    recovery_k: float | None = None
    car_cheap: bool = False

    @property
    def workdays(self) -> RoomRule:
        """The rooms' numbers on workdays."""
        return RoomRule(self.over_k, self.lead_h, self.set_back_k, self.lift_k, self.lift_h, self.lift_at)

    @property
    def days(self) -> tuple[RoomRule, RoomRule]:
        """The rooms' numbers on workdays and on weekends."""
        return self.workdays, self.weekend or self.workdays

    def with_days(self, workdays: RoomRule, weekend: RoomRule | None = None) -> Rule:
        """The same rule with other days of the rooms; weekends as workdays where none is given."""
        return replace(self, **workdays._asdict(), weekend=None if weekend == workdays else weekend)


@dataclass(frozen=True, eq=False)
class DayPattern:
    """What a rule is laid on: needed warmth, prices, and what heat costs, by kind of day and slot, (2, slots)."""

    minutes: int
    needed_c: Floats
    inside: Bools
    price: Floats
    heat_cost: Floats
    setback_c: float


def day_pattern(case: Case, setting: Setting) -> DayPattern:
    """Read the needed day off a case, and what heat costs in each slot of a workday and of a weekend.

    The cost of heat is the price times the lift from the mean outdoors of the slot, over the steps of the heating
    season, so that among hours of one price the mild ones count as cheaper.
    """
    axis, comfort = setting.axis, case.comfort
    slots = DAY_MINUTES // axis.step_minutes
    needed = day_of_periods(comfort.periods, np.nan, axis.step_minutes)
    inside = ~np.isnan(needed)
    outdoor, price = setting.weather.frame["outdoor_c"].to_numpy(), setting.signal.import_per_kwh
    cold = outdoor < case.controls.heating_limit_c
    kind, slot = kind_and_slot(axis)
    where = kind[cold] * slots + slot[cold]
    counts = np.maximum(np.bincount(where, minlength=2 * slots), 1)
    prices, costs = (
        (np.bincount(where, values[cold], 2 * slots) / counts).reshape(2, slots)
        for values in (price, price * np.maximum(TYPICAL_FLOW_C - outdoor, 1.0))
    )
    needed = np.where(inside, needed, comfort.setback_c)
    return DayPattern(axis.step_minutes, needed, inside, prices, costs, comfort.setback_c)


def day_of_periods(periods: Sequence[Period], otherwise_c: float, minutes: int) -> Floats:
    """Periods of a case laid on a workday and a weekend day in slots of so many minutes, (2, slots) [°C]."""
    day = np.full((2, DAY_MINUTES // minutes), otherwise_c)
    for period in periods:
        for begin, end in pieces_of_day(period.start, period.end):
            for kind, name in enumerate(DAY_KINDS):
                if period.days in ("all", name):
                    day[kind, begin // minutes : -(-end // minutes)] = period.c
    return day


def kind_and_slot(axis: TimeAxis) -> tuple[Ints, Ints]:
    """0 on workdays and 1 on weekends, and the slot of the wall-clock day in which each step lies, (steps,) each."""
    slot = np.asarray(axis.minute_of_day // axis.step_minutes, dtype=np.int64)
    return (axis.weekday >= WEEKEND_FROM).astype(np.int64), slot


def cheapest(
    pattern: DayPattern, hours: float, kind: int | None = None, *, at: str = MILD, part: tuple[int, int] | None = None
) -> Window:
    """The cheapest stretch of so many hours.

    Parameters
    ----------
    pattern
        The needed day, prices, and what heat costs.
    hours
        Length [h].
    kind
        0 for workdays, 1 for weekends, None for the mean of both.
    at
        "mild" for the stretch in which heat costs least, the latest of equals; "start" and "end" for the first and the
        last of the stretches in which a kilowatt-hour costs least.
    part
        Part of the day in which it lies [min]; None for the whole day, over midnight too.
    """
    cost, price = (
        values.mean(axis=0) if kind is None else values[kind] for values in (pattern.heat_cost, pattern.price)
    )
    length = min(max(round(hours * 60 / pattern.minutes), 1), len(cost))
    sums, prices = (np.array([np.roll(each, -start)[:length].sum() for start in range(len(each))])
                    for each in (cost, price))  # fmt: skip
    if part is not None:
        begin, end = (edge // pattern.minutes for edge in part)
        sums[[start for start in range(len(cost)) if not begin <= start <= end - length]] = np.inf
    cheap = prices <= prices.min() + SAME_PRICE * abs(float(prices.min()))
    edges = cheap & ~np.roll(cheap, 1 if at == START else -1)
    if at != MILD and edges.any():
        sums = np.where(edges, sums, np.inf)
    best = int(np.flatnonzero(sums <= sums.min() * (1.0 + 1e-9) + 1e-12)[-1])
    return Window(best * pattern.minutes, length * pattern.minutes)


def day_set_points(rule: Rule, pattern: DayPattern) -> Floats:
    """Set-points of a workday and a weekend day, (2, slots) [°C]."""
    found = np.empty_like(pattern.needed_c)
    for kind, rooms in enumerate(rule.days):
        needed, inside = pattern.needed_c[kind], pattern.inside[kind]
        warmest = float(needed.max())
        outside = max(pattern.setback_c, warmest + rooms.over_k - rooms.set_back_k)
        wanted = np.where(inside, needed + rooms.over_k, outside)
        found[kind] = wanted
        for back in range(1, round(rooms.lead_h * 60 / pattern.minutes) + 1):
            found[kind] = np.maximum(found[kind], np.where(np.roll(inside, -back), np.roll(wanted, -back), 0.0))
        if rooms.lift_k > 0 and rooms.lift_h > 0:
            window = cheapest(pattern, rooms.lift_h, kind, at=rooms.lift_at)
            found[kind, window.slots(pattern.minutes)] = warmest + rooms.over_k + rooms.lift_k
    return found


def year_set_points(day: Floats, axis: TimeAxis) -> Floats:
    """A workday and a weekend day laid on the year, (steps,) [°C]."""
    return np.ascontiguousarray(day[kind_and_slot(axis)])


def periods_of(day: Floats, minutes: int) -> tuple[list[dict[str, Any]], float]:
    """The same days as periods of a case file, and the set-point outside them [°C]."""
    otherwise = float(day.min())
    same = bool(np.array_equal(day[0], day[1]))
    kinds = [("all", day[0])] if same else list(zip(DAY_KINDS, day, strict=True))
    periods = [
        {"from": time_of(begin * minutes), "to": time_of(end * minutes), "c": value, "days": name}
        for name, row in kinds
        for begin, end, value in runs_of(row)
        if value != otherwise
    ]
    return periods, otherwise


def runs_of(row: Floats) -> Iterator[tuple[int, int, float]]:
    """First slot, slot after the last, and value of each run of equal values."""
    edges = np.concatenate([[0], np.flatnonzero(np.diff(row)) + 1, [len(row)]])
    for begin, end in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True):
        yield begin, end, float(row[begin])


def changes_of(rule: Rule, pattern: DayPattern, case: Case) -> dict[str, Any]:
    """What `vary` is told to make the case follow this rule."""
    periods, otherwise = periods_of(day_set_points(rule, pattern), pattern.minutes)
    changes: dict[str, Any] = {"as_operated": False, "controls.periods": periods, "controls.setback_c": otherwise}
    changes |= curve_change(case, rule.curve_k)
    if rule.water is not None:
        changes["hot_water.windows"] = [window.table for window in rule.water]
    if rule.charge_to is not None:
        changes["battery.charge_to"] = rule.charge_to
    if rule.recovery_k is not None:
        changes["controls.recovery_lift_k"] = rule.recovery_k
    if rule.car_cheap:
        changes["car.charging"] = "by_price"
    return changes


def curve_change(case: Case, shift_k: float) -> dict[str, Any]:
    """What `vary` is told to shift the flow temperature by so much [K]; nothing where no curve holds it."""
    controls = case.controls
    if shift_k == 0.0 or controls.flow == "least" or controls.design_flow_from_rooms:
        return {}
    if controls.slope is not None:
        return {"controls.shift_k": (controls.shift_k or 0.0) + shift_k}
    return {"controls.design_flow_c": controls.design_flow_c + shift_k}
