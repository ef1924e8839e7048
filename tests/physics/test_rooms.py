"""A room solved by hand, both ways, and what must rise or fall with what."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from references import Reference

from simkit.physics.rooms import room_flow_c, room_load_kw, settled_kw, steady_room_c

U, G, R, COLD = 0.040, 0.020, 1.5, -3.0


def test_an_emitter_limited_room_in_closed_form() -> None:
    """With exponent 1 the balance is linear: R/50·(F − T)/(1 + R/100W) = U·(T − To) + g·(T − Tm), so that
    T = (k·F + U·To + g·Tm)/(k + U + g), k = (R/50)/(1 + (R/50)/(2W)).
    """
    flow, middle, per_water = 35.0, 20.0, 5.0 / 0.9
    k = (R / 50.0) / (1.0 + (R / 50.0) * per_water / 2.0)
    want = (k * flow + U * COLD + G * middle) / (k + U + G)
    found = steady_room_c(flow, COLD, middle, 23.0, U, G, R, 1.0, per_water)
    assert want < 23.0, "the case must be limited by its emitter"
    Reference(want, "own: linear balance solved by hand", 1e-9, "closed form").check(found)


def test_the_flow_needed_holds_exactly_the_needed_room() -> None:
    """Flow needed by hand: 20 + 50·(0.92/1.5)^(1/1.3) + ½·5 for a load of 0.92 kW and a water difference of 5 K."""
    load, per_water = room_load_kw(20.0, COLD, 20.0, U, G), 5.0 / 0.92
    flow = room_flow_c(load, R, 1.3, 20.0, per_water)
    want = 20.0 + 50.0 * (0.92 / 1.5) ** (1 / 1.3) + 2.5
    Reference(want, "EN 442 characteristic", 1e-9, "same formula").check(flow)
    at, below = (steady_room_c(f, COLD, 20.0, 20.0, U, G, R, 1.3, per_water) for f in (flow + 1e-9, flow - 1.0))
    assert at == pytest.approx(20.0, abs=1e-6)
    assert below < 20.0 - 0.1


def test_a_room_without_warm_water_settles_between_outdoors_and_the_home() -> None:
    found = steady_room_c(0.0, 0.0, 18.0, 20.0, 0.04, 0.02, R, 1.3, 5.0)
    assert found == pytest.approx(18.0 * 0.02 / 0.06)  # weighted by the two conductances


@settings(max_examples=150, deadline=None)
@given(
    st.floats(25.0, 65.0), st.floats(-15.0, 12.0), st.floats(0.2, 6.0), st.floats(1.0, 1.5), st.floats(1.01, 3.0)
)  # fmt: skip
def test_bigger_emitters_never_raise_the_flow_nor_cool_the_room(
    flow: float, outdoor: float, rated: float, n: float, factor: float
) -> None:
    load, per_water = room_load_kw(20.0, outdoor, 20.0, U, G), 5.0
    assert room_flow_c(load, factor * rated, n, 20.0, per_water) <= room_flow_c(load, rated, n, 20.0, per_water) + 1e-12
    small, big = (steady_room_c(flow, outdoor, 19.0, 40.0, U, G, r, n, per_water) for r in (rated, factor * rated))
    assert big >= small - 1e-9
    assert steady_room_c(flow + 1.0, outdoor, 19.0, 40.0, U, G, rated, n, per_water) >= small - 1e-9


@settings(max_examples=150, deadline=None)
@given(st.floats(0.0, 60.0), st.floats(0.0, 60.0), st.floats(0.1, 20.0), st.floats(1.0, 1.6))
def test_settled_heat_closes_its_equation(available: float, kelvin_per_kw: float, rated: float, n: float) -> None:
    heat = settled_kw(available, kelvin_per_kw, rated, n)
    excess = available - kelvin_per_kw * heat
    assert excess >= -1e-6
    assert rated * max(excess / 50.0, 0.0) ** n == pytest.approx(heat, abs=1e-6, rel=1e-6)
