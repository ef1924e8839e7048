"""Flow, room and rating in, heat given out; load in, flow needed out; outdoor temperature in, commanded flow out.

EN 442: output = rated × (excess / 50 K)^n with the excess of the mean water over the room; the mean is arithmetic (the
form EN 442-2 rates with at 75/65/20 °C). Temperatures in °C, heat in kW.
"""

from __future__ import annotations

from math import log

from simkit.physics.law import clamp, law, pick, power

RATED_EXCESS_K = 50.0  # EN 442-2: 75/65/20 °C, arithmetic mean
RECOVERY_BAND_K = 0.5  # own: a room further than this below its set-point counts as being driven back up


@law
def emitter_kw(rated_kw: float, exponent: float, excess_k: float) -> float:
    """Heat given at a mean water temperature `excess_k` above the room [kW] (EN 442-2)."""
    return pick(excess_k > 0.0, rated_kw * power(excess_k * (1.0 / RATED_EXCESS_K), exponent), 0.0)


def logarithmic_excess_k(flow_c: float, return_c: float, room_c: float) -> float:
    """Logarithmic mean excess of the water over the room [K]: the other form, lower than the arithmetic one.

    Zero where the water comes back no warmer than the room.
    """
    hot, cool = flow_c - room_c, return_c - room_c
    if cool <= 0.0 or hot <= 0.0:
        return 0.0
    return hot if abs(hot - cool) < 1e-9 else (hot - cool) / log(hot / cool)


@law
def emitter_limit_kw(
    rated_kw: float, exponent: float, flow_c: float, room_c: float, per_water_kw_per_k: float, water_difference_k: float
) -> float:
    """Most heat the emitters give at this flow [kW], the return following from the heat and the water flow.

    Solves Q = R·((F − Q/(2W) − T)/50)^n by one Newton step from the output at the design water difference; against the
    converged root the error is under 0.2 % for water differences up to twice the design one (tested).
    """
    excess = flow_c - 0.5 * water_difference_k - room_c
    first = emitter_kw(rated_kw, exponent, excess)
    slope = exponent * first / max(excess, 1e-6)
    per_water = 0.5 * per_water_kw_per_k
    error = first * per_water - 0.5 * water_difference_k
    return max(0.0, first - error * slope / (1.0 + slope * per_water))


@law
def flow_for_c(
    heat_kw: float, per_rated_kw: float, inverse_exponent: float, room_c: float, per_water_kw_per_k: float
) -> float:
    """Least flow temperature at which the emitters give `heat_kw` to a room at `room_c` [°C]; exponent given as 1/n."""
    share = heat_kw * per_rated_kw
    excess = pick(share > 0.0, RATED_EXCESS_K * power(share, inverse_exponent), 0.0)
    return room_c + excess + 0.5 * heat_kw * per_water_kw_per_k


@law
def curve_share(outdoor_c: float, no_heat_c: float, design_outdoor_c: float) -> float:
    """Share of the design load that the controller infers from outdoors [-]: 0 at `no_heat_c`, 1 at the design point."""
    return max(0.0, (no_heat_c - outdoor_c) / max(no_heat_c - design_outdoor_c, 1e-6))


@law
def curve_shape(share: float, exponent: float) -> float:
    """Bend of a compensated curve that follows the emitters: share^(1/n) [-]; exponent 1 gives the straight curve."""
    return pick(share > 0.0, power(share, 1.0 / exponent), 0.0)


@law
def compensated_flow_c(
    share: float, shape: float, design_flow_c: float, design_room_c: float, water_difference_k: float
) -> float:
    """Flow on the compensated curve before floor and ceiling [°C]: mean water by the shape, flow by the load."""
    mean_excess = design_flow_c - 0.5 * water_difference_k - design_room_c
    return design_room_c + mean_excess * shape + 0.5 * water_difference_k * share


@law
def held_flow_c(flow_c: float, lift_k: float, floor_c: float, ceiling_c: float) -> float:
    """Commanded flow with a recovery lift, between the controller's floor and ceiling [°C]."""
    return clamp(flow_c + lift_k, floor_c, ceiling_c)
