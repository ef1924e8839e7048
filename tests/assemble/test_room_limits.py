"""Rooms of unequal emitters: the heat they get together, by hand, against rooms solved one by one, and monotone."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from references import Reference
from scipy.optimize import brentq

from simkit.assemble.room_limits import ALL_EMITTERS, Group, groups_of, merged, room_lines
from simkit.assemble.room_limits import _lines as lines_of
from simkit.assemble.rooms import LOSS, NEEDED, RATED, RoomSet, room_set, rooms_bend
from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.kernel.room_pass import steady_rooms_c
from simkit.physics.emitters import ROOM_LINES, Lines, uneven_limit_kw
from simkit.physics.rooms import settled_kw

SAMPLE = Path(__file__).parents[2] / "sample_data" / "estuary_bungalow" / "rooms.toml"
HOUSE = 0.25
OUTDOOR, ROOM = -2.0, 20.0


@cache
def home() -> Case:
    return vary(read_case(SAMPLE), {"home.loss.w_per_k": 1000.0 * HOUSE, "option": None, "baseline": None})


def rooms_from(rows: list[tuple[float, float, float, float]]) -> RoomSet:
    """Rooms at 20 °C on a day of −2 °C, 5 K of water: loss, exchange [kW/K], rated [kW], exponent."""
    table = np.array([[ROOM, u, g, q, n, 5.0 / (u * (ROOM - OUTDOOR))] for u, g, q, n in rows])
    return RoomSet(tuple(f"room {k}" for k in range(len(rows))), table, OUTDOOR, 5.0, 1.0)


def bend_of(rooms: RoomSet) -> float:
    return float(np.average(rooms.table[:, 4], weights=rooms.table[:, RATED]))


def house_kw(rooms: RoomSet, flow_c: float, *, house: float, bend: float, lines: object | None = None) -> float:
    """Heat that the house settles at on the design day [kW]: what the mean room loses is what it gets."""
    shares, slopes = lines_of(rooms, ROOM, 1000.0 * house, bend) if lines is None else lines
    wanted, half = house * (ROOM - OUTDOOR), 0.5 * 5.0 / (house * (ROOM - OUTDOOR))

    def gets(room_c: float) -> float:
        most = settled_kw(flow_c - room_c, half, rooms.rated_kw, bend)
        return min(wanted, uneven_limit_kw(most, wanted, Lines(*shares), Lines(*slopes)))

    room = brentq(lambda t: house * (t - OUTDOOR) - gets(t), OUTDOOR, ROOM + 1e-9)
    return gets(room)


def one_by_one_kw(rooms: RoomSet, flow_c: float) -> float:
    """The same with every room solved by itself and the middle of the home following them [kW]."""
    settled = steady_rooms_c(np.array([flow_c]), np.array([OUTDOOR]), rooms.table)[:, 0]
    return float((rooms.table[:, LOSS] * (settled - OUTDOOR)).sum())


def test_two_rooms_by_hand() -> None:
    """Two rooms of 0.1 kW/K, 2.2 kW at 22 K, exponent 1, no doors between them; 2.75 and 5.5 kW at 50 K.

    A needs 20 + 50·2.2/2.75 + 2.5 = 62.5 °C, B 20 + 20 + 2.5 = 42.5 °C. All emitters, 8.25 kW, give at F the heat
    Q = 0.165·(F − 20 − 2.5/4.4·Q) = 0.165·(F − 20)/1.09375: at 62.5 °C 6.4114 kW, 1.45714 of the 4.4 kW that the house
    wants, at 42.5 °C 0.77143 of them. A that cools by a kelvin gets 0.055/1.0625 = 0.051765 kW more, so that of what it
    misses the house misses 0.1/0.151765 = 0.658915.
    """
    rooms = rooms_from([(0.1, 0.0, 2.75, 1.0), (0.1, 0.0, 5.5, 1.0)])
    first, second = groups_of(rooms, ROOM, 200.0, 1.0)
    by_hand = (0.5, 0.165 * 42.5 / 1.09375 / 4.4, 0.1 / (0.1 + 0.055 / 1.0625))
    for want, found in zip(by_hand, (first.share, first.ratio, first.missing), strict=True):
        Reference(want, "own: by hand", 1e-9, "linear").check(found)
    Reference(0.165 * 22.5 / 1.09375 / 4.4, "own: by hand", 1e-9, "linear").check(second.ratio)
    # at 50 °C A settles where 0.1·(T + 2) = 0.055·(50 − T − 1.13636·0.1·(T + 2)): B has all that it wants
    a = (0.055 * (50.0 - 0.113636363636 * 2.0) - 0.2) / (0.1 + 0.055 * 1.113636363636)
    assert one_by_one_kw(rooms, 50.0) == pytest.approx(0.1 * (a + 2.0) + 2.2, abs=1e-6)
    assert house_kw(rooms, 50.0, house=0.2, bend=1.0) == pytest.approx(0.1 * (a + 2.0) + 2.2, rel=0.02)


def test_the_sample_is_near_its_rooms_solved_one_by_one() -> None:
    """What `room_lines` promises: 2.5 % at every flow, 1 % where the house lacks less than a thirtieth."""
    case = home()
    rooms, bend = room_set(case, 1000.0 * HOUSE), rooms_bend(case)
    full = float((rooms.table[:, LOSS] * (rooms.table[:, NEEDED] - OUTDOOR)).sum())
    as_one = []
    for flow in np.arange(30.0, 60.0, 1.0):
        exact = one_by_one_kw(rooms, flow) / full
        found = house_kw(rooms, flow, house=HOUSE, bend=bend) / (HOUSE * (ROOM - OUTDOOR))
        assert found == pytest.approx(exact, rel=0.025), flow
        if exact > 29.0 / 30.0:
            assert found == pytest.approx(exact, rel=0.01), flow
        one = house_kw(rooms, flow, house=HOUSE, bend=bend, lines=ALL_EMITTERS) / (HOUSE * (ROOM - OUTDOOR))
        as_one.append(one - exact)
        assert found <= one + 1e-9
    assert max(as_one) > 0.03, "as one house it would get so much more than its rooms can take"


def test_house_and_rooms_have_the_same_lines_where_rooms_are_alike() -> None:
    alike = rooms_from([(0.05, 0.02, 2.0, 1.3)] * 6)
    assert lines_of(alike, ROOM, 0.3, 1.3) == ALL_EMITTERS
    assert room_lines(vary(home(), {"room": None}), 1000.0 * HOUSE) == ALL_EMITTERS
    assert room_lines(vary(home(), {"heat_source": "boiler"}), 1000.0 * HOUSE) == ALL_EMITTERS


def test_no_rooms_leave_the_limit_of_the_emitters_bit_for_bit() -> None:
    shares, slopes = (Lines(*values) for values in ALL_EMITTERS)
    for limit, even in ((3.123456789, 2.987654321), (0.1, 7.7), (5.5, 0.0)):
        assert uneven_limit_kw(limit, even, shares, slopes) == limit


rooms_alone = st.lists(
    st.tuples(st.floats(0.01, 0.1), st.floats(0.0, 0.1), st.floats(0.3, 6.0), st.floats(1.0, 1.5)),
    min_size=1,
    max_size=5,
)


@settings(max_examples=100, deadline=None)
@given(rooms_alone, st.integers(0, 4), st.floats(1.01, 3.0), st.floats(25.0, 65.0))
def test_a_bigger_emitter_never_lowers_the_heat(
    rows: list[tuple[float, float, float, float]], which: int, factor: float, flow: float
) -> None:
    """To a thousandth: the exponent of the house is that of the emitters by their size, and moves with them."""
    small = rooms_from(rows)
    bigger = replace(small, table=small.table.copy())
    bigger.table[which % len(rows), RATED] *= factor
    house, bend = float(small.table[:, LOSS].sum()), bend_of(small)
    before, after = (house_kw(rooms, flow, house=house, bend=bend) for rooms in (small, bigger))
    assert after >= before - 1e-3 * house * (ROOM - OUTDOOR)
    assert before <= house * (ROOM - OUTDOOR) + 1e-9


many_groups = st.lists(
    st.tuples(st.floats(0.05, 1.0), st.floats(0.6, 1.5), st.floats(0.3, 0.7)), min_size=6, max_size=10
)


@settings(max_examples=100, deadline=None)
@given(many_groups)
def test_merging_to_five_groups_overstates_the_heat_by_no_more_than_a_hundredth(
    rows: list[tuple[float, float, float]],
) -> None:
    whole = sum(share for share, _, _ in rows)
    groups = sorted((Group(s / whole, r, m) for s, r, m in rows), key=lambda group: -group.ratio)
    few = merged(groups, ROOM_LINES)
    assert len(few) <= ROOM_LINES
    for x in np.linspace(0.5, 1.6, 56):
        exact, found = (
            1.0 - sum(g.missing * g.share * max(0.0, 1.0 - x / g.ratio) for g in some) for some in (groups, few)
        )
        assert exact - 1e-9 <= found <= exact + 0.01
