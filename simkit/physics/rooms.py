"""A room's loss, emitter and neighbours in; the flow it needs, or the temperature it settles at, out.

Every room exchanges heat with one middle of the home (hall, landing, the air that doors let through) at the mean of all
rooms, weighted by that exchange: what one room gives, the others get. Steady state, without gains: the design day.
Temperatures in °C, heat in kW, conductances in kW/K.
"""

from __future__ import annotations

from simkit.physics.constants import SAFE_ROOM_C
from simkit.physics.emitters import emitter_kw, needed_excess_k
from simkit.physics.law import law, pick

FELT_K = 0.5  # own: below this nobody notices
COLD_K = 1.5  # own: beyond this people put something on
UNMET_KWH = 1e-6  # rounding of the cylinder's balance

STEPS = 8  # Newton from the warm side on a rising, convex balance: each step doubles the digits (tested to 1e-9 K)


@law
def room_load_kw(
    room_c: float, outdoor_c: float, middle_c: float, loss_kw_per_k: float, exchange_kw_per_k: float
) -> float:
    """Heat that holds a room at `room_c`: to the outside and to the middle of the home [kW].

    Parameters
    ----------
    room_c
        Temperature to hold [°C].
    outdoor_c
        Outdoor temperature [°C].
    middle_c
        Middle of the home [°C].
    loss_kw_per_k
        Heat loss of the room [kW/K].
    exchange_kw_per_k
        Exchange of the room with the middle [kW/K].
    """
    return loss_kw_per_k * (room_c - outdoor_c) + exchange_kw_per_k * (room_c - middle_c)


@law
def room_flow_c(load_kw: float, rated_kw: float, exponent: float, room_c: float, per_water_kw_per_k: float) -> float:
    """Flow temperature at which the room's emitter gives `load_kw` [°C] (EN 442, arithmetic mean water).

    Parameters
    ----------
    load_kw
        Heat wanted [kW].
    rated_kw
        Output at 50 K [kW].
    exponent
        Exponent n of the emitter [-], 1 to 1.6.
    room_c
        Room [°C].
    per_water_kw_per_k
        1 / flow of water, W [K/kW].
    """
    load = max(load_kw, 0.0)
    return room_c + needed_excess_k(load / rated_kw, 1.0 / exponent) + 0.5 * per_water_kw_per_k * load


@law
def settled_kw(available_k: float, kelvin_per_kw: float, rated_kw: float, exponent: float) -> float:
    """Heat given where each kW takes `kelvin_per_kw` off the excess there was [kW]: Q = R·(x/50)^n, x = x₀ − a·Q.

    Parameters
    ----------
    available_k
        Excess before any heat is given [K].
    kelvin_per_kw
        How far each kW brings mean water and room together [K/kW].
    rated_kw
        Output at 50 K [kW].
    exponent
        Exponent n of the emitter [-], 1 to 1.6.
    """
    excess = max(available_k, 0.0)
    for _ in range(STEPS):
        given = emitter_kw(rated_kw, exponent, excess)
        slope = 1.0 + kelvin_per_kw * exponent * given / max(excess, 1e-9)
        excess = max(excess - (excess + kelvin_per_kw * given - max(available_k, 0.0)) / slope, 0.0)
    return emitter_kw(rated_kw, exponent, excess)


@law
def steady_room_c(
    flow_c: float, outdoor_c: float, middle_c: float, needed_c: float, loss_kw_per_k: float, exchange_kw_per_k: float,
    rated_kw: float, exponent: float, per_water_kw_per_k: float,
) -> float:  # fmt: skip
    """Temperature at which a room settles [°C]: the needed one, its emitter throttled, or less where that is too small.

    U·(T − To) + g·(T − Tm) = R·((F − Q/2W − T)/50)^n. Without its emitter the room settles at the mean of outdoors and
    middle; each kW then warms it by 1/(U + g) and cools the mean water by 1/2W.

    Parameters
    ----------
    flow_c
        Flow temperature [°C].
    outdoor_c
        Outdoor temperature [°C].
    middle_c
        Middle of the home [°C].
    needed_c
        Temperature that the room needs [°C].
    loss_kw_per_k
        Heat loss of the room [kW/K].
    exchange_kw_per_k
        Exchange of the room with the middle [kW/K].
    rated_kw
        Output at 50 K [kW].
    exponent
        Exponent n of the emitter [-], 1 to 1.6.
    per_water_kw_per_k
        1 / flow of water, W [K/kW].
    """
    both = max(loss_kw_per_k + exchange_kw_per_k, 1e-12)
    unheated = (loss_kw_per_k * outdoor_c + exchange_kw_per_k * middle_c) / both
    given = settled_kw(flow_c - unheated, 1.0 / both + 0.5 * per_water_kw_per_k, rated_kw, exponent)
    return min(unheated + given / both, needed_c)


@law
def felt(missing_k: float) -> float:
    """1 where rooms are felt to be cool, `missing_k` below the needed temperature [K]; else 0."""
    return pick(missing_k > FELT_K, 1.0, 0.0)


@law
def cold_so_far_h(missing_k: float, before_h: float, hours: float) -> float:
    """How long the rooms have been more than 1.5 K below the needed temperature without a break [h]."""
    return pick(missing_k > COLD_K, before_h + hours, 0.0)


@law
def unsafe(air_c: float, needed_c: float) -> float:
    """1 where rooms are under 18 °C and more was needed, else 0."""
    return pick((air_c < SAFE_ROOM_C) & (needed_c > SAFE_ROOM_C), 1.0, 0.0)
