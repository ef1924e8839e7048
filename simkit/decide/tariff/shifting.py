"""A home on a tariff, and what may be moved, in; the moves worth trying out: water, pre-heating, the car.

What is moved keeps the home's own set-points: rooms are only ever made warmer ahead of time, never cooler. The hygiene
cycle, the storage temperature and the draws stay as they are.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import product
from typing import Any

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.series import Setting
from simkit.assemble.water import water_series
from simkit.case.case import Case
from simkit.case.heating.controls import Span
from simkit.decide.schedule.candidates import water_choices
from simkit.decide.schedule.rule import (
    DayPattern,
    Window,
    cheapest,
    day_of_periods,
    day_pattern,
    periods_of,
    year_set_points,
)
from simkit.times_of_day import DAY_MINUTES

PREHEAT_H = (3.0, 5.0)
FLAT_SHARE = 0.01  # own: a price that swings by less than 1 % within a day gives nothing to shift to


@dataclass(frozen=True)
class Shifting:
    """What may be moved into cheap hours.

    Attributes
    ----------
    water
        Whether the hours in which water is heated may be moved.
    car
        Whether the car may charge in the cheapest part of its window, and below its full power.
    preheat_k
        By how much rooms may be made warmer ahead of expensive hours [K]; 0 for not at all.
    """

    water: bool = True
    car: bool = True
    preheat_k: float = 1.0


NOT_AT_ALL = Shifting(water=False, car=False, preheat_k=0.0)


@dataclass(frozen=True, eq=False)
class Move:
    """One way to shift.

    Attributes
    ----------
    words
        What is moved to when, for a settings sheet; empty for nothing.
    changes
        What `vary` is told.
    series
        The kernel's series that it changes, (steps,) each.
    """

    words: tuple[str, ...] = ()
    changes: dict[str, Any] = field(default_factory=dict)
    series: dict[str, Floats] = field(default_factory=dict)

    def __add__(self, other: Move) -> Move:
        """Both of them; where they touch the same thing the second holds."""
        return Move(self.words + other.words, {**self.changes, **other.changes}, {**self.series, **other.series})


def moves_of(case: Case, setting: Setting, shifting: Shifting) -> list[Move]:
    """Every move of water and rooms worth trying at the prices of a setting, the first of which is none.

    Parameters
    ----------
    case
        The home; on a boiler there is nothing to move but the car.
    setting
        Its axis, weather and prices.
    shifting
        What is allowed.
    """
    nothing = Move()
    price, starts = setting.signal.import_per_kwh, np.flatnonzero(np.diff(setting.axis.day, prepend=-1))
    swing = float((np.maximum.reduceat(price, starts) - np.minimum.reduceat(price, starts)).mean())
    if case.heat_source == "boiler" or swing <= FLAT_SHARE * float(np.abs(price).mean()):
        return [nothing]
    pattern = day_pattern(case, setting)
    waters = _waters(case, setting, pattern) if shifting.water else [nothing]
    rooms = _rooms(case, setting, pattern, shifting.preheat_k)
    return [water + room for water, room in product(waters, rooms)]


def _waters(case: Case, setting: Setting, pattern: DayPattern) -> list[Move]:
    """Hours for hot water: as they are, and the cheapest stretches with and without mild hours."""
    found = []
    for choice in water_choices(case, pattern):
        if choice is None:
            found.append(Move())
            continue
        tables = [window.table for window in choice]
        water = case.hot_water.model_copy(update={"windows": tuple(Span.model_validate(table) for table in tables)})
        words = f"water heated {' and '.join(window.words for window in choice)}"
        found.append(Move((words,), {"hot_water.windows": tables}, dict(water_series(water, setting.axis))))
    return found


def _rooms(case: Case, setting: Setting, pattern: DayPattern, preheat_k: float) -> list[Move]:
    """Set-points: as they are, and raised in the cheapest stretch of the day; not where a floor's lag is left out."""
    found = [Move()]
    if preheat_k <= 0 or case.emitters.lag_left_out:
        return found
    own = day_of_periods(case.controls.periods, case.controls.setback_c, pattern.minutes)
    for lift, hours in product((preheat_k / 2, preheat_k), PREHEAT_H):
        window = cheapest(pattern, hours)
        raised = raised_day(own, window, lift)
        periods, otherwise = periods_of(raised, pattern.minutes)
        changes = {"controls.periods": periods, "controls.setback_c": otherwise, "as_operated": False}
        series = {"set_point_c": year_set_points(raised, setting.axis)}
        found.append(Move((f"rooms {case.notation.brief(lift)} K warmer {window.words}",), changes, series))
    return found


def raised_day(day: Floats, window: Window, lift_k: float) -> Floats:
    """The same days, inside a stretch raised over their warmest by so much [°C]."""
    raised = day.copy()
    raised[:, window.slots(DAY_MINUTES // day.shape[1])] = day.max(axis=1, keepdims=True) + lift_k
    return raised
