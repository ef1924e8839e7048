"""Radiators against EN 442's factors and a root finder; the curve through its design point; the lift by hand."""

from __future__ import annotations

from math import log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from references import Reference
from scipy.optimize import brentq

from simkit.physics.emitters import (
    compensated_flow_c,
    curve_shape,
    curve_share,
    emitter_kw,
    emitter_limit_kw,
    excess_for_k,
    exponent_between,
    first_guess,
    flow_for_c,
    needed_excess_k,
    recovery_lift_k,
    relative_output,
    room_influence_k,
)
from simkit.validation.published import published

pytestmark = pytest.mark.short

EN442, FACTORS = published("en442_correction_factors")
# exponent, mean water over the room at the design load [K], flow less return [K], room warmed by a kW [K/kW]
RADIATORS = [(1.3, x, d, w) for x in (15.0, 20.0, 31.5, 45.0) for d in (5.0, 10.0) for w in (0.0, 0.4, 0.7)]
OTHERS = [
    (1.1, 9.0, 5.0, 0.9),
    (1.0, 20.0, 5.0, 0.7),
    (1.5, 15.0, 5.0, 1.0),
    (1.3, 45.0, 20.0, 0.5),
    (1.3, 10.0, 5.0, 0.5),
]


@pytest.mark.parametrize(
    ("flow", "back", "room", "factor"), [(75, 65, 20, 1), (55, 45, 20, 0.515), (50, 40, 20, 0.406), (45, 35, 20, 0.304)]
)
def test_the_arithmetic_mean_is_the_form_and_the_logarithmic_one_differs(
    flow: float, back: float, room: float, factor: float
) -> None:
    arithmetic = 0.5 * (flow + back) - room
    Reference(factor, f"{EN442}; {flow}/{back}/{room}", 5e-4, "three decimals").check(emitter_kw(1.0, 1.3, arithmetic))
    logarithmic = (flow - back) / log((flow - room) / (back - room))
    assert 0.97 * arithmetic < logarithmic < arithmetic
    if flow == 75:
        Reference(49.833, "own: 10/ln(55/45)", 5e-4, "three decimals").check(logarithmic)


def worst_error(exponent: float, design_k: float, difference: float, warming: float) -> float:
    """Largest relative error of the one step against the root, from 1 % to 250 % of the design load."""
    load = 6.0
    rated, nearer = load / (design_k / 50.0) ** exponent, 0.5 * difference / load + warming
    start = first_guess(design_k, load, nearer)
    errors = []
    for share in np.geomspace(0.01, 2.5, 60).tolist():
        excess = design_k * share ** (1.0 / exponent) + nearer * load * share

        def over(q: float, excess: float = excess) -> float:
            return q - rated * (max(0.0, excess - nearer * q) / 50.0) ** exponent

        root = brentq(over, 0.0, excess / nearer, xtol=1e-14)
        assert root == pytest.approx(load * share, rel=1e-9)  # by construction
        errors.append(abs(emitter_limit_kw(rated, exponent, excess, nearer, start) / root - 1.0))
    return max(errors)


def test_limit_against_the_converged_root() -> None:
    for case in RADIATORS:
        Reference(0.0, f"root of EN 442 with return and room, {case}", 5e-4, "one iteration").check(worst_error(*case))
    for case in OTHERS:
        Reference(0.0, f"root of EN 442 with return and room, {case}", 2e-3, "one iteration").check(worst_error(*case))


def test_limit_of_a_straight_emitter_is_exact_and_none_comes_from_cool_water() -> None:
    """Exponent 1: Q = R·E/50 / (1 + a·R/50)."""
    for excess in (0.1, 5.0, 40.0):
        by_hand = 8.0 * excess / 50.0 / (1.0 + 0.6 * 8.0 / 50.0)
        assert emitter_limit_kw(8.0, 1.0, excess, 0.6, 0.9) == pytest.approx(by_hand, rel=1e-12, abs=0.0)
    assert emitter_limit_kw(8.0, 1.3, 0.0, 0.6, 0.9) == 0.0
    assert emitter_limit_kw(8.0, 1.3, -10.0, 0.6, 0.9) == 0.0


@given(st.floats(0.05, 12.0), st.floats(1.0, 1.5), st.floats(15.0, 23.0), st.floats(0.05, 1.0))
def test_flow_for_is_the_inverse(heat: float, exponent: float, room: float, nearer: float) -> None:
    rated = 6.0 / (25.0 / 50.0) ** exponent
    flow = flow_for_c(heat, 1.0 / rated, 1.0 / exponent, room, nearer)
    excess = flow - room - nearer * heat
    assert emitter_kw(rated, exponent, excess) == pytest.approx(heat, rel=1e-9)


def test_curve_passes_through_its_design_point_and_follows_the_emitter() -> None:
    """At the design outdoor temperature the design flow, at the limit no excess; between, just the load's share."""
    flow, room, difference, load = 55.0, 20.5, 5.0, 6.0
    excess = flow - 0.5 * difference - room
    rated = load / (excess / 50.0) ** 1.3
    share = curve_share(-3.0, 16.0, -3.0)
    assert compensated_flow_c(share, curve_shape(share, 1.3), room, excess, difference) == pytest.approx(
        flow, abs=1e-12
    )
    assert curve_share(16.0, 16.0, -3.0) == curve_share(25.0, 16.0, -3.0) == 0.0
    assert compensated_flow_c(0.0, curve_shape(0.0, 1.3), room, excess, difference) == room
    for outdoor in (-8.0, 0.0, 7.0, 14.0):
        share = curve_share(outdoor, 16.0, -3.0)
        here = compensated_flow_c(share, curve_shape(share, 1.3), room, excess, difference)
        given_off = emitter_limit_kw(rated, 1.3, here - room, 0.5 * difference / load, 0.95)
        assert given_off == pytest.approx(share * load, rel=5e-4)
    # a set-point of two kelvins less is a curve of two kelvins less
    assert compensated_flow_c(0.5, 0.6, 18.5, excess, difference) == pytest.approx(
        compensated_flow_c(0.5, 0.6, 20.5, excess, difference) - 2.0
    )


def test_a_straight_curve_leaves_the_shoulder_season_cool() -> None:
    """Own: the steady room where emitters on a straight line meet a loss that the shaped curve would just meet."""
    room, excess, loss, design = 20.0, 32.5, 0.25, -3.0
    load = loss * (room - design)
    rated = load / (excess / 50.0) ** 1.3
    for outdoor, at_most, at_least in ((-3.0, 0.0, 0.0), (5.0, 1.5, 0.4), (10.0, 1.5, 0.4)):
        share = (room - outdoor) / (room - design)  # no gains, so that the curve is exact
        flow = compensated_flow_c(share, curve_shape(share, 1.0), room, excess, 5.0)

        def short(t: float, flow: float = flow, outdoor: float = outdoor) -> float:
            return emitter_limit_kw(rated, 1.3, flow - t, 2.5 / load, 0.95) - loss * (t - outdoor)

        missing = room - brentq(short, outdoor, room + 5.0)
        assert at_least - 1e-2 <= missing <= at_most + 1e-2, outdoor


def test_lift_grows_with_what_is_missing_and_correction_is_held() -> None:
    found = [recovery_lift_k(missing, 5.0) for missing in (-2.0, 0.5, 1.0, 1.5, 4.0)]
    assert found == pytest.approx([0.0, 0.0, 2.5, 5.0, 5.0])
    assert [room_influence_k(missing, 2.0) for missing in (-9.0, -1.0, 0.5, 9.0)] == pytest.approx([-6, -2, 1, 6])


@given(share=st.floats(1e-4, 3.0), exponent=st.floats(1.0, 1.6))
def test_both_forms_of_the_law_and_of_its_inverse_agree(share: float, exponent: float) -> None:
    """Own: with Python's power, on a float and on an array, and with the one that the kernel inlines."""
    excess = excess_for_k(share, exponent)
    assert needed_excess_k(share, 1.0 / exponent) == pytest.approx(excess, rel=1e-12, abs=0.0)
    assert emitter_kw(1.0, exponent, excess) == pytest.approx(share, rel=1e-12, abs=0.0)
    assert relative_output(excess, exponent) == pytest.approx(share, rel=1e-12, abs=0.0)
    assert relative_output(np.array([excess]), exponent)[0] == pytest.approx(share, rel=1e-12, abs=0.0)
    assert exponent_between(50.0, 1.0, 20.0, relative_output(20.0, exponent)) == pytest.approx(exponent)


def test_no_heat_needs_no_excess() -> None:
    assert needed_excess_k(0.0, 1.0 / 1.3) == 0.0
    assert excess_for_k(0.0, 1.3) == 0.0


def test_a_curve_of_half_a_kelvin_is_still_a_straight_line() -> None:
    assert curve_share(14.75, 15.0, 14.5) == pytest.approx(0.5)
