"""A car, a time axis and a price in; the power it charges with in each step out.

A session begins where the window begins and ends where it ends; each takes the same energy, and what a session can't
take is left to the next. The one over the turn of the year is joined from its two ends, as if the years were alike.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from simkit.arrays import Floats, Ints
from simkit.case.power.car import Car
from simkit.clock import TimeAxis
from simkit.kept.memory import memo
from simkit.notation import Localised
from simkit.times_of_day import WEEKDAYS, minute_of, pieces_of_day, time_of

DAYS = {"all": tuple(range(7)), "workdays": (0, 1, 2, 3, 4), "weekend": (5, 6)}
NOTHING = 1e-9


@memo
def car_window(axis: TimeAxis, car: Car) -> Floats:
    """Share of each step inside the car's window, (steps,) [-]; a night belongs to the day on which it begins."""
    days = DAYS[car.days]
    share = np.zeros(axis.steps)
    for number, (low, high) in enumerate(pieces_of_day(car.start, car.end)):
        weekdays = [(day + number) % len(WEEKDAYS) for day in days]
        share = share + axis.window(time_of(low), time_of(high), weekdays=weekdays)
    return share


def car_kw(
    axis: TimeAxis, car: Car, price: Floats, *, limit_kw: Floats | None = None, extra: Floats | None = None
) -> Floats:
    """Charging power, mean of each step, (steps,) [kW].

    Parameters
    ----------
    axis
        The time axis.
    car
        The car. `at_once` it charges from the beginning of its window on, `by_price` in the cheapest steps of it.
    price
        Price that a charger by price sees, (steps,) [currency/kWh]; of steps at one price the first is taken first.
    limit_kw
        Most power left for the car in each step, (steps,) [kW]; None for the charger's own.
    extra
        Share of each step in which it may charge beside its window (granted half-hours, as a scenario), (steps,) [-].

    Returns
    -------
    ndarray
        What was driven over the year, unless window or limit let less through (`unmet_kwh`).
    """
    inside = car_window(axis, car)
    owner = car_sessions(axis, car)
    allowed = inside if extra is None else np.maximum(inside, extra)
    power = np.full(axis.steps, car.charger_kw)
    if limit_kw is not None:
        power = np.clip(limit_kw, 0.0, car.charger_kw)
    room = allowed * power * axis.hours
    need = wanted_kwh(axis, car) / max(len(owner), 1)
    taken, owed = np.zeros(axis.steps), 0.0
    for mine in owner:
        owed += need
        steps = mine[room[mine] > NOTHING]
        order = steps if car.charging == "at_once" else steps[np.argsort(np.round(price[steps], 9), kind="stable")]
        before = np.cumsum(room[order])
        taken[order] = np.clip(owed - (before - room[order]), 0.0, room[order])
        owed = max(owed - float(before[-1]), 0.0) if len(before) else owed
    return np.ascontiguousarray(taken / axis.hours)


def wanted_kwh(axis: TimeAxis, car: Car) -> float:
    """What the car takes in the year [kWh]."""
    return car.kwh_per_week * len(axis.dates) / 7.0


def unmet_kwh(axis: TimeAxis, car: Car, kw: Floats) -> float:
    """What was driven and could not be charged in the window [kWh]."""
    return max(wanted_kwh(axis, car) - float(kw.sum()) * axis.hours, 0.0)


def car_notes(axis: TimeAxis, car: Car, kw: Floats) -> tuple[str, ...]:
    """What the charging leaves open, one sentence each."""
    missed = unmet_kwh(axis, car, kw)
    if missed < 0.001 * wanted_kwh(axis, car) + NOTHING:
        return ()
    words = "kWh of what the car drove in the year could not be charged in its window."
    return (Localised(lambda notation: f"{notation.number(missed)} {words}"),)


def car_sessions(axis: TimeAxis, car: Car) -> list[Ints]:
    """Steps that each session may use, in order of time, one array by session: from the end of the one before."""
    inside, day_counts = car_window(axis, car), np.isin(axis.weekday, DAYS[car.days])
    first = minute_of(car.start)
    begins = day_counts & (axis.minute_of_day + axis.step_minutes > first) & (axis.minute_of_day <= first)
    starts = np.flatnonzero(begins & (inside > 0))
    starts = starts[np.diff(axis.day[starts], prepend=-1) != 0]  # an hour that comes twice begins one session
    if not len(starts):
        return []
    order = np.roll(np.arange(axis.steps), -int(starts[0]))
    within = inside[order] > 0
    bounds = np.append((starts - starts[0]) % axis.steps, axis.steps).tolist()
    ends = np.array([low + np.flatnonzero(within[low:high])[-1] + 1 for low, high in pairwise(bounds)])
    lows = np.concatenate([[ends[-1] - axis.steps], ends[:-1]])
    return [order[np.arange(low, high) % axis.steps] for low, high in zip(lows, ends, strict=True)]
