"""A case and its needed day in; the schedules that a search looks at, out: a grid, then neighbours of the best."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import product

import numpy as np

from simkit.case.build import vary
from simkit.case.case import Case
from simkit.decide.schedule.rule import (
    END,
    MILD,
    START,
    DayPattern,
    RoomRule,
    Rule,
    Window,
    cheapest,
    curve_change,
)
from simkit.errors import CaseError
from simkit.kept.memory import memo

OVER_K = (0.0, 0.5)
LEAD_H = (0.5, 1.0, 2.0, 3.0)
SET_BACK_K = (0.0, 1.0, 2.0)
PRE_HEAT = ((0.0, 0.0), (0.5, 3.0), (1.0, 3.0), (2.0, 4.0), (2.0, 8.0))
CURVE_K = (-6.0, -3.0, 0.0, 3.0)
LIFT_H = (2.0, 4.0, 6.0, 8.0)
MOST = {"lift_k": 2.0}  # own: a bedroom at night is not heated further up, however cheap the hours
RECOVERIES = {"gentle": 0.0, "medium": 5.0, "full": 20.0}  # lift of the flow while driven back up [K]; own
STRATEGIES = {
    "steady": Rule(over_k=0.5, set_back_k=0.0),
    "set back": Rule(over_k=0.5, lead_h=1.0, set_back_k=3.0),
    "pre-heat": Rule(over_k=0.5, lead_h=1.0, set_back_k=2.0, lift_k=1.5, lift_h=4.0),
}  # own
MORNING, AFTERNOON = (0, 10 * 60), (10 * 60, 18 * 60)  # parts of the day with a reheat each [min]


def grid(case: Case, pattern: DayPattern) -> list[Rule]:
    """The first round of candidates: about two thousand."""
    curves = [shift for shift in CURVE_K if curve_fits(case, shift)]
    waters = water_choices(case, pattern)
    rooms = [
        (over, lead, back, lift, hours)
        for over, lead, back, (lift, hours) in product(OVER_K, LEAD_H, SET_BACK_K, PRE_HEAT)
        if back > 0 or lead == LEAD_H[0]
    ]
    found = [Rule(*room, curve_k=curve, water=water) for room, curve, water in product(rooms, curves, waters)]
    return [*found, *strategies(case).values()]


def strategies(case: Case) -> dict[tuple[str, str], Rule]:
    """Steady, set back and pre-heat under every way of driving a cool home back up, by both names.

    Where the lag of a heated floor is not counted, pre-heating is left out.
    """
    return {
        (name, recovery): replace(rule, recovery_k=lift)
        for (name, rule), (recovery, lift) in product(STRATEGIES.items(), RECOVERIES.items())
        if name != "pre-heat" or not case.emitters.lag_left_out
    }


@memo
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
    found = ((short,), (long,), (short, mild), (long, mild), (Window(0, 24 * 60),))
    return [None, *(choice for choice in found if not _overlap(choice))]


def _overlap(windows: tuple[Window, ...]) -> bool:
    taken = np.zeros(24 * 60, dtype=int)
    for window in windows:
        taken[(window.start + np.arange(window.minutes)) % len(taken)] += 1
    return bool(taken.max() > 1)


def neighbours(rule: Rule, case: Case, pattern: DayPattern) -> Iterable[Rule]:
    """The same rule with one of its numbers moved a little, on all days, on workdays or on weekends alone."""
    minutes = pattern.minutes
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
    yield from (replace(rule, recovery_k=lift) for lift in RECOVERIES.values())
    if case.car is not None and not any(terms.series for terms in case.tariff.versions):
        yield replace(rule, car_cheap=not rule.car_cheap)
    if case.battery is not None and case.battery.fill_below_price is not None:
        now = case.battery.charge_to if rule.charge_to is None else rule.charge_to
        for share in (now - 0.2, now - 0.1, now + 0.1):
            if case.battery.reserve_share <= share <= 1.0:
                yield replace(rule, charge_to=round(share, 2))
    yield from _moved_water(rule, case, pattern)


def _moved_water(rule: Rule, case: Case, pattern: DayPattern) -> Iterable[Rule]:
    """The same rule with other stretches for hot water, a reheat in each half of the day, or its own moved a little."""
    minutes = pattern.minutes
    for water in water_choices(case, pattern):
        yield replace(rule, water=water)
    for before, after in product((2.0, 3.0), (1.0, 2.0)):
        both = cheapest(pattern, before, part=MORNING), cheapest(pattern, after, part=AFTERNOON)
        yield replace(rule, water=both)
    for number, window in enumerate(rule.water or ()):
        for start, length in ((-minutes, 0), (minutes, 0), (0, -minutes), (0, minutes), (-minutes, minutes)):
            moved = Window((window.start + start) % 1440, window.minutes + length)
            held = (*(rule.water or ())[:number], moved, *(rule.water or ())[number + 1 :])
            if minutes <= moved.minutes < 1440 and not _overlap(held):
                yield replace(rule, water=held)


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
    for lift, at in product((0.5, 2.0) if rooms.lift_k == 0.0 else (rooms.lift_k,), (MILD, START, END)):
        yield from (rooms._replace(lift_k=lift, lift_h=hours, lift_at=at) for hours in {*LIFT_H, rooms.lift_h} - {0.0})
