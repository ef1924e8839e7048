"""A day as a controller sees it in; courses of its settings that it may try, out.

Each move is a few series of the day; what a move leaves out stays as it is. Hot cycles, their targets and the storage
temperature stay as they are in all of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np

from simkit.arrays import Bools, Floats, Ints
from simkit.physics.constants import SAFE_ROOM_C

Move = dict[str, Floats]

LEAD_H = (0.0, 1.0, 2.0, 4.0, 8.0, 24.0)  # own, as all of them: hours by which warmth begins before it is needed
UP_K = (0.01, 0.1, 0.3)  # over what is needed
LIFTS = ((0.0, 0.0), (0.3, 3.0), (0.3, 8.0), (0.8, 4.0))  # more, in the hours of cheapest heat
CAPS = (0.5, 0.65, 0.8, 0.9, 1.0, 1.15, 1.4, 2.0, 4.0)  # hottest flow, by the excess of the rule's curve
BLOCK_H, NUDGES_K = 2.0, (-0.3, -0.1, 0.1, 0.3, 0.8)
REHEAT_H = (0.5, 1.0, 2.0)
FILLED, FILL_H = (0.4, 0.7, 1.0), (1.0, 2.0, 3.0, 5.0)
KEPT_BACK = (0.0, 0.4, 0.7)  # share of the day's cheapest hours in which a battery gives nothing


@dataclass(frozen=True, eq=False)
class Day:
    """A day to be settled.

    Attributes
    ----------
    settings
        Its course so far, (slots,) each by name of the series.
    room_c
        Warmth needed in its slots and in those of the next day, (2 × slots,) [°C].
    price, heat_price, water_price
        Of a kilowatt-hour of electricity, of heat for the rooms and of hot water as they are seen, (slots,).
    forced
        Where a hot cycle runs, (slots,).
    target_c
        Storage temperature of hot water [°C].
    curve_shape
        That of the rule's curve, (slots,).
    hours
        Length of a slot [h].
    """

    settings: dict[str, Floats]
    room_c: Floats
    price: Floats
    heat_price: Floats
    water_price: Floats
    forced: Bools
    target_c: float
    curve_shape: Floats
    hours: float

    @property
    def slots(self) -> int:
        """Number of slots."""
        return len(self.price)

    def length(self, hours: float) -> int:
        """Slots of so many hours, at least one."""
        return max(round(hours / self.hours), 1)

    def cheapest(self, price: Floats, hours: float) -> Ints:
        """Slots of the cheapest hours, the first of equals."""
        return np.argsort(price, kind="stable")[: self.length(hours)]


def courses(day: Day, margin_k: float) -> Iterator[Move]:
    """Rooms on what is needed, warmed so long before, a little over it, and more in the hours of cheap heat."""
    for lead in LEAD_H:
        ahead = min(round(lead / day.hours), day.slots)
        course = np.max([day.room_c[k : k + day.slots] for k in range(ahead + 1)], axis=0) + margin_k
        for up, (lift, hours) in product(UP_K, LIFTS):
            raised = course + up
            if lift:
                then = day.cheapest(day.heat_price, hours)
                raised[then] = raised.max() + lift
            yield {"set_point_c": raised}


def caps(day: Day, _: float) -> Iterator[Move]:
    """The flow held under so much of the rule's curve."""
    for share in CAPS:
        yield {"curve_shape": day.curve_shape * share}


def nudges(day: Day, _: float) -> Iterator[Move]:
    """A few hours a little warmer or cooler."""
    course, length = day.settings["set_point_c"], day.length(BLOCK_H)
    for first, move in product(range(0, day.slots, length), NUDGES_K):
        moved = course.copy()
        moved[first : first + length] = np.maximum(moved[first : first + length] + move, SAFE_ROOM_C - 1.0)
        yield {"set_point_c": moved}


def reheats(day: Day, _: float) -> Iterator[Move]:
    """Hot water heated once, in any stretch, or not at all."""
    now = day.settings["water_target_c"]
    none = np.where(day.forced, now, 0.0)
    yield {"water_target_c": none}
    yield from _with_reheat(day, none)


def more_reheats(day: Day, _: float) -> Iterator[Move]:
    """One reheat more."""
    yield from _with_reheat(day, day.settings["water_target_c"])


def _with_reheat(day: Day, target: Floats) -> Iterator[Move]:
    for hours, first in product(REHEAT_H, range(day.slots)):
        length = day.length(hours)
        moved = target.copy()
        moved[first : first + length] = np.where(
            day.forced[first : first + length], target[first : first + length], day.target_c
        )
        yield {"water_target_c": moved}


def fills(day: Day, _: float) -> Iterator[Move]:
    """The battery filled so far in the cheapest hours, and kept back in others that are cheap."""
    for (filled, hours), kept in product([(0.0, 0.0), *product(FILLED, FILL_H)], KEPT_BACK):
        charge, release = np.zeros(day.slots), np.ones(day.slots)
        if filled:
            charge[day.cheapest(day.price, hours)] = filled
        if kept:
            release[day.cheapest(day.price, 24.0 * kept)] = 0.0
        release[charge > 0] = 0.0
        yield {"charge_to": charge, "release": release}
