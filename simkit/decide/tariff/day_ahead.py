"""A home on hourly prices in; what it costs under controls that know more or less of the prices, out.

Four controls, each simulated: the home as it is; the best hours by the clock, the same every day; each day's cheapest
hours as yesterday's prices had them; and as the day's own prices have them, which is perfect knowledge of the day. What
lies between the last two is what not knowing costs. Needed comfort, hot water and fuse are kept to in all of them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import product

import numpy as np

from simkit.answered import Answered
from simkit.arrays import Bools, Floats
from simkit.assemble.heat_loss import loss_w_per_k
from simkit.assemble.setting import setting_for
from simkit.assemble.water import water_series
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.clock import TimeAxis
from simkit.decide.schedule.candidates import AFTERNOON, MORNING
from simkit.decide.tariff.ranked import TariffYear
from simkit.decide.tariff.shift_search import Home, cheapest_move
from simkit.decide.tariff.shifting import Move, Shifting, moves_of
from simkit.errors import CaseError, Fault

WATER_H = ((2.0, 1.0), (2.0, 2.0), (3.0, 2.0), (3.0, 3.0), (4.0, 2.0))  # hours in each part
LIFTS_K = (0.0, 0.5, 1.0)
LIFT_H = 3.0
AS_IT_IS, BY_CLOCK = "as it is", "by the clock"
BY_YESTERDAY, BY_TODAY = "by yesterday's prices", "by the day's own prices"


@dataclass(frozen=True, eq=False, repr=False)
class DayAhead(Answered):
    """What a home on hourly prices costs by its control.

    Attributes
    ----------
    years
        One year for each control, in the order of knowing more.
    """

    years: dict[str, TariffYear]
    answered_by = "simkit.answers.money.day_ahead:day_ahead_answer"

    @property
    def costs(self) -> dict[str, float]:
        """Cost of a year by control [currency]."""
        return {name: year.cost for name, year in self.years.items()}

    @property
    def not_knowing(self) -> float:
        """What control by yesterday's prices costs over perfect knowledge of the day's [currency]."""
        return self.costs[BY_YESTERDAY] - self.costs[BY_TODAY]

    def __repr__(self) -> str:
        rows = [
            f"{year.year.case.notation.amount(year.cost):>12}  {name}: {'; '.join(year.moved) or 'nothing moved'}"
            for name, year in self.years.items()
        ]
        return "\n".join(rows)


def day_ahead(
    case: Case, *, shifting: Shifting | None = None, before_each: Callable[[str], None] | None = None
) -> DayAhead:
    """Set realistic control of a home on hourly prices against perfect knowledge of them.

    Parameters
    ----------
    case
        A home whose tariff has a file of prices.
    shifting
        What may be moved; None allows water, car and 1 K of pre-heating.
    before_each
        Called with the name of each control before it is worked out.

    Raises
    ------
    CaseError
        Where the tariff has no file of prices.
    """
    say = before_each or (lambda _: None)
    if not any(terms.series for terms in case.tariff.versions):
        why = "has no file of prices, so that there is nothing to know ahead"
        raise CaseError(Fault(case.label, f'tariff "{case.tariff.name}"', why, "Choose a tariff with a [series]"))
    allowed = Shifting() if shifting is None else shifting
    setting = setting_for(case)
    home = Home(case, setting, loss_w_per_k(case))
    say(AS_IT_IS)
    today = home.run({})
    years = {AS_IT_IS: TariffYear(home.year(case, Move(), today))}
    say(BY_CLOCK)
    price = setting.signal.import_per_kwh
    fixed = cheapest_move(home, today, _by_clock(home, every_day_alike(price, setting.axis), allowed))
    years[BY_CLOCK] = TariffYear(home.year(vary(case, fixed.changes), fixed), fixed.words)
    known = [fixed]  # who knows more may still do what who knows less does
    for name, seen in ((BY_YESTERDAY, yesterday(price, setting.axis)), (BY_TODAY, price)):
        say(name)
        move = cheapest_move(home, today, [*_by_day(home, seen, allowed), *known])
        known.append(move)
        years[name] = TariffYear(home.year(vary(case, move.changes), move), move.words)
    return DayAhead(years)


def every_day_alike(price: Floats, axis: TimeAxis) -> Floats:
    """The mean price of each time of day over the year, (steps,): what fixed hours go by."""
    slot = axis.minute_of_day // axis.step_minutes
    return np.asarray((np.bincount(slot, weights=price) / np.bincount(slot))[slot])


def _by_clock(home: Home, seen: Floats, shifting: Shifting) -> list[Move]:
    """Moves of water and rooms by the clock, each with the car in the hours that are cheapest on the mean day."""
    found = moves_of(home.case, home.setting, shifting)
    if home.case.car is None or not shifting.car:
        return found
    words = ("car in the hours that are cheapest on the mean day",)
    car = Move(words, {}, {"car_kw": home.car_kw(by_price=True, price=seen)})
    return [found[0], *(move + car for move in found)]


def yesterday(price: Floats, axis: TimeAxis) -> Floats:
    """The price that each step had at the same wall time the day before, (steps,); the first day has the last one's.

    An hour that a clock change took away the day before is seen at the price of the hour after it.
    """
    slots = 24 * 60 // axis.step_minutes
    table = np.full((len(axis.dates), slots), np.nan)
    table[axis.day, axis.minute_of_day // axis.step_minutes] = price
    for row in table:
        gaps = np.isnan(row)
        if gaps.any():
            row[gaps] = np.interp(np.flatnonzero(gaps), np.flatnonzero(~gaps), row[~gaps])
    return np.asarray(table[axis.day - 1, axis.minute_of_day // axis.step_minutes])


def _by_day(home: Home, seen: Floats, shifting: Shifting) -> list[Move]:
    """Moves that follow each day's cheapest hours as they are seen: water, rooms, car."""
    axis, case, brief = home.setting.axis, home.case, home.case.notation.brief
    car = Move()
    if case.car is not None and shifting.car:
        car = Move(("car in each night's cheapest hours",), {}, {"car_kw": home.car_kw(by_price=True, price=seen)})
    found = [Move(), car]
    waters = (None, *WATER_H) if shifting.water and case.heat_source != "boiler" else (None,)
    lifts = [lift * shifting.preheat_k for lift in LIFTS_K] if not case.emitters.lag_left_out else [0.0]
    for hours, lift in product(waters, sorted(set(lifts))):
        series, said = dict(car.series), list(car.words)
        if hours is not None:
            open_ = cheapest_steps(seen, axis, hours[0], part=MORNING)
            series |= _water(home, open_ | cheapest_steps(seen, axis, hours[1], part=AFTERNOON))
            morning, afternoon = map(brief, hours)
            said.append(f"water heated in the cheapest {morning} h to 10:00 and {afternoon} h to 18:00 of each day")
        if lift > 0:
            set_point = home.inputs.series["set_point_c"]
            series["set_point_c"] = set_point + lift * cheapest_steps(seen, axis, LIFT_H)
            said.append(f"rooms {brief(lift)} K warmer in each day's cheapest {brief(LIFT_H)} h")
        found.append(Move(tuple(said), {}, series))
    return found


def cheapest_steps(price: Floats, axis: TimeAxis, hours: float, *, part: tuple[int, int] = (0, 24 * 60)) -> Bools:
    """The steps of so many hours in which each civil day, or a part of it [min], is cheapest; the first of equals."""
    inside = (axis.minute_of_day >= part[0]) & (axis.minute_of_day < part[1])
    order = np.lexsort((np.arange(axis.steps), np.where(inside, price, np.inf), axis.day))
    starts = np.searchsorted(axis.day[order], axis.day[order])
    rank = np.arange(axis.steps) - starts
    chosen = np.zeros(axis.steps, dtype=bool)
    chosen[order] = rank < round(hours / axis.hours)
    return chosen


def _water(home: Home, open_: Bools) -> dict[str, Floats]:
    """Series of hot water that may be heated in these steps; the hygiene cycle stays where it is."""
    water = home.case.hot_water
    series = dict(water_series(water, home.setting.axis))
    hot = series["water_forced"] > 0
    series["water_target_c"] = np.where(hot, water.hygiene.target_c, np.where(open_, water.target_c, 0.0))
    return series
