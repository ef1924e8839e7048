"""Flow, room and rating in, heat given out; load in, flow needed out; outdoor temperature in, commanded flow out.

EN 442: output = rated × (excess / 50 K)^n with the excess of the mean water over the room; the mean is arithmetic (the
form EN 442-2 rates with at 75/65/20 °C). Temperatures in °C, heat in kW.

The law stands twice, one form beside the other: by `power` for compiled code, and by Python's own power
(`relative_output`, `excess_for_k`) for single numbers and arrays outside it. They agree to 2e-14 (tested).
"""

from __future__ import annotations

from math import log
from typing import Any, NamedTuple

from simkit.physics.constants import RATED_EXCESS_K
from simkit.physics.law import Value, clamp, law, pick, power

RECOVERY_BAND_K = 0.5  # own: a room no further than this below its set-point counts as held
MOST_ERROR_K = 3.0  # own: a room further off is no error of the curve
RECOVERY_RAMP_K = 1.0  # own: from there the lift grows over so many kelvins; a switch would chatter from step to step
ROOM_LINES = 5  # own: four groups of rooms that fall short together, and the line of none


@law
def emitter_kw(rated_kw: float, exponent: float, excess_k: float) -> float:
    """Heat given at a mean water temperature `excess_k` above the room [kW] (EN 442-2).

    Parameters
    ----------
    rated_kw
        Output at 50 K [kW].
    exponent
        Exponent n of the emitter [-], 1 to 1.6.
    excess_k
        Mean water over the room [K].
    """
    return pick(excess_k > 0.0, rated_kw * power(excess_k * (1.0 / RATED_EXCESS_K), exponent), 0.0)


@law
def needed_excess_k(relative: float, inverse_exponent: float) -> float:
    """Excess of the mean water at which an emitter gives this share of its rating [K]: 50 · share^(1/n).

    Parameters
    ----------
    relative
        Output over the rating [-].
    inverse_exponent
        1/n [-].
    """
    return pick(relative > 0.0, RATED_EXCESS_K * power(relative, inverse_exponent), 0.0)


def relative_output(excess_k: Value, exponent: Any) -> Value:
    """Output over the rating: (excess / 50 K)^n [-] (EN 442-2).

    Parameters
    ----------
    excess_k
        Mean water over the room [K], 0 or more: a float, or an array of any shape.
    exponent
        Exponent n of the emitter [-]: a float, or an array of the same shape.
    """
    output: Value = (excess_k / RATED_EXCESS_K) ** exponent
    return output


def excess_for_k(relative: Value, exponent: Any) -> Value:
    """Excess of the mean water at which an emitter gives this share of its rating [K]: 50 · share^(1/n).

    Parameters
    ----------
    relative
        Output over the rating [-], 0 or more: a float, or an array of any shape.
    exponent
        Exponent n of the emitter [-]: a float, or an array of the same shape.
    """
    excess: Value = RATED_EXCESS_K * relative ** (1.0 / exponent)
    return excess


def exponent_between(high_k: float, high_kw: float, low_k: float, low_kw: float) -> float:
    """Exponent of the law that gives two outputs at two excesses of the mean water [-].

    Parameters
    ----------
    high_k
        The greater excess of the mean water [K].
    high_kw
        Output there [kW].
    low_k
        The smaller excess [K].
    low_kw
        Output there [kW].
    """
    return log(high_kw / low_kw) / log(high_k / low_k)


@law
def emitter_limit_kw(
    rated_kw: float, exponent: float, excess_k: float, kelvin_per_kw: float, first_share: float
) -> float:
    """Most heat the emitters give [kW] when each kW brings mean water and room `kelvin_per_kw` nearer to each other.

    `excess_k` is flow over room before any heat is given [K]. Solves Q = R·(x/50)^n with x = E − a·Q: the water cools
    by Q/2W on its way (arithmetic mean) and the room warms. One step of third order (Newton's, with Chebyshev's
    correction for the curvature) from x = `first_share`·E. Against the converged root the error is under 0.05 % for
    radiators with 5 K to 10 K between flow and return, and under 0.2 % for all emitters, at every load from 1 % of the
    design load up (tested).

    Parameters
    ----------
    first_share
        Mean water over flow, both above the room, where the iteration starts (`first_guess`) [-].
    """
    start = first_share * excess_k
    out = emitter_kw(rated_kw, exponent, start)
    per_x = 1.0 / max(start + kelvin_per_kw * exponent * out, 1e-9)
    bend = exponent * (exponent - 1.0)
    move = (excess_k - start - kelvin_per_kw * out) * per_x  # relative to where it started
    move = move - 0.5 * kelvin_per_kw * bend * out * per_x * move * move
    return max(0.0, out * (1.0 + exponent * move + 0.5 * bend * move * move))


class Lines(NamedTuple):
    """One value for each line of `uneven_limit_kw` [-]."""

    line_0: float
    line_1: float
    line_2: float
    line_3: float
    line_4: float


@law
def uneven_limit_kw(limit_kw: float, even_kw: float, shares: Lines, slopes: Lines) -> float:
    """Most heat that the emitters of single rooms give together [kW], when some rooms can take no more than they get.

    Of the heat `even_kw` that would hold every room, room i wants the share s_i; of the most heat `limit_kw` that all
    emitters give, its own gives the share λ_i. It gets the lesser of the two: Σ min(s_i·w, λ_i·L). With the rooms put
    in order of s_i/λ_i that is the least of a few lines a·w + b·L, one for each number of rooms that are short: a the
    shares of those that are not, b the slopes of those that are. The last line, no room short, is what is wanted, and
    is left to the caller, who may want more than `even_kw` to warm up rooms that were short. A house without rooms
    has the line L alone (own).

    Parameters
    ----------
    limit_kw
        Most heat that all emitters give [kW].
    even_kw
        Heat that would hold every room [kW].
    shares
        Factor of `even_kw` in each line [-].
    slopes
        Factor of `limit_kw` in each line [-].
    """
    return min(
        shares.line_0 * even_kw + slopes.line_0 * limit_kw, shares.line_1 * even_kw + slopes.line_1 * limit_kw,
        shares.line_2 * even_kw + slopes.line_2 * limit_kw, shares.line_3 * even_kw + slopes.line_3 * limit_kw,
        shares.line_4 * even_kw + slopes.line_4 * limit_kw, limit_kw,
    )  # fmt: skip


def first_guess(design_excess_k: float, design_kw: float, kelvin_per_kw: float) -> float:
    """Where `emitter_limit_kw` starts: between the share at the design load and that at none, which is 1 [-].

    Parameters
    ----------
    design_excess_k
        Mean water over the room at the design load [K].
    design_kw
        Design load [kW].
    kelvin_per_kw
        How far each kW brings mean water and room together [K/kW].
    """
    return 0.3 + 0.7 * design_excess_k / (design_excess_k + kelvin_per_kw * design_kw)


@law
def flow_for_c(
    heat_kw: float, per_rated_kw: float, inverse_exponent: float, room_c: float, kelvin_per_kw: float
) -> float:
    """Least flow temperature at which the emitters give `heat_kw` [°C]: the inverse of `emitter_limit_kw`.

    `room_c` is the room before any heat is given, the exponent is given as 1/n.

    Parameters
    ----------
    heat_kw
        Heat wanted [kW].
    per_rated_kw
        1 / output at 50 K [1/kW].
    inverse_exponent
        1/n [-].
    room_c
        Room before any heat is given [°C].
    kelvin_per_kw
        How far each kW brings mean water and room together [K/kW].
    """
    return room_c + needed_excess_k(heat_kw * per_rated_kw, inverse_exponent) + kelvin_per_kw * heat_kw


@law
def curve_share(outdoor_c: float, heating_limit_c: float, design_outdoor_c: float) -> float:
    """Share of the design load that the controller infers [-]: 0 at `heating_limit_c` outdoors, 1 at the design.

    Parameters
    ----------
    outdoor_c
        Outdoor temperature [°C].
    heating_limit_c
        Outdoor temperature at which no heat is needed [°C].
    design_outdoor_c
        Design outdoor temperature [°C].
    """
    return max(0.0, (heating_limit_c - outdoor_c) / max(heating_limit_c - design_outdoor_c, 1e-6))


@law
def curve_shape(share: float, exponent: float) -> float:
    """Bend of a compensated curve that follows the emitters: share^(1/n) [-]; exponent 1 gives the straight curve.

    Parameters
    ----------
    share
        Share of the design load [0 to 1].
    exponent
        Exponent n of the emitters [-].
    """
    return pick(share > 0.0, power(share, 1.0 / exponent), 0.0)


@law
def compensated_flow_c(
    share: float, shape: float, set_point_c: float, design_excess_k: float, water_difference_k: float
) -> float:
    """Flow on the compensated curve before lift, floor and ceiling [°C]: mean water by the shape, flow by the load.

    `design_excess_k` is the mean water over the room at the design point. The curve moves with the set-point, kelvin
    for kelvin, as controllers shift it: it passes through the design flow where the set-point is the design room.

    Parameters
    ----------
    share
        Share of the design load [0 to 1].
    shape
        Bend of the curve, `curve_shape` [-].
    set_point_c
        Set-point of the room [°C].
    design_excess_k
        Mean water over the room at the design point [K].
    water_difference_k
        Flow less return at the design load [K].
    """
    return set_point_c + design_excess_k * shape + 0.5 * water_difference_k * share


@law
def recovery_lift_k(missing_k: float, whole_lift_k: float) -> float:
    """Lift of the flow while a room `missing_k` below its set-point is driven back up [K] (see the constants above).

    Parameters
    ----------
    missing_k
        Set-point less room [K].
    whole_lift_k
        Lift once the room is well below [K].
    """
    return whole_lift_k * clamp((missing_k - RECOVERY_BAND_K) * (1.0 / RECOVERY_RAMP_K), 0.0, 1.0)


@law
def room_influence_k(missing_k: float, per_kelvin: float) -> float:
    """Change of the flow for a room `missing_k` below (or above) its set-point [K], the error counted within 3 K.

    Parameters
    ----------
    missing_k
        Set-point less room [K].
    per_kelvin
        Change of the flow for each kelvin of error [K/K].
    """
    return per_kelvin * clamp(missing_k, -MOST_ERROR_K, MOST_ERROR_K)
