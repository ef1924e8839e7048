"""Rooms solved one by one, against what settles by hand: linear emitters, so that no power needs to be taken."""

from __future__ import annotations

import numpy as np
import pytest
from references import Reference

from simkit.kernel.room_pass import most_heat_kw, room_flows_c, steady_rooms_c

pytestmark = pytest.mark.short

COLD, MILD = -2.0, 9.0
PER_WATER = 5.0 / 2.2  # a flow of water that cools by 5 K where it gives 2.2 kW
# needed [°C], loss, exchange [kW/K], rated [kW], exponent, per water [K/kW]
APART = np.array([[20.0, 0.1, 0.0, 2.75, 1.0, PER_WATER], [20.0, 0.1, 0.0, 5.5, 1.0, PER_WATER]])
JOINED = np.add(APART, [0.0, 0.0, 0.1, 0.0, 0.0, 0.0])


def check(found: np.ndarray, by_hand: list[list[float]]) -> None:
    for row, wanted in zip(found, by_hand, strict=True):
        for value, want in zip(row, wanted, strict=True):
            Reference(want, "own: by hand", 1e-5, "rooms follow each other to 1e-7 K").check(value)


def test_flow_that_each_room_needs() -> None:
    """2.2 kW in the cold and half of it where it is mild: 50·Q/R over the room, and half of what the water cools by."""
    outdoor = np.array([COLD, MILD])
    check(room_flows_c(outdoor, APART, 20.0), [[62.5, 41.25], [42.5, 31.25]])
    # with doors to a middle of 18 °C each loses 0.2 kW more
    more = [20.0 + 50.0 * 2.4 / rated + 0.5 * PER_WATER * 2.4 for rated in (2.75, 5.5)]
    check(room_flows_c(outdoor[:1], JOINED, 18.0), [[flow] for flow in more])


def test_most_heat_at_a_flow() -> None:
    """At the flow that a room needs it is what the room needs; a flow no warmer than the room gives nothing."""
    check(
        most_heat_kw(np.array([62.5, 42.5, 20.0]), APART),
        [[2.2, 0.055 * 22.5 / 1.0625, 0.0], [4.4 * 42.5 / 45.0, 2.2, 0.0]],
    )


def test_rooms_settle_at_what_they_need_or_at_what_their_emitter_reaches() -> None:
    """At 62.5 °C both are warm; at 42.5 °C the first gets 0.055·(42.5 − T − Q·5/4.4), which is 0.1·(T + 2)."""
    cool = (0.055 * 42.5 / 1.0625 - 0.2 * 1.0) / (0.1 + 0.055 / 1.0625)
    check(steady_rooms_c(np.array([62.5, 42.5]), np.array([COLD, COLD]), APART), [[20.0, cool], [20.0, 20.0]])


def test_a_room_without_an_emitter_lives_by_its_door() -> None:
    """Half the loss to −2 °C, half to the middle of itself and a room of 20 °C: T = (−2 + (T + 20)/2)/2 = 16/3."""
    rooms = JOINED.copy()
    rooms[0, 3] = 1e-9
    check(steady_rooms_c(np.array([70.0]), np.array([COLD]), rooms), [[16.0 / 3.0], [20.0]])
