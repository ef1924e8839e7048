"""A household's mean load in; the course of one such household out: appliances switched on and off, and people about.

The mean of a thousand homes has no kettle in it. Here the stated kilowatt-hours are spread anew: what runs always, a
refrigerator, lights and screens that wander with the people, and appliances that are switched on, each the more often
the higher the mean load. What a course has on average over many seeds is the mean load itself, quarter-hour by
quarter-hour; its sum is the same kilowatt-hours in every seed.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from simkit.arrays import Floats, Ints
from simkit.case.case import Case
from simkit.case.home.household import MOST_HOUSEHOLDS, Household
from simkit.clock import TimeAxis
from simkit.kept.disk import on_disk
from simkit.kept.memory import memo
from simkit.kernel.courses import laid, means_and_peaks, split_by_day, summed, with_the_rest
from simkit.profiles.household import h0_watts, public_holidays
from simkit.weather.draws import normals, persistent, split_mix, uniforms

SEEDS = 16  # households that a range spans; a year shows the most usual of them
USUAL_KWH = 3500.0  # BDEW: about a mean household's year; at this use the most usual one is chosen
FINE_MINUTES, COARSE_MINUTES = 5, 15
PER_COARSE = COARSE_MINUTES // FINE_MINUTES

ALWAYS = 0.8  # own: of the least mean load of a day, what runs day and night; half of it a refrigerator's
FRIDGE_ON, FRIDGE_MINUTES = 0.4, 50  # own: share of the time that it runs, and how long a cycle lasts
SWITCHED = 0.6  # own: of what is left, what appliances take that are switched on; lights and screens take the rest
SHAPE_DIGITS = 15  # decimals of a quarter-hour's share of a year, about 3e-5: the eleventh of its digits
FEW_MORE = 1024  # uses that are drawn at once
GOLDEN, A_DAY = 0.6180339887498949, 1.0 / 365.0  # a step that fills a year evenly however many are taken; a day of it
WANDER_SD, WANDER_H, DAY_SD = 0.5, 2.0, 0.35  # own: of what goes on in a home, within a day and from day to day


class Appliance(NamedTuple):
    """What is switched on: its share of all such energy, and its power over blocks of five minutes [kW]."""

    share: float
    kw: tuple[float, ...]

    @property
    def kwh(self) -> float:
        """Energy of one use [kWh]."""
        return sum(self.kw) * FINE_MINUTES / 60.0


APPLIANCES = (  # own: powers and lengths as on labels; shares so that peaks are those of metered homes (see tests)
    Appliance(0.20, (2.1,)),  # kettle
    Appliance(0.10, (1.2, 0.6)),  # microwave, toaster, hair dryer
    Appliance(0.22, (1.8, 1.8, 1.2, 1.2)),  # hob
    Appliance(0.16, (2.3, 2.3, 2.3, 0.9, 0.9, 0.9, 0.9, 0.9)),  # oven
    Appliance(0.12, (0.2, 2.1, 2.1, 2.1, 2.1, *(0.2,) * 10)),  # washing machine
    Appliance(0.14, (0.1, 2.0, 2.0, 2.0, *(0.1,) * 6, 2.0, 2.0)),  # dishwasher
    Appliance(0.06, (1.6,) * 5),  # vacuum cleaner, iron, drill
)


# Hot water by kind of draw: its share of all, a usual one [kWh], and how widely it differs (own: a shower of 45 l at
# 40 °C, and 4 l at a basin); each falls within so much of when the mean household draws.
DRAWS = ((0.6, 1.57, 0.35), (0.4, 0.14, 0.5))
LATE_MINUTES = 45.0


@dataclass(frozen=True, eq=False)
class Course:
    """One household's year on an axis.

    Attributes
    ----------
    mean_kw
        Mean power of each step, (steps,) [kW].
    peak_kw
        Highest five minutes within each step, (steps,) [kW].
    """

    mean_kw: Floats
    peak_kw: Floats


def on_axis(fine_kw: Floats, axis: TimeAxis) -> Course:
    """Lay a course of five minutes on the steps of an axis."""
    per_step = axis.step_minutes // FINE_MINUTES
    sums, peaks = means_and_peaks(fine_kw, per_step)
    return Course(sums / per_step, peaks)


@on_disk
def course_on(mean_kw: Floats, seed: int, axis: TimeAxis) -> Course:
    """One household's course on an axis; parameters as of `course_kw`."""
    return on_axis(course_kw(mean_kw, seed), axis)


def course_kw(mean_kw: Floats, seed: int) -> Floats:
    """One household's load in blocks of five minutes, (3 × steps,) [kW].

    Parameters
    ----------
    mean_kw
        Mean load by quarter-hour over whole days, (steps,) [kW], 0 or more.
    seed
        Number of the household, 1 or more.
    """
    if not mean_kw.any():
        return np.zeros(len(mean_kw) * PER_COARSE)
    always, rest = split_by_day(mean_kw, 24 * 60 // COARSE_MINUTES, ALWAYS)
    people, used = _people(len(mean_kw), seed), SWITCHED * rest
    total = float(used.sum())
    uses = np.array([_uses(one, total * COARSE_MINUTES / 60.0) for one in APPLIANCES], dtype=np.float64)
    shape = np.round(used / total, SHAPE_DIGITS)  # homes that use more or less at the same hours share what follows
    switched = _switched(used * people, uses, seed)
    made: Floats = with_the_rest(switched, always, rest, people, uses, _of_one_use(shape.tobytes()), _fridge(seed))
    return made * (PER_COARSE * float(mean_kw.sum()) / float(made.sum()))


def _day(count: int) -> Ints:
    """Number of the day of each quarter-hour, (count,)."""
    return np.arange(count) * COARSE_MINUTES // (24 * 60)


def _fridge(seed: int) -> tuple[float, float, float]:
    """A refrigerator's cycles in five minutes, where in one the year begins, and its share of running."""
    begin, length = map(float, uniforms(2, seed, 101))
    return FINE_MINUTES / (FRIDGE_MINUTES * (0.8 + 0.4 * length)), begin, FRIDGE_ON


@memo
def _people(count: int, seed: int) -> Floats:
    """How much of the usual goes on in each quarter-hour of whole days, people in or out, about 1, (count,)."""
    day = _day(count)
    memory = float(np.exp(-COARSE_MINUTES / 60.0 / WANDER_H))
    within = persistent(normals(count, seed, 102), memory)
    return np.asarray(np.exp(WANDER_SD * within - WANDER_SD**2 / 2.0) * _days(int(day[-1]) + 1, seed)[day])


def _days(count: int, seed: int) -> Floats:
    """How much of the usual goes on on each day, about 1, (days,)."""
    return np.asarray(np.exp(DAY_SD * normals(count, seed, 103) - DAY_SD**2 / 2.0))


def _switched(weight: Floats, uses: Floats, seed: int) -> Floats:
    """What appliances take when they are switched on, in five minutes each [kW]."""
    where, made = summed(weight, PER_COARSE), np.zeros(len(weight) * PER_COARSE)
    for number, (appliance, count) in enumerate(zip(APPLIANCES, uses, strict=True)):
        at = _places(int(count), seed, 110 + number)
        laid(made, where, at, np.zeros(len(at)), np.ones(len(at)), np.array(appliance.kw))
    return made


def _places(uses: int, seed: int, stream: int) -> Floats:
    """Where uses fall, (uses,): evenly over what goes on, from 0 to under 1, and a day's worth at random.

    One use more leaves the others where they are, so that a home that uses a little more is the same home.
    """
    return _of_as_many(_all_places, uses, seed, stream)


@memo
def _all_places(uses: int, seed: int, stream: int) -> Floats:
    chance = uniforms(uses + 1, seed, stream)
    return np.asarray((chance[0] + GOLDEN * np.arange(uses) + A_DAY * chance[1:]) % 1.0)


_all_normals = memo(normals)


def _of_as_many(drawn: Callable[[int, int, int], Floats], count: int, seed: int, stream: int) -> Floats:
    """The first of what is drawn of a few more, so that homes that use more or less draw it once."""
    return drawn(-(-count // FEW_MORE) * FEW_MORE, seed, stream)[:count]


@memo
def _of_one_use(shape: bytes) -> Floats:
    """What one use of each appliance takes on average in five minutes each, (appliances, count) [kW].

    `shape` is when it may fall: the share of the mean load in each quarter-hour.
    """
    weight = np.repeat(np.frombuffer(shape), PER_COARSE) / PER_COARSE
    return np.stack([_drawn(weight, one) for one in APPLIANCES])


def _uses(appliance: Appliance, energy_kwh: float) -> int:
    """How often an appliance is switched on in the time of so much energy."""
    return max(round(appliance.share * energy_kwh / appliance.kwh), 1)


def _drawn(begun: Floats, appliance: Appliance) -> Floats:
    """Power of an appliance for uses begun in each five minutes, its middle laid on them, (count,) [kW]."""
    length = len(appliance.kw)
    around = np.concatenate([begun[len(begun) - length :], begun, begun[:length]])  # the year runs into itself
    shifted = length // 2 + length
    return np.convolve(around, appliance.kw)[shifted : shifted + len(begun)]


@memo
@on_disk
def most_usual(zone: str, year: int, country: str | None, southern: bool) -> int:
    """Number of the household that is nearest to the mean of all `SEEDS` in peaks and in when it uses how much."""
    quarters = TimeAxis(zone, year, COARSE_MINUTES)
    watts = h0_watts(quarters, holidays=public_holidays(country, year), southern=southern)
    load = watts * (USUAL_KWH / (float(watts.sum()) * quarters.hours))
    seen = np.array([_traits(course_kw(load, seed)) for seed in range(1, SEEDS + 1)])
    apart = (seen - seen.mean(axis=0)) / np.maximum(seen.std(axis=0), 1e-12)
    return 1 + int((apart**2).sum(axis=1).argmin())


def _traits(fine_kw: Floats) -> Floats:
    """Highest quarter-hours of the thirty-day months, and the load at night and about noon."""
    quarters = fine_kw.reshape(-1, PER_COARSE).mean(axis=1)
    per_day = 24 * 60 // COARSE_MINUTES
    days = quarters[: len(quarters) // per_day * per_day].reshape(-1, per_day)
    months = days[: len(days) // 30 * 30].reshape(-1, 30 * per_day) if len(days) >= 30 else days
    night, noon = days[:, : per_day // 4].mean(), days[:, per_day * 10 // 24 : per_day * 16 // 24].mean()
    return np.array([months.max(axis=1).mean(), quarters.max(), night, noon, np.minimum(quarters, 0.5).mean()])


def seed_of(sample: int) -> int:
    """Number of the household of a sample, 1 to `SEEDS`: sixteen samples hold each once, in an order of chance."""
    block, place = divmod(sample, SEEDS)
    return 1 + int(np.argsort(split_mix(1_000_003 * (block + 1), SEEDS))[place])


def number_of(told: str) -> int:
    """Number of the household of one home among many, by what it is called: the same in whatever order they stand.

    Neighbours who switch everything on at the same time would make a street's peak that of one home.
    """
    return 1 + int.from_bytes(hashlib.sha256(told.encode()).digest()[:8]) % MOST_HOUSEHOLDS


@on_disk
def drawn_kwh(mean_kwh: Floats, axis: TimeAxis, seed: int) -> Floats:
    """One household's draws of hot water, (steps,) [kWh]: showers and basins of people who are in or out.

    Parameters
    ----------
    mean_kwh
        Draws of the mean household in each step, (steps,) [kWh]; their sum stays what it is.
    axis
        Their time axis.
    seed
        Number of the household, as of its electricity: who uses little on a day draws little.
    """
    total = float(mean_kwh.sum())
    if total <= 0.0:
        return mean_kwh
    per_step = axis.step_minutes // FINE_MINUTES
    days = _days(len(axis.dates), seed)
    where = summed(mean_kwh * days[axis.day], per_step)
    made = np.zeros(axis.steps * per_step)
    for number, (share, kwh, sd) in enumerate(DRAWS):
        uses = max(round(share * total / kwh), 1)
        moved = np.rint(LATE_MINUTES / FINE_MINUTES * _of_as_many(_all_normals, uses, seed, 140 + number))
        size = kwh * np.exp(sd * _of_as_many(_all_normals, uses, seed, 150 + number) - sd**2 / 2.0)
        made += laid(np.zeros(len(made)), where, _places(uses, seed, 130 + number), moved, size, np.ones(1))
    by_step, _ = means_and_peaks(made, per_step)
    return by_step * (total / float(by_step.sum()))


def mean_of_many(household: Household) -> dict[str, object]:
    """What to change in a case so that its household is the mean of many: where nobody knows which home it was."""
    return {"household.profile": "mean"} if household.one else {}


def draws_differ(case: Case) -> bool:
    """Whether hot water is drawn as one home draws it, more on some days than on others."""
    return case.household.one and case.hot_water.draws_vary


def asks_household(case: Case) -> bool:
    """Whether it decides over money when a household uses what it uses: panels, a battery, a charge on peaks."""
    return case.solar is not None or case.battery is not None or case.tariff.demand is not None


def household_notes(case: Case) -> tuple[str, ...]:
    """What a year's household stands for, where it matters: one home, or the mean of many with what that hides."""
    household = case.household
    if household.file is not None or not asks_household(case):
        return ()
    if household.one:
        shown = f"the most usual of {SEEDS}, ranges span all of them"
        if household.home_number is not None:
            shown = f"no. {household.home_number}, ranges span {SEEDS} others"
        return (f"The household is drawn as one home: the year shows {shown}.",)
    return (
        "The household is the mean of very many homes. One home's peaks are several times as high, and less of what "
        'its panels give falls when it uses it: [household] profile = "one_home" counts that.',
    )
