"""Days away and days with guests in; what they change of set-points, electricity, people's heat and hot water, out."""

from __future__ import annotations

import datetime as dt

import numpy as np

from simkit.arrays import Bools, Floats
from simkit.case.home.absence import LEAP_YEAR, Away, Days, day_code
from simkit.case.home.household import Household
from simkit.clock import TimeAxis
from simkit.profiles.household import month_and_day

GUEST_KWH_PER_DAY = 2.0  # own: what a guest cooks, washes and lights, near the mean of a person in a shared household


def on_days(span: Days, axis: TimeAxis) -> Bools:
    """Whether each step lies on one of the days, (steps,)."""
    month, day = month_and_day(axis.dates)
    code = month * 100 + day
    first, last = day_code(span.first), day_code(span.last)
    inside = (code >= first) & (code <= last) if first <= last else (code >= first) | (code <= last)
    return np.asarray(inside[axis.day])


def _scaled(away: tuple[Away, ...], share: str, axis: TimeAxis) -> Floats:
    factor = np.ones(axis.steps)
    for span in away:
        factor = np.where(on_days(span, axis), getattr(span, share), factor)
    return factor


def _guests(household: Household, axis: TimeAxis) -> Floats:
    """Guests in each step, (steps,)."""
    return np.sum([g.people * on_days(g, axis) for g in household.guests or ()] or [np.zeros(axis.steps)], axis=0)


def lowered_c(asked: Floats, household: Household, axis: TimeAxis, *, held: bool) -> Floats:
    """A temperature asked for over the year with what is while nobody is at home, (steps,) [°C].

    Guests who keep the home while its people are away are somebody. What is held, and not what is needed, rises in time
    for those who come back.
    """
    empty = _guests(household, axis) == 0.0
    for span in household.away or ():
        gone = on_days(span, axis)
        if held:
            gone = gone & np.roll(gone, -round(span.warm_again_h / axis.hours))
        asked = np.where(gone & empty, np.minimum(asked, span.c), asked)
    return asked


def somebody_there(household: Household, axis: TimeAxis) -> Floats:
    """Whether anybody is, those who live there or guests, (steps,) [0 or 1]."""
    return np.maximum(_living_there(household, axis), _guests(household, axis) > 0.0)


def _living_there(household: Household, axis: TimeAxis) -> Floats:
    """Whether those who live there are in, (steps,) [0 or 1]."""
    away = [on_days(span, axis) for span in household.away or ()]
    return 1.0 - np.any([np.zeros(axis.steps, dtype=bool), *away], axis=0).astype(np.float64)


def people_at_home(household: Household, axis: TimeAxis) -> Floats:
    """People at home, (steps,): none while away, guests on top."""
    return household.people * _living_there(household, axis) + _guests(household, axis)


def drawn_share(household: Household, axis: TimeAxis) -> Floats:
    """Hot water as a share of that of a usual day, (steps,): guests draw what those who live there draw."""
    more = _guests(household, axis) / household.people if household.people else 0.0
    return _scaled(household.away or (), "water_share", axis) + more


def used_kw(usual_kw: Floats, household: Household, axis: TimeAxis) -> Floats:
    """A household's load with days away and guests, (steps,) [kW]: the stated kWh stay the year's, guests' come on top.

    Of the days at home the more is used: the year that was metered held both.
    """
    share = _scaled(household.away or (), "use_share", axis)
    total = float(usual_kw.sum())
    kept = usual_kw * share
    kept = kept * (total / float(kept.sum())) if kept.sum() > 0.0 else usual_kw
    return kept + _guests(household, axis) * GUEST_KWH_PER_DAY / 24.0


def longest_away_d(household: Household) -> int:
    """Days of the longest absence [d]."""
    return max((length_d(span) for span in household.away or ()), default=0)


def length_d(span: Days) -> int:
    """How many days a span holds in a leap year [d]."""
    first, last = (dt.date(LEAP_YEAR, code // 100, code % 100) for code in (day_code(span.first), day_code(span.last)))
    return (last - first).days % 366 + 1
