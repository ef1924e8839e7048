"""A cylinder through one step: the reheat against a fine solution, who heats when, and what is missing is counted."""

from __future__ import annotations

import numpy as np
import pytest
from homes import changed, inputs
from references import Reference
from scipy.integrate import solve_ivp

from simkit.kernel.inputs import HomeInputs
from simkit.physics.heat_pump import reference_cop
from simkit.physics.records import Now, State
from simkit.physics.running import lift_of
from simkit.physics.water_step import Reheat, Stood, heat_water, reheat, stand_water, water_called

pytestmark = pytest.mark.short


def home(**case: object) -> HomeInputs:
    return inputs(changed("estuary_bungalow", case))


def at(whole: HomeInputs, k: int = 400, **values: float) -> Now:
    return Now(*(float(whole.series[name][k]) for name in Now._fields))._replace(**values)


def cylinder(hot: float, cold: float, share: float, reheating: float = 0.0) -> State:
    return State(20.0, 19.5, hot, cold, share, reheating, 0.0, np.inf, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


def hour(whole: HomeInputs, state: State, now: Now) -> tuple[Stood, Reheat]:
    """Both stages of an hour."""
    stood = stand_water(whole.home, state, now, 1.0)
    return stood, heat_water(whole.home, now, stood, 1.0)


@pytest.mark.parametrize("coil_m2", [0.3, 0.6, 1.5, 4.0])
@pytest.mark.parametrize("start", [10.0, 30.0, 44.0])
def test_reheat_against_a_fine_solution(coil_m2: float, start: float) -> None:
    """Heat, time, and electricity of a mixed cylinder heated through its coil until 50 °C or the end of the hour."""
    whole = home(**{"hot_water.coil_area_m2": coil_m2, "heat_pump.minimum_share": 0.05})
    h = whole.home._replace(part_load_gain=0.0)
    now = at(whole, outdoor_c=5.0, source_c=5.0, water_target_c=50.0, immersion_allowed=0.0)
    found = reheat(h, now, start, start, 1.0, 1.0)

    def machine(flow: float) -> tuple[float, float]:
        between = (min(max(flow, 35.0), 55.0) - 35.0) / 20.0
        capacity = now.capacity_0_kw + between * (now.capacity_1_kw - now.capacity_0_kw)
        efficiency = now.efficiency_0 + between * (now.efficiency_1 - now.efficiency_0)
        return capacity, h.efficiency_scale * efficiency * reference_cop(flow, 5.0, lift_of(h))

    def course(_: float, y: np.ndarray) -> list[float]:
        t, power = y[0], 9.0
        for _ in range(60):  # capacity falls with the flow that it needs, the water cools across the coil by its load
            capacity = machine(min(t + power / h.coil_kw_per_k + 2.5, 62.0))[0]
            power = min(capacity, (62.0 - t) / (1.0 / h.coil_kw_per_k + 2.5 / capacity))
        flow = min(t + power / h.coil_kw_per_k + 2.5, 62.0)
        return [power / h.cylinder_kwh_per_k, power, power / machine(flow)[1]]

    full = lambda _, y: 50.0 - y[0]  # noqa: E731
    full.terminal = True  # type: ignore[attr-defined]
    fine = solve_ivp(course, (0.0, 1.0), [start, 0.0, 0.0], events=full, rtol=1e-8, atol=1e-8)
    heat, electricity, time = fine.y[1, -1], fine.y[2, -1], fine.t[-1]
    source = "own: the same cylinder in fine steps"
    Reference(heat, source, 0.03 * heat, "one or two parts stand for the whole charge").check(found.heat_kwh)
    Reference(time, source, 0.05 * time, "as above").check(found.share)
    Reference(electricity, source, 0.04 * electricity, "as above").check(found.electric_kwh)


def test_at_the_hottest_flow_the_water_cools_across_the_coil_by_its_load() -> None:
    """By hand: Q = U·(mean − T) and flow less return = 5 K·Q/capacity, so that Q = (62 − T) / (1/U + 2.5/capacity).

    With 0.3 kW/K, 4.25 kW and water at 53.333 °C that is 8.667 / 3.922 = 2.21 kW; the design's 5 K at any power would
    leave 0.3 · (62 − 2.5 − 53.333) = 1.85 kW.
    """
    whole = home(**{"hot_water.coil_area_m2": 0.6})
    now = at(whole, water_target_c=60.0, immersion_allowed=0.0, **{f"capacity_{k}_kw": 4.25 for k in range(5)})
    found = reheat(whole.home, now, 62.0 - 26.0 / 3.0, 62.0 - 26.0 / 3.0, 1.0, 1e-3)
    assert whole.home.coil_kw_per_k == pytest.approx(0.3)
    Reference(2.21, "own: by hand from two equations", 0.005, "three digits").check(found.heat_kwh / 1e-3)


def test_water_is_heated_only_in_its_windows_and_below_its_hysteresis() -> None:
    whole = home()
    cold, warm = cylinder(50.0, 20.0, 0.3), cylinder(50.0, 20.0, 0.8)
    shut, open_ = at(whole, water_target_c=0.0), at(whole, water_target_c=50.0)

    def heat(state: State, now: Now) -> float:
        return hour(whole, state, now._replace(draw_kw=0.0, water_forced=0.0))[1].heat_kwh

    assert heat(cold, shut) == 0.0
    assert heat(cold, open_) > 1.0
    assert heat(warm, open_) == 0.0  # the sensor stands in hot water
    assert heat(warm._replace(reheating=1.0), open_) > 1.0  # once begun it is finished
    assert hour(whole, warm, open_._replace(water_forced=1.0))[1].heat_kwh > 1.0


def hygiene_hours(coil_m2: float, allowed: tuple[float, ...]) -> list[Reheat]:
    whole = home(**{"hot_water.coil_area_m2": coil_m2, "hot_water.volume_l": 150.0})
    state, rows = cylinder(45.0, 12.0, 0.4), []
    for allow in allowed:
        now = at(whole, draw_kw=0.0, water_target_c=60.0, water_forced=1.0, immersion_allowed=allow)
        _, water = hour(whole, state, now)
        state = cylinder(water.hot_c, water.cold_c, water.hot_share, float(water.missing_kwh > 1e-6))
        rows.append(water)
    return rows


def test_hygiene_gets_hot_however_small_the_coil() -> None:
    """A machine that reaches 59 °C (62 °C less 3 K) is finished by the heater; with a tiny coil the heater runs beside it at last."""
    usual = hygiene_hours(0.6, (1.0, 1.0, 2.0))
    assert usual[0].immersion_kwh < 0.1
    assert usual[-1].hot_c == usual[-1].cold_c == pytest.approx(60.0)
    tiny = hygiene_hours(0.1, (1.0, 1.0, 2.0))
    assert tiny[0].immersion_kwh == tiny[1].immersion_kwh == 0.0
    assert tiny[2].immersion_kwh > 2.0
    assert tiny[2].hot_c == tiny[2].cold_c == pytest.approx(60.0)
    never = hygiene_hours(0.6, (0.0, 0.0, 0.0))
    assert never[-1].hot_c == pytest.approx(59.0, abs=0.3)
    assert sum(row.immersion_kwh for row in never) == 0.0


def test_nothing_calls_for_heat_while_no_temperature_is_held() -> None:
    whole = home()
    for target, called in ((50.0, 1.0), (0.0, 0.0)):
        now = at(whole, water_target_c=target, water_forced=1.0)
        assert water_called(whole.home, now, 20.0, 12.0, 0.5, 1.0) == called


def test_heater_helps_where_the_machine_has_no_heat() -> None:
    whole = home(**{"hot_water.immersion": "any"})
    stopped = {f"capacity_{k}_kw": 0.0 for k in range(5)}
    now = at(whole, water_target_c=50.0, immersion_allowed=1.0, draw_kw=0.0, **stopped)
    _, water = hour(whole, cylinder(20.0, 20.0, 1.0), now)
    assert (water.heat_kwh, water.electric_kwh, water.share) == (0.0, 0.0, 0.0)
    assert water.immersion_kwh == pytest.approx(3.0)
    assert water.missing_kwh > 1.0


def test_what_the_tap_lacks_is_counted() -> None:
    whole = home()
    now = at(whole, draw_kw=4.0, water_target_c=0.0)
    stood, _ = hour(whole, cylinder(45.0, 10.0, 0.2), now)
    assert stood.wanted_kwh == 4.0
    assert 1.0 < stood.tapped_kwh < 3.0
