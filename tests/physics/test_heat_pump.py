"""The machine's laws: Carnot, cycling, knots, frost; no machine beats Carnot."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from references import Reference

from simkit.assemble.machine import BELOW_POINTS, LEVEL_FROM_K, rise_below
from simkit.physics.heat_pump import (
    Lift,
    carnot,
    cycling_factor,
    defrost_factor,
    electricity_per_heat,
    held_efficiency,
    part_load_factor,
    reference_cop,
    reference_cops,
    working_cop,
)
from simkit.physics.running import Places, along_segment, between_knots

pytestmark = pytest.mark.short

share = st.floats(0.0, 1.5)
ALONE = Lift(15.0, 15.0, 35.0, 0.0, 0.0)  # Carnot from the least lift up
TESTED = Lift(15.0, 28.0, 35.0, *rise_below(28.0, *BELOW_POINTS))  # coolest and warmest point A7/W35


def test_lift_is_floored() -> None:
    assert reference_cop(30.0, 25.0, ALONE) == pytest.approx(313.15 / 15.0), "as if the water were at 40 °C"
    for lift in (ALONE, TESTED):
        assert reference_cop(25.0, 25.0, lift) == reference_cop(30.0, 25.0, lift) == reference_cop(40.0, 25.0, lift)


@pytest.mark.parametrize(("source", "flow"), [(20.0, 35.0), (7.0, 22.0), (13.0, 28.0)])
def test_below_the_least_tested_lift_cop_rises_as_published_regressions_do(source: float, flow: float) -> None:
    """From 28 to 15 K, by whichever of the two temperatures, held below; Carnot's own rise would be 28 / 15 = 1.87.

    Staffell et al. 2012 (COP = 6.81 − 0.121·ΔT + 0.00063·ΔT²): 5.137 / 3.916 = 1.312; Ruhnau et al. 2019 (6.08 −
    0.0941·ΔT + 0.000464·ΔT²): 4.773 / 3.809 = 1.253.
    """
    held = working_cop(0.4, 35.0, 7.0, TESTED, 1.0, 1.0)
    source_of = "Staffell 2012 doi 10.1039/C2EE22653G and Ruhnau 2019 doi 10.1038/s41597-019-0199-y, mean of both"
    Reference(1.2825, source_of, 2e-4, "by hand").check(working_cop(0.4, flow, source, TESTED, 1.0, 1.0) / held)
    lower = working_cop(0.4, flow - 5.0, source, TESTED, 1.0, 1.0)
    assert lower == pytest.approx(working_cop(0.4, flow, source, TESTED, 1.0, 1.0), rel=1e-12, abs=0.0)


def test_from_the_least_tested_lift_up_nothing_but_carnot_counts() -> None:
    for source, flow in ((7.0, 35.0), (2.0, 35.0), (-7.0, 55.0), (-7.0, 22.0)):
        assert reference_cop(flow, source, TESTED) == pytest.approx(carnot(flow, flow - source), rel=1e-14, abs=0.0)


@given(
    st.floats(10.0, 85.0), st.floats(-35.0, 40.0), st.floats(5.0, LEVEL_FROM_K), st.floats(20.0, 60.0),
)  # fmt: skip
def test_series_have_the_reference_of_single_numbers(flow: float, source: float, tested: float, coolest: float) -> None:
    lift = Lift(min(15.0, tested), tested, coolest, *rise_below(tested, *BELOW_POINTS))
    many = reference_cops(np.full(3, flow), source, lift)
    np.testing.assert_allclose(many, reference_cop(flow, source, lift), rtol=4e-16)


@given(st.floats(10.0, 84.0), st.floats(-35.0, 40.0), st.floats(5.0, LEVEL_FROM_K), st.floats(20.0, 60.0))
def test_at_one_efficiency_a_lower_flow_never_lowers_cop(
    flow: float, source: float, tested: float, coolest: float
) -> None:
    lift = Lift(min(15.0, tested), tested, coolest, *rise_below(tested, *BELOW_POINTS))
    assert reference_cop(flow + 0.1, source, lift) <= reference_cop(flow, source, lift) * (1.0 + 1e-12)


def test_cycling_closed_form() -> None:
    """EN 14825 for water-based units (formula from memory, corroborated): COP·CR/(Cd·CR + 1 − Cd)."""
    source = "own: CR/(0.9·CR + 0.1), by hand"
    for ratio, factor in ((1.0, 1.0), (0.5, 0.5 / 0.55), (0.2, 0.2 / 0.28), (0.1, 0.1 / 0.19)):
        Reference(factor, source, 1e-12, "arithmetic").check(cycling_factor(ratio, 0.9))
    assert cycling_factor(3.0, 0.9) == pytest.approx(1.0)  # above the least output nothing cycles
    assert cycling_factor(0.3, 1.0) == pytest.approx(1.0)  # Cd 1: no loss
    assert 0.0 < cycling_factor(0.0, 0.9) < 1e-4


def test_a_constant_cop_returns_itself() -> None:
    """At or above the least output, whatever the load: heat over electricity is the COP."""
    heat = np.array([0.5, 1.0, 3.0, 7.0])
    used = sum(
        q * electricity_per_heat(0.4, 35.0, 2.0, ALONE, 0.3 * r, 0.3, 0.9)
        for q, r in zip(heat, (1.0, 1.2, 2.0, 3.0), strict=True)
    )
    assert heat.sum() / used == pytest.approx(0.4 * carnot(35.0, 33.0), rel=1e-13, abs=0.0)


@given(
    st.floats(0.05, 1.2),
    st.floats(20.0, 80.0),
    st.floats(-30.0, 40.0),
    st.floats(3.0, 15.0),
    st.floats(15.0, LEVEL_FROM_K),
    share,
    st.floats(0.05, 1.0),
    st.floats(0.5, 1.0),
)
def test_one_quotient_is_the_product_of_the_laws(
    efficiency: float,
    flow: float,
    source: float,
    least: float,
    tested: float,
    ratio: float,
    minimum_modulation: float,
    cycling_degradation: float,
) -> None:
    lift = Lift(least, tested, 35.0, *rise_below(tested, *BELOW_POINTS))
    cop = working_cop(efficiency, flow, source, lift, 1.1, 1.05) * cycling_factor(ratio, cycling_degradation)
    held = held_efficiency(efficiency, 1.1, 1.05)
    per_heat = electricity_per_heat(
        held, flow, source, lift, ratio * minimum_modulation, minimum_modulation, cycling_degradation
    )
    assert per_heat * cop == pytest.approx(1.0, rel=1e-12, abs=0.0)


def test_what_a_cycling_machine_takes_stays_between_its_ends() -> None:
    """COP falls under 1 as the load falls to nothing, its electricity does not grow for it: (1 − Cd)·Lmin/COP is left.

    By hand from EN 14825 (formula from memory): L/(COP·f) = (Cd·L + (1 − Cd)·Lmin)/COP, straight in the load.
    """
    whole = electricity_per_heat(0.4, 35.0, 7.0, ALONE, 0.3, 0.3, 0.9)
    taken = [load * electricity_per_heat(0.4, 35.0, 7.0, ALONE, load, 0.3, 0.9) for load in (1e-5, 0.1, 0.2, 0.3)]
    by_hand = [whole * (0.9 * load + 0.1 * 0.3) for load in (1e-5, 0.1, 0.2, 0.3)]
    np.testing.assert_allclose(taken, by_hand, rtol=1e-12)
    assert (np.diff(taken) > 0).all()
    assert 1.0 / electricity_per_heat(0.4, 35.0, 7.0, ALONE, 0.001, 0.3, 0.9) < 1.0  # the COP of such an hour


@given(
    st.floats(0.0, 5.0), st.floats(0.5, 1.5), st.floats(0.5, 2.0), st.floats(20.0, 80.0), st.floats(-30.0, 40.0),
    st.floats(15.0, LEVEL_FROM_K), st.floats(20.0, 60.0),
)  # fmt: skip
def test_nothing_beats_carnot(
    efficiency: float, scale: float, part: float, flow: float, source: float, tested: float, coolest: float
) -> None:
    """Points at any lift, and the coolest of them at any flow."""
    cop = working_cop(efficiency, flow, source, ALONE, scale, part)
    assert cop <= 0.95 * (max(flow, source + 15.0) + 273.15) / max(flow - source, 15.0) + 1e-9
    cop = working_cop(
        efficiency, flow, source, Lift(15.0, tested, coolest, *rise_below(tested, *BELOW_POINTS)), scale, part
    )
    assert cop <= (max(flow, source + 15.0) + 273.15) / max(flow - source, 15.0)
    if flow > source:
        assert cop <= (flow + 273.15) / (flow - source)


@given(
    st.lists(st.floats(20.0, 70.0), min_size=5, max_size=5, unique=True),
    st.lists(st.floats(0.0, 9.0), min_size=5, max_size=5),
    st.floats(10.0, 80.0),
)
def test_between_knots_is_straight_and_held_outside(knots: list[float], values: list[float], flow: float) -> None:
    at = sorted(knots)
    spans = [1.0 / (b - a) for a, b in pairwise(at)]
    places = Places(*(along_segment(flow, a, per) for a, per in zip(at, spans, strict=False)))
    assert between_knots(places, *values) == pytest.approx(float(np.interp(flow, at, values)), abs=1e-9)


def test_repeated_knots_hold_the_last_value() -> None:
    places = Places(along_segment(60.0, 35.0, 1 / 20.0), *(along_segment(60.0, 55.0, 0.0) for _ in range(3)))
    assert between_knots(places, 4.0, 3.0, 3.0, 3.0, 3.0) == 3.0


def test_part_load_by_hand() -> None:
    assert part_load_factor(0.5, 0.3, 0.2) == pytest.approx(1.1)
    assert part_load_factor(0.1, 0.3, 0.2) == pytest.approx(1.14)  # the machine goes no lower than 0.3
    assert part_load_factor(1.4, 0.3, 0.2) == 1.0


def test_frost_is_deepest_a_little_above_freezing_in_damp_air() -> None:
    assert defrost_factor(1.0, 1.0, 0.16) == pytest.approx(0.84)
    assert [defrost_factor(t, 1.0, 0.16) for t in (-9.0, -15.0, 7.0, 20.0)] == [1.0] * 4
    assert defrost_factor(1.0, 0.6, 0.16) == defrost_factor(1.0, 0.3, 0.16) == 1.0
    outdoor = np.linspace(-9.0, 7.0, 161)
    assert outdoor[int(np.argmin([defrost_factor(t, 0.9, 0.16) for t in outdoor.tolist()]))] == pytest.approx(1.0)
