"""A case's rooms and the loss of the house in; the lines that tell what rooms of unequal emitters get together, out.

On the design day, at the needed temperatures, room i wants the share s_i of all that the rooms want. Its emitter gives
that much from the flow F_i up that it needs; all emitters together then give r_i times what the house wants, by the law
of the house itself. With x for what they give over what the house wants, the room misses s_i·(1 − x/r_i) below r_i, and
nothing above: exact where it begins, and as near as the docstring of `room_lines` says further down.

A room that misses heat is cooler, and so loses less to the outside, takes more from its neighbours and gets more out of
its emitter. Of what it misses only the part φ_i = U / (U + g·(1 − g/G) + e) is therefore missing to the house: U and g
its conductances to the outside and to the middle of the home, G the sum of all g, e what its emitter gives more for
each kelvin that the room is cooler. The others make up for what passes to it through walls and doors.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from simkit.assemble.rooms import EXCHANGE, EXPONENT, LOSS, NEEDED, PER_WATER, RATED, RoomSet, room_set, rooms_bend
from simkit.case.case import Case
from simkit.kept.memory import memo
from simkit.physics.emitters import ROOM_LINES, excess_for_k
from simkit.physics.rooms import settled_kw

Lines = tuple[tuple[float, ...], tuple[float, ...]]

ALL_EMITTERS: Lines = ((0.0,) * ROOM_LINES, (1.0,) * ROOM_LINES)
SAME_RATIO = 1e-6


@dataclass(frozen=True)
class Group:
    """Rooms that fall short together.

    Attributes
    ----------
    share
        Of what all rooms want [-].
    ratio
        What all emitters give over what the house wants, where these rooms begin to fall short [-].
    missing
        Part of what they miss that the house misses [-].
    """

    share: float
    ratio: float
    missing: float


def room_lines(case: Case, loss_w_per_k: float) -> Lines:
    """Shares and slopes of the lines for `uneven_limit_kw`, five of each [-].

    Against the rooms solved one by one on the design day the heat of the house is within 2.5 % at every flow, and
    within 1 % until it lacks a thirtieth of its heat (tested): always too much, since the emitters of the house are
    held against the mean room, which is cooler too. More than five rooms are merged to five groups, those of nearest
    ratio first, which alone overstates the heat by no more than 1 % (tested). Where every room is short all emitters
    together set the limit.
    """
    if not case.room or case.heat_source == "boiler":
        return ALL_EMITTERS
    warmest = case.comfort.warmest_c
    return _lines(room_set(case, loss_w_per_k), warmest, loss_w_per_k, rooms_bend(case))


@memo
def _lines(rooms: RoomSet, warmest_c: float, loss_w_per_k: float, bend: float) -> Lines:
    groups = merged(groups_of(rooms, warmest_c, loss_w_per_k, bend), ROOM_LINES)
    if len(groups) < 2:
        return ALL_EMITTERS
    shares, slopes = [], []
    share, slope = 1.0, 0.0
    for group in groups:
        share -= group.missing * group.share
        slope += group.missing * group.share / group.ratio
        shares.append(share)
        slopes.append(slope)
    spare = ROOM_LINES - len(groups)
    return (*shares, *[0.0] * spare), (*slopes, *[1.0] * spare)


def groups_of(rooms: RoomSet, warmest_c: float, loss_w_per_k: float, bend: float) -> list[Group]:
    """Every room by itself, the one that falls short first in front; rooms that want nothing left out."""
    table, outdoor = rooms.table, rooms.design_outdoor_c
    wanted = loss_w_per_k / 1000.0 * (warmest_c - outdoor)
    load = table[:, LOSS] * (table[:, NEEDED] - outdoor) + table[:, EXCHANGE] * (table[:, NEEDED] - rooms.middle_c)
    load = np.maximum(load, 0.0)
    exchange = table[:, EXCHANGE]
    passed = exchange * (1.0 - exchange / max(float(exchange.sum()), 1e-12))
    excess = excess_for_k(load / table[:, RATED], table[:, EXPONENT])
    per_k = np.divide(table[:, EXPONENT] * load, excess, out=np.zeros_like(load), where=excess > 0)
    emitted = per_k / (1.0 + 0.5 * table[:, PER_WATER] * per_k)
    missing = table[:, LOSS] / (table[:, LOSS] + passed + emitted)
    half = 0.5 * rooms.water_difference_k / wanted
    found = []
    for share, flow, part in zip(load / load.sum(), rooms.design_flows_c, missing, strict=True):
        given = settled_kw(float(flow) - warmest_c, half, rooms.rated_kw, bend)
        if share > 0.0:
            found.append(Group(float(share), float(max(given / wanted, 1e-9)), float(part)))
    return sorted(found, key=lambda group: -group.ratio)


def merged(groups: list[Group], most: int) -> list[Group]:
    """No more than `most` groups: those merged whose difference counts least, and those of one ratio always."""
    found = list(groups)
    while len(found) > 1:
        costs = [_cost(one, other) for one, other in pairwise(found)]
        place = int(np.argmin(costs))
        near = found[place].ratio - found[place + 1].ratio < SAME_RATIO * found[place].ratio
        if len(found) <= most and not near:
            break
        found[place : place + 2] = [_together(found[place], found[place + 1])]
    return found


def _cost(one: Group, other: Group) -> float:
    """Most that the house's heat is overstated when two groups are taken as one [-]."""
    slopes = [group.missing * group.share / group.ratio for group in (one, other)]
    return abs(one.ratio - other.ratio) * slopes[0] * slopes[1] / (slopes[0] + slopes[1])


def _together(one: Group, other: Group) -> Group:
    share = one.share + other.share
    lost = one.missing * one.share + other.missing * other.share
    slope = one.missing * one.share / one.ratio + other.missing * other.share / other.ratio
    return Group(share, lost / slope, lost / share)
