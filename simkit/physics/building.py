"""Conductances and capacities in, the exact response of a two-node house over one step out.

Air with furnishings is one node, the fabric the other. Ventilation and glazing join the air to the outside, the opaque
envelope joins the fabric to it, and the two nodes are coupled through the inner surfaces. The house is linear, so the
state after a step, and the mean over it, follow exactly from the state before and inputs held over the step.

Source of the couplings and capacities: EN ISO 13790:2008 (Table 12 and Annex C; h_is 3.45, h_ms 9.1 W/m²K, Λat 4.5 from
memory). Units here: kW, kW/K, kWh/K, h, °C.
"""

from __future__ import annotations

from math import exp, expm1, sqrt
from typing import NamedTuple

from simkit.physics.law import law

H_IS_W_PER_M2K = 3.45  # EN ISO 13790:2008 7.2.2.2, from memory
H_MS_W_PER_M2K = 9.1  # EN ISO 13790:2008 12.2.2, from memory
INNER_AREA_PER_FLOOR_AREA = 4.5  # Λat, EN ISO 13790:2008 7.2.2.2, from memory
# class: (Am per floor area, J/(m²K) of floor area); EN ISO 13790:2008 Table 12
THERMAL_MASS = {  # Am [m²/m²], capacity [J/(m²K)]
    "very light": (2.5, 80_000.0),
    "light": (2.5, 110_000.0),
    "medium": (2.5, 165_000.0),
    "heavy": (3.0, 260_000.0),
    "very heavy": (3.5, 370_000.0),
}
AIR_AND_FURNISHINGS_J_PER_M2K = 10_000.0  # EN ISO 52016-1:2017 6.5.11, from memory
# What of the class's capacity moves with the air within the hour: the first centimetre of plaster and boards on some
# 4.5 m² of lining per m² of floor holds about twice this (own). Left on the fabric node, a room would lose two kelvin
# in the hour that a cylinder takes, which rooms don't.
QUICK_LINING_J_PER_M2K = 20_000.0
AIR_KWH_PER_M3K = 1.2 / 3600.0  # volumetric heat capacity of air 1.2 kJ/(m³K): the 1/3·n·V rule
# Own: of the coupling, what a home as stated must leave over, so that samples of it that lose more are still laws; and
# what is left over at least, so that every balance closes to rounding whatever is asked for.
REST, LEAST_REST, TINY_SHARE = 0.25, 0.02, 1e-6
# Where gains land: EN ISO 13790 Annex C puts half of the internal gains on the air and spreads the rest, and all of the
# sun, over surfaces and mass by area; folding its surface node into ours gives these shares for Am/At = 0.56 (own
# derivation from that annex).
INTERNAL_GAIN_TO_AIR = 0.6  # share on the air [-]
SOLAR_GAIN_TO_AIR = 0.2  # share on the air [-]


class Response(NamedTuple):
    """Exact response over one step: ``end_*`` at its end, ``mean_*`` its mean; a air, f fabric, o outdoor, q heat.

    ``end_af`` is what one kelvin of fabric at the start adds to the air at the end [-]; ``end_aqf`` what one kW into
    the fabric over the step adds to the air [K/kW].
    """

    end_aa: float
    end_af: float
    end_ao: float
    end_aqa: float
    end_aqf: float
    end_fa: float
    end_ff: float
    end_fo: float
    end_fqa: float
    end_fqf: float
    mean_aa: float
    mean_af: float
    mean_ao: float
    mean_aqa: float
    mean_aqf: float
    mean_fa: float
    mean_ff: float
    mean_fo: float
    mean_fqa: float
    mean_fqf: float


@law
def coupling_kw_per_k(floor_area_m2: float, mass_area_per_floor: float) -> float:
    """Air to fabric through the surface film: h_is·Λat·A in series with h_ms·Am (EN ISO 13790 Annex C) [kW/K].

    Parameters
    ----------
    floor_area_m2
        Heated floor area [m²].
    mass_area_per_floor
        Effective mass area Am by floor area [-], EN ISO 13790:2008 Table 12.
    """
    film = H_IS_W_PER_M2K * INNER_AREA_PER_FLOOR_AREA * floor_area_m2
    mass = H_MS_W_PER_M2K * mass_area_per_floor * floor_area_m2
    return 1e-3 * film * mass / (film + mass)


@law
def fabric_to_outside_kw_per_k(
    loss_kw_per_k: float, air_side_kw_per_k: float, coupling: float, mass_share: float
) -> float:
    """Return the fabric-to-outside conductance that makes the steady heat per kelvin the stated loss [kW/K].

    With the share s of the emitters' heat going to the fabric, the steady balance of both nodes gives
    H_me = H_f·H_am / (H_am + s·H − H_f) with H_f = H − H_v (derived in tests/physics/test_building.py). Putting the
    couplings in plain series instead loses 4 to 8 % of a loss of 200 W/K in 100 m² with radiators (tested).

    Parameters
    ----------
    loss_kw_per_k
        Heat loss [kW/K].
    air_side_kw_per_k
        Air to outside: ventilation and glazing [kW/K].
    coupling
        Air to fabric [kW/K].
    mass_share
        Share of the emitters' heat that goes to the fabric [0 to 1].
    """
    fabric = loss_kw_per_k - air_side_kw_per_k
    return fabric * coupling / max(coupling + mass_share * loss_kw_per_k - fabric, LEAST_REST * coupling)


@law
def most_loss_kw_per_k(coupling: float, air_side_share: float, mass_share: float) -> float:
    """Heat loss that the inner surfaces can just pass on [kW/K]: H at which a `REST` of the coupling is left over.

    Towards H = H_am / (1 − a − s), a the share of the air side, `fabric_to_outside_kw_per_k` grows without bounds: no
    wall loses more than its inner surface takes from the air.

    Parameters
    ----------
    coupling
        Air to fabric [kW/K].
    air_side_share
        Share of the loss by ventilation and glazing [0 to 1].
    mass_share
        Share of the emitters' heat that goes to the fabric [0 to 1].
    """
    return (1.0 - REST) * coupling / max(1.0 - air_side_share - mass_share, TINY_SHARE)


def response(
    air_side: float, coupling: float, fabric_side: float, air_kwh_per_k: float, fabric_kwh_per_k: float, hours: float
) -> Response:
    """Return the exact step response of the two nodes (eigenvalues of the symmetric form of the state matrix).

    Parameters
    ----------
    air_side, coupling, fabric_side
        Air to outside, air to fabric, fabric to outside [kW/K], all above 0 (the coupling strictly).
    air_kwh_per_k, fabric_kwh_per_k
        Capacities [kWh/K], above 0.
    hours
        Length of the step [h].
    """
    ca, cf = air_kwh_per_k, fabric_kwh_per_k
    aa, ff = -(air_side + coupling) / ca, -(coupling + fabric_side) / cf
    off = coupling / sqrt(ca * cf)  # the state matrix made symmetric by scaling the nodes with √C
    middle, half = 0.5 * (aa + ff), sqrt(0.25 * (aa - ff) ** 2 + off * off)
    fast, slow = middle - half, middle + half
    # projectors of the symmetric matrix: S = fast·P + slow·(1 − P)
    p_aa = (slow - aa) / (slow - fast)
    p_ff = (slow - ff) / (slow - fast)
    p_af = -off / (slow - fast)
    scale = sqrt(cf / ca)

    def matrix(at_fast: float, at_slow: float) -> tuple[float, float, float, float]:
        """A function of the state matrix from its values at the eigenvalues: rows air and fabric."""
        d = at_fast - at_slow
        return at_slow + d * p_aa, d * p_af * scale, d * p_af / scale, at_slow + d * p_ff

    e = matrix(exp(fast * hours), exp(slow * hours))
    once = matrix(_integral(fast, hours), _integral(slow, hours))
    twice = matrix(_double_integral(fast, hours), _double_integral(slow, hours))
    mean = tuple(value / hours for value in once)
    return Response(
        *_row(e[0], e[1], once[0], once[1], air_side, fabric_side, ca, cf),
        *_row(e[2], e[3], once[2], once[3], air_side, fabric_side, ca, cf),
        *_row(mean[0], mean[1], twice[0] / hours, twice[1] / hours, air_side, fabric_side, ca, cf),
        *_row(mean[2], mean[3], twice[2] / hours, twice[3] / hours, air_side, fabric_side, ca, cf),
    )


def _row(
    a: float, f: float, ia: float, jf: float, air_side: float, fabric_side: float, ca: float, cf: float
) -> tuple[float, float, float, float, float]:
    """One node's response to air, fabric, outdoor, heat into the air, heat into the fabric."""
    return a, f, ia * air_side / ca + jf * fabric_side / cf, ia / ca, jf / cf


def _integral(rate: float, hours: float) -> float:
    """∫ exp(rate·t) dt over the step [h]; a series near zero, where the quotient cancels."""
    z = rate * hours
    if abs(z) < 1e-3:
        return hours * (1.0 + z / 2.0 * (1.0 + z / 3.0 * (1.0 + z / 4.0 * (1.0 + z / 5.0))))
    return expm1(z) / rate


def _double_integral(rate: float, hours: float) -> float:
    """∫∫ exp(rate·s) ds dt over the step [h²]; a series where the quotient cancels."""
    z = rate * hours
    if abs(z) < 0.05:
        return (
            hours
            * hours
            * 0.5
            * (1.0 + z / 3.0 * (1.0 + z / 4.0 * (1.0 + z / 5.0 * (1.0 + z / 6.0 * (1.0 + z / 7.0 * (1.0 + z / 8.0))))))
        )
    return (expm1(z) - z) / (rate * rate)
