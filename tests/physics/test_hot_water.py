"""The two-zone cylinder: energy closes whatever happens to it, a tank serves what a real one does, the coil against a
fine solution."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from references import Reference

from simkit.physics.constants import KWH_PER_LITRE_K
from simkit.physics.hot_water import (
    charge,
    coil_flow_c,
    coil_limits_from_c,
    coil_power_kw,
    coil_water_c,
    content_kwh,
    draw,
    reach_c,
    room_for_kwh,
    sensed_c,
    stand,
)
from simkit.validation.published import published

pytestmark = pytest.mark.short

PER_K = 0.2  # kWh/K, 172 litres
celsius = st.floats(5.0, 85.0)
part = st.floats(0.0, 1.0)


def ordered(a: float, b: float) -> tuple[float, float]:
    return max(a, b), min(a, b)


@given(celsius, celsius, part, st.floats(0.0, 15.0), st.floats(3.0, 20.0))
def test_a_draw_takes_out_what_it_serves(a: float, b: float, share: float, wanted: float, feed: float) -> None:
    hot, cold = ordered(a, b)
    before = content_kwh(hot, cold, share, PER_K)
    hot_1, cold_1, share_1, served = draw(hot, cold, share, wanted, feed, 40.0, PER_K)
    assert 0.0 <= served <= wanted + 1e-12
    assert before - content_kwh(hot_1, cold_1, share_1, PER_K) == pytest.approx(served, abs=1e-9)
    assert 0.0 <= share_1 <= 1.0 + 1e-12
    if served > 1e-9:
        assert max(hot, cold) >= 40.0, "water too cool for use was served"


@given(celsius, celsius, part, st.floats(0.0, 25.0))
def test_a_charge_keeps_what_is_put_in(a: float, b: float, share: float, heat: float) -> None:
    hot, cold = ordered(a, b)
    before = content_kwh(hot, cold, share, PER_K)
    hot_1, cold_1, share_1 = charge(hot, cold, share, heat, PER_K, 1.0 / PER_K)
    assert content_kwh(hot_1, cold_1, share_1, PER_K) - before == pytest.approx(heat, abs=1e-8)
    met = coil_water_c(hot, cold, share, heat, PER_K, 1.0 / PER_K)
    assert min(cold, hot) - 1e-6 <= met <= max(hot_1, hot) + 1e-6


@given(celsius, celsius, part, st.floats(0.01, 12.0), st.floats(0.01, 12.0))
def test_two_charges_are_one(a: float, b: float, share: float, one: float, two: float) -> None:
    hot, cold = ordered(a, b)
    once = charge(hot, cold, share, one + two, PER_K, 1.0 / PER_K)
    twice = charge(*charge(hot, cold, share, one, PER_K, 1.0 / PER_K), two, PER_K, 1.0 / PER_K)
    assert content_kwh(*once, PER_K) == pytest.approx(content_kwh(*twice, PER_K), abs=1e-9)
    middle = charge(hot, cold, share, one, PER_K, 1.0 / PER_K)
    met = (
        coil_water_c(hot, cold, share, one, PER_K, 1.0 / PER_K) * one
        + coil_water_c(*middle, two, PER_K, 1.0 / PER_K) * two
    )
    assert met == pytest.approx(coil_water_c(hot, cold, share, one + two, PER_K, 1.0 / PER_K) * (one + two), abs=1e-6)


@given(celsius, celsius, part, st.floats(40.0, 70.0))
def test_what_fits_brings_it_to_the_target(a: float, b: float, share: float, target: float) -> None:
    hot, cold = ordered(a, b)
    fits = room_for_kwh(hot, cold, share, target, PER_K)
    hot_1, cold_1, share_1 = charge(hot, cold, share, fits, PER_K, 1.0 / PER_K)
    assert room_for_kwh(hot_1, cold_1, share_1, target, PER_K) == pytest.approx(0.0, abs=1e-8)
    if hot <= target and fits > 1e-6:
        assert content_kwh(hot_1, cold_1, share_1, PER_K) == pytest.approx(PER_K * target, abs=1e-8)


@given(celsius, celsius, part, st.floats(10.0, 25.0), st.floats(0.0, 0.2))
def test_standing_loses_the_share_of_the_excess(a: float, b: float, share: float, room: float, decay: float) -> None:
    hot, cold = ordered(a, b)
    hot_1, cold_1, lost = stand(hot, cold, share, room, decay, PER_K)
    before, after = content_kwh(hot, cold, share, PER_K), content_kwh(hot_1, cold_1, share, PER_K)
    assert before - after == pytest.approx(lost, abs=1e-9)
    assert lost == pytest.approx(decay * (before - PER_K * room), abs=1e-9)


def litres_at_40(litres: float, stored_c: float, mixed: bool) -> float:
    """Draw a full tank down to 40 °C in small draws; volume of the served heat as water from 10 to 40 °C."""
    per_k = KWH_PER_LITRE_K * litres
    hot, cold, share, total = stored_c, stored_c, 1.0, 0.0
    while True:
        hot, cold, share, served = draw(hot, cold, share, 0.01, 10.0, 40.0, per_k)
        if mixed:
            hot = cold = content_kwh(hot, cold, share, per_k) / per_k
            share = 1.0
        total += served
        if served < 0.01 - 1e-12:
            return total / (KWH_PER_LITRE_K * 30.0)


def test_a_real_tank_gives_three_times_a_mixed_one() -> None:
    """Own derivation. A tank at T whose cold stays below serves (T − 10)/30 of its volume as water of 40 °C; a mixed one
    is down to 40 °C when (T − 40)/30 of its volume in heat is gone: at 55 °C three times less, at 60 °C two and a half.
    """
    source = "own: (T − 10)/(T − 40), by hand"
    for stored, ratio in ((55.0, 3.0), (60.0, 2.5), (50.0, 4.0)):
        found = litres_at_40(150.0, stored, mixed=False) / litres_at_40(150.0, stored, mixed=True)
        Reference(ratio, source, 0.02, "draws of 10 Wh").check(found)
    named, rows = published("dhw_v40_minimum")
    least = {row["profile"]: float(row["V40_min_l"]) for row in rows}
    # what the regulation asks of a heater for this profile, a common cylinder of 150 l at 55 °C gives
    Reference(225.0, f"own: 1.5 × 150 l; {named}", 0.5, "draws of 10 Wh").check(litres_at_40(150.0, 55.0, mixed=False))
    assert litres_at_40(150.0, 55.0, mixed=False) > least["L"] > litres_at_40(150.0, 55.0, mixed=True)


def test_last_litre_is_as_hot_as_the_first() -> None:
    hot, cold, share, _ = draw(55.0, 55.0, 1.0, 6.0, 10.0, 40.0, PER_K)
    assert (hot, cold) == (55.0, 10.0)
    assert share == pytest.approx(1.0 - 6.0 / (PER_K * 45.0))
    # a lower zone warm enough for use is used with the rest, one that is not stays
    assert draw(55.0, 45.0, 0.5, 1.0, 10.0, 40.0, PER_K)[0] == pytest.approx(50.0)
    assert draw(39.0, 12.0, 0.5, 1.0, 10.0, 40.0, PER_K) == (39.0, 12.0, 0.5, 0.0)
    assert draw(40.0, 12.0, 0.5, 1.0, 10.0, 40.0, PER_K)[3] == 1.0  # water that is just warm enough is drawn


def test_sensor_reads_the_zone_it_is_in() -> None:
    assert sensed_c(55.0, 12.0, 0.61, 0.4) == 55.0
    assert sensed_c(55.0, 12.0, 0.59, 0.4) == 12.0


@pytest.mark.parametrize("coil", [0.05, 0.1, 0.3, 1.0])
@pytest.mark.parametrize("hours", [0.25, 1.0])
def test_coil_at_the_hottest_flow_against_the_exact_course(coil: float, hours: float) -> None:
    """A tank warmed through a coil by water at 57 °C follows 57 − (57 − T)·exp(−U·t/C)."""
    start, mean_water, target = 20.0, 57.0, 54.0
    fits = PER_K * (target - start)
    exact = min(PER_K * (mean_water - start) * (1.0 - math.exp(-coil * hours / PER_K)), fits)
    power = coil_power_kw(start, target, fits, coil, mean_water, hours)
    found = min(power * hours, fits)
    Reference(exact, "own: closed form of a tank warmed by a coil", 1e-9, "the same form").check(found)
    if exact == fits:
        time = PER_K / coil * math.log((mean_water - start) / (mean_water - target))
        Reference(time, "own: closed form", 1e-9, "the same form").check(found / power)


def test_coil_arithmetic() -> None:
    assert coil_flow_c(40.0, 6.0, 1 / 0.3, 5.0) == pytest.approx(40.0 + 20.0 + 2.5)
    assert coil_limits_from_c(6.0, 1 / 0.3, 62.0, 5.0) == pytest.approx(62.0 - 2.5 - 20.0)
    assert coil_power_kw(58.0, 58.0, 0.0, 0.3, 57.0, 1.0) < 1e-3  # water hotter than the coil takes nothing
    by_hand = 0.3 * (37.0 - 0.001) / math.log(37.0 / 0.001)  # own: to a thousandth of a kelvin under the coil
    assert coil_power_kw(20.0, 57.0, 1e-3, 0.3, 57.0, 1.0) == pytest.approx(by_hand, rel=1e-9)
    assert reach_c(60.0, 62.0) == pytest.approx(59.0)
    assert reach_c(50.0, 62.0) == 50.0
