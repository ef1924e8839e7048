"""A year's rooms and hot water against what was needed in; one verdict, in one wording, out.

Every option of a case is counted against the one profile of needed comfort that the case holds, never against the
option's own set-point: else turning the heating down would always win. The verdict is the same for one year and for
many on lanes, and every face, search and ranking uses it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats, Ints
from simkit.notation import PLAIN, lowest_room
from simkit.physics.constants import KWH_PER_LITRE_K
from simkit.physics.records import Flows, State
from simkit.physics.rooms import COLD_K, FELT_K

Wording = Callable[[float, int], str]  # how a number is written, with so many decimals
WARM, LITTLE_COOL, TOO_COLD = 0, 1, 2
LEVELS = ("warm enough", "a little cool", "too cold")
COLD_RUN_H = 3.0  # own: a morning's warming up; longer, and people complain
WARM_HOURS, COOL_HOURS = 100.0, 400.0  # own: a hundred hours are a quarter of an hour a day; four hundred, an hour
SHORT_SHARE = 0.005  # own: two days' water of a year
AS_GOOD = 1.01  # own: a hundredth more of what is missing is no other comfort
UNFELT_SHARE = 0.0014  # own: half a day's water of a year more or less is when people happened to draw
MIXED_C, COLD_WATER_C = 40.0, 10.0  # water as it is used, and the mean cold feed of Regulation (EU) 814/2013


def room_level(cool_h: Floats, longest_cold_h: Floats, under_18_h: Floats) -> Ints:
    """Judge rooms: 0 warm enough, 1 a little cool, 2 too cold.

    Parameters
    ----------
    cool_h
        Hours more than 0.5 K below the needed temperature, any shape [h].
    longest_cold_h
        Longest time without a break more than 1.5 K below it, same shape [h].
    under_18_h
        Hours under 18 °C while more was needed, same shape [h].
    """
    safe = np.asarray(under_18_h) < 1e-9
    warm = safe & (np.asarray(longest_cold_h) <= COLD_RUN_H + 1e-9) & (np.asarray(cool_h) <= WARM_HOURS)
    return np.where(warm, WARM, np.where(safe & (np.asarray(cool_h) <= COOL_HOURS), LITTLE_COOL, TOO_COLD))


def water_short(unmet_kwh: Floats, wanted_kwh: Floats) -> np.ndarray:
    """Whether hot water runs short: more of what is wanted in a year comes cold than would go unnoticed."""
    return np.asarray(unmet_kwh) > SHORT_SHARE * np.maximum(np.asarray(wanted_kwh), 1e-9)


@dataclass(frozen=True)
class YearComfort:
    """How warm the rooms were, and whether hot water came, against what was needed.

    Attributes
    ----------
    min_room_c
        Coldest mean over a step [°C].
    degree_hours_below
        Sum of what was missing from the needed temperature, beyond the tolerance [K·h].
    hours_below_18
        Hours under 18 °C [h].
    degree_hours_over
        Sum of what was too much in the needed periods [K·h].
    cool_hours
        Hours more than 0.5 K below the needed temperature [h].
    longest_cold_h
        Longest time without a break more than 1.5 K below it [h].
    most_below_k
        Furthest below it [K].
    under_18_wanted_h
        Hours under 18 °C while more was needed [h].
    unmet_kwh, wanted_kwh
        Heat that was missing at the taps, and what was wanted there [kWh].
    cool_days, short_days
        Dates on which rooms were more than 0.5 K below for an hour or more, and on which water was short.
    """

    min_room_c: float
    degree_hours_below: float
    hours_below_18: float
    degree_hours_over: float
    cool_hours: float = 0.0
    longest_cold_h: float = 0.0
    most_below_k: float = 0.0
    under_18_wanted_h: float = 0.0
    unmet_kwh: float = 0.0
    wanted_kwh: float = 0.0
    cool_days: tuple[str, ...] = ()
    short_days: tuple[str, ...] = ()

    @property
    def level(self) -> int:
        """0 warm enough, 1 a little cool, 2 too cold."""
        return int(
            room_level(np.array(self.cool_hours), np.array(self.longest_cold_h), np.array(self.under_18_wanted_h))
        )

    @property
    def water_short(self) -> bool:
        """Whether hot water runs short."""
        return bool(water_short(np.array(self.unmet_kwh), np.array(self.wanted_kwh)))

    @property
    def held(self) -> bool:
        """Whether rooms are warm enough and hot water comes."""
        return self.level == WARM and not self.water_short

    @property
    def unmet_litres(self) -> float:
        """Water of 40 °C that was missing in the year [litres]."""
        return self.unmet_kwh / (KWH_PER_LITRE_K * (MIXED_C - COLD_WATER_C))

    def rooms_worded(self, number: Wording) -> str:
        """The verdict on the rooms, with what it rests on."""
        if self.level == WARM:
            return LEVELS[WARM]
        worst = f"up to {number(max(self.most_below_k, 0.0), 1)} K below"
        if self.under_18_wanted_h > 0:
            told = number(self.hours_below_18, 0) if self.hours_below_18 >= 1.0 else "less than 1"
            return f"{LEVELS[TOO_COLD]}: {told} h under 18 °C, {worst}"
        below = f"{number(self.cool_hours, 0)} h more than {number(FELT_K, 1)} K below what is wanted"
        return f"{LEVELS[self.level]}: {below}, {worst}"

    @property
    def lacks(self) -> str:
        """What is missing in a few words, for a picture; empty where nothing is."""
        water = "hot water runs short" if self.water_short else ""
        return "; ".join(filter(None, [LEVELS[self.level] if self.level else "", water]))

    def worded(self, number: Wording = PLAIN.number) -> str:
        """The verdict on rooms and water, each number as `number` writes it."""
        return "; ".join(filter(None, [self.rooms_worded(number), self._water_worded(number)]))

    def lacking(self, number: Wording) -> str:
        """What is missing of the needed comfort, on rooms and on water; empty where nothing is."""
        rooms = self.rooms_worded(number) if self.level else ""
        return "; ".join(filter(None, [rooms, self._water_worded(number)]))

    def coldest_worded(self, number: Wording) -> str:
        """The coldest room [°C], to a tenth; further where the tenth would hide that it is under 18 °C."""
        return lowest_room(self.min_room_c, number)

    def _water_worded(self, number: Wording) -> str:
        if not self.water_short:
            return ""
        count = len(self.short_days)
        days = f" on {number(count, 0)} {'day' if count == 1 else 'days'}" if count else ""
        return f"hot water runs short by {number(self.unmet_litres, 0)} litres{days}"

    def as_warm_as(self, other: YearComfort) -> bool:
        """Whether it is at least as comfortable: no worse a verdict and, where something is missing, no more of it."""
        missing = []
        if self.level:
            missing = [
                (self.cool_hours, other.cool_hours), (self.degree_hours_below, other.degree_hours_below),
                (self.under_18_wanted_h, other.under_18_wanted_h), (self.most_below_k, other.most_below_k),
            ]  # fmt: skip
        as_warm = self.no_worse_than(other) and all(mine <= AS_GOOD * theirs for mine, theirs in missing)
        return as_warm and self.gives_water_of(other)

    def gives_water_of(self, other: YearComfort) -> bool:
        """Whether hot water comes, or no less of it than in another year."""
        felt_kwh = self.unmet_kwh - UNFELT_SHARE * self.wanted_kwh
        return not self.water_short or felt_kwh <= AS_GOOD * other.unmet_kwh

    @property
    def shortfall(self) -> float:
        """What is missing beyond what is hardly felt: of the rooms' K·h, or where they are warm of the water's kWh."""
        return self.degree_hours_below if self.level else self.unmet_kwh if self.water_short else 0.0

    @property
    def how_far(self) -> tuple[float, ...]:
        """How far it is from the needed comfort, for an order: less is nearer."""
        return (
            self.level + self.water_short, self.under_18_wanted_h, self.degree_hours_below, self.cool_hours,
            self.unmet_kwh if self.water_short else 0.0,
        )  # fmt: skip

    def no_worse_than(self, other: YearComfort) -> bool:
        """Whether its verdict is at least as good, on rooms and on water."""
        return self.level <= other.level and self.water_short <= other.water_short


def rule(number: Wording) -> str:
    """What the verdict rests on, for a note, each number as `number` writes it."""
    return (
        f"Warm enough: never more than {number(COLD_K, 1)} K below the wanted temperature for over "
        f"{number(COLD_RUN_H, 0)} hours running, no more than {number(WARM_HOURS, 0)} hours a year over "
        f"{number(FELT_K, 1)} K below it, and never under 18 °C where more is wanted. A little cool: up to "
        f"{number(COOL_HOURS, 0)} such hours and never under 18 °C. Beyond that: too cold. Hot water is short where "
        f"more than {number(100.0 * SHORT_SHARE, 1)} % of what is wanted in a year comes cold."
    )


def comfort_of(totals: Flows, after: State) -> YearComfort:
    """Read comfort off the totals of a year and the state at its end; its days are not known."""
    t = totals
    return YearComfort(
        after.coldest_room_c, t.below_k, t.below_18, t.over_k, t.cool, after.longest_cold_h, after.most_below_k,
        t.under_18_wanted, t.tap_water_unmet, t.tap_water + t.tap_water_unmet,
    )  # fmt: skip


def lane_comforts(totals: Flows, after: State) -> list[YearComfort]:
    """The same of many years, whose totals and states are arrays, (homes,) each."""
    lanes = zip(np.transpose(totals), np.transpose(after), strict=True)
    return [comfort_of(Flows(*map(float, flows)), State(*map(float, states))) for flows, states in lanes]
