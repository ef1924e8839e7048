"""The two-node house against closed forms, a zero-order hold, a fine solution of its equations and its own energy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from references import Reference
from scipy.signal import cont2discrete

from simkit.physics import building
from simkit.physics.building import (
    AIR_KWH_PER_M3K,
    THERMAL_MASS,
    Response,
    coupling_kw_per_k,
    fabric_to_outside_kw_per_k,
    response,
)

pytestmark = pytest.mark.short

AREA_M2 = 100.0
conductance = st.floats(0.01, 3.0)


def coupled(response: Response) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """End and mean as matrices: by the nodes at the start, and by outdoor, heat to air, heat to fabric."""
    r = np.array(response).reshape(4, 5)
    return r[:2, :2], r[:2, 2:], r[2:, :2], r[2:, 2:]


def rates(air_side: float, coupling: float, fabric_side: float, ca: float, cf: float) -> tuple[np.ndarray, np.ndarray]:
    """The equations themselves, dT/dt = A·T + B·(outdoor, heat to air, heat to fabric) [1/h]."""
    a = np.array([[-(air_side + coupling) / ca, coupling / ca], [coupling / cf, -(coupling + fabric_side) / cf]])
    b = np.array([[air_side / ca, 1.0 / ca, 0.0], [fabric_side / cf, 0.0, 1.0 / cf]])
    return a, b


@given(
    conductance, st.floats(0.05, 20.0), conductance, st.floats(0.05, 5.0), st.floats(0.2, 60.0), st.floats(0.25, 2.0)
)
def test_energy_closes_over_any_step(  # heat in less heat out by the means is what the nodes took up
    air_side: float, coupling: float, fabric_side: float, ca: float, cf: float, hours: float
) -> None:
    r = response(air_side, coupling, fabric_side, ca, cf, hours)
    end_state, end_input, mean_state, mean_input = coupled(r)
    start, held = np.array([21.0, 17.0]), np.array([-5.0, 3.0, 2.0])
    end, mean = end_state @ start + end_input @ held, mean_state @ start + mean_input @ held
    lost = air_side * (mean[0] - held[0]) + fabric_side * (mean[1] - held[0])
    took = np.array([ca, cf]) @ (end - start)
    assert took == pytest.approx(hours * (held[1] + held[2] - lost), abs=1e-8)
    assert np.all(end_state >= -1e-12)  # warmer before is never cooler after


@pytest.mark.parametrize("name", THERMAL_MASS)
@pytest.mark.parametrize("to_fabric", [0.0, 0.05, 0.3, 0.6, 1.0])
@pytest.mark.parametrize("air_share", [0.1, 0.35, 0.6])
def test_stated_loss_is_the_steady_heat_per_kelvin(name: str, to_fabric: float, air_share: float) -> None:
    """Whatever the class and the share of the emitters' heat to the fabric.

    Own derivation. Steady, one kelvin of air over the outside: (1 − s)·H = H_v + H_am·(1 − f) and
    s·H = H_me·f − H_am·(1 − f), f the fabric's kelvins. The first gives 1 − f = ((1 − s)·H − H_v)/H_am; put into
    the second, H_me = (H − H_v)/f, which with H_f = H − H_v is H_f·H_am/(H_am + s·H − H_f).
    """
    loss = 0.2
    coupling = coupling_kw_per_k(AREA_M2, THERMAL_MASS[name][0])
    fabric_side = fabric_to_outside_kw_per_k(loss, air_share * loss, coupling, to_fabric)
    nodes = np.array([[air_share * loss + coupling, -coupling], [-coupling, coupling + fabric_side]])
    air, _ = np.linalg.solve(nodes, [1.0 - to_fabric, to_fabric])
    Reference(loss, "own: derived above", 1e-12, "a closed form").check(1.0 / air)
    # and the same from the step itself, run until it is steady
    r = response(air_share * loss, coupling, fabric_side, 0.8, 4.0, 1e4)
    warm = r.end_aqa * (1.0 - to_fabric) + r.end_aqf * to_fabric
    Reference(loss, "own: a step of ten thousand hours", 1e-9, "the eigenvalues cancel a little").check(1.0 / warm)


def test_plain_series_would_lose_some_of_the_loss() -> None:
    """Fabric straight to outside by H − H_v, radiators, 200 W/K in 100 m²: the home would lose less than stated."""
    lost = []
    for area, _ in THERMAL_MASS.values():
        for air_share in (0.2, 0.35):
            loss, coupling = 0.2, coupling_kw_per_k(AREA_M2, area)
            hv = air_share * loss
            nodes = np.array([[hv + coupling, -coupling], [-coupling, coupling + loss - hv]])
            air, _ = np.linalg.solve(nodes, [0.7, 0.3])
            lost.append(1.0 - 1.0 / air / loss)
    assert min(lost) > 0.04 - 5e-3
    assert max(lost) < 0.08


def test_coupling_and_infiltration_by_hand() -> None:
    source = "own: 3.45 · 450 and 9.1 · 250 W/K in series"
    by_hand = 1e-3 / (1 / (3.45 * 450.0) + 1 / (9.1 * 250.0))
    Reference(by_hand, source, 1e-12, "series by hand").check(coupling_kw_per_k(AREA_M2, 2.5))
    source = "common practice: 1/3·n·V W/K, air at 1.2 kJ/m³K"
    Reference(1.0 / 3.0, source, 1e-12, "exact for 1.2 kJ").check(1000.0 * AIR_KWH_PER_M3K)


def test_slow_and_quick_houses_do_not_cancel() -> None:
    """Near-zero and very fast rates: the series near zero joins the closed form."""
    for hours in (1e-4, 0.049, 0.051, 30.0):
        r = response(1e-6, 1.0, 1e-6, 1.0, 50.0, hours)
        a, b = rates(1e-6, 1.0, 1e-6, 1.0, 50.0)
        ad, bd, *_ = cont2discrete((a, b, np.eye(2), np.zeros((2, 3))), hours, method="zoh")
        end_state, end_input, mean_state, mean_input = coupled(r)
        np.testing.assert_allclose(end_state, ad, atol=1e-12)
        np.testing.assert_allclose(end_input, bd, rtol=1e-9, atol=1e-12)
        np.testing.assert_allclose(mean_state.sum(axis=1) + mean_input[:, 0], 1.0, atol=1e-9)  # all at one temperature


@pytest.mark.parametrize("z", [-9.9e-4, -1e-6, 0.0, 1e-6, 9.9e-4, 1.1e-3, -0.5])
def test_the_integral_of_an_exponential_is_exact_on_both_sides_of_where_its_series_ends(z: float) -> None:
    by_hand = 0.5 * sum(z**k / math.factorial(k + 1) for k in range(20))  # ∫ exp(rate·t) dt from 0 to 0.5, term by term
    assert building._integral(z / 0.5, 0.5) == pytest.approx(by_hand, rel=1e-14, abs=0.0)


@pytest.mark.parametrize("z", [-0.0499, -1e-6, 0.0, 1e-6, 0.0499, 0.051, -0.5])
def test_the_double_integral_is_exact_on_both_sides_of_where_its_series_ends(z: float) -> None:
    """Own: a term of the series more or less is 1e-14 of it at its end, and the closed form there is good to 1e-13."""
    by_hand = 0.25 * sum(z**k / math.factorial(k + 2) for k in range(20))
    assert building._double_integral(z / 0.5, 0.5) == pytest.approx(by_hand, rel=1e-13, abs=0.0)
