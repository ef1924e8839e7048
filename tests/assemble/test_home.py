"""From a case to what the kernel is told: emitters, boiler, hybrid, samples, and series shared where they are the same."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from homes import changed, inputs, setting, stated_loss
from references import Reference

from simkit.assemble.emitters import BOILER_RESERVE_K, design_load_kw, emitter_rating_kw
from simkit.assemble.heat_loss import found_from_fuel, loss_w_per_k
from simkit.assemble.home import Adjustment, home_inputs
from simkit.kernel.run import run_home
from simkit.physics.emitters import emitter_kw
from simkit.physics.records import Home, Now


def home(name: str = "estuary_bungalow", **changes: Any) -> Home:
    return inputs(changed(name, changes)).home


def test_emitters_meet_the_design_load_at_the_flow_they_are_sized_for() -> None:
    case = changed("estuary_bungalow", {"emitters.sized_for_flow_c": 50.0})
    load, room = design_load_kw(case, 250.0), max(period.c for period in case.comfort.periods)
    Reference(0.25 * (room + 2.0), "own: loss × span to the design temperature", 1e-12, "by hand").check(load)
    rated = emitter_rating_kw(case, 250.0)
    assert emitter_kw(rated, 1.3, 50.0 - 2.5 - room) == pytest.approx(load, rel=1e-12, abs=0.0)
    # a boiler keeps its reserve, whatever emitters the heat pump is planned with
    boiler = changed("estuary_bungalow", {"heat_source": "boiler", "emitters.sized_for_flow_c": 40.0})
    at = boiler.boiler.flow_c - BOILER_RESERVE_K - 2.5 - room  # type: ignore[union-attr]
    assert emitter_kw(emitter_rating_kw(boiler, 250.0), 1.3, at) == pytest.approx(load, rel=1e-12, abs=0.0)
    stated = changed("estuary_bungalow", {"emitters.sized_for_flow_c": None, "emitters.rated_kw": 14.0})
    assert emitter_rating_kw(stated, 250.0) == 14.0


def test_the_curve_of_the_least_flow_is_that_of_the_emitters() -> None:
    compensated = home(**{"controls.design_flow_c": 45.0, "emitters.sized_for_flow_c": 55.0})
    least = home(**{"controls.flow": "least", "controls.design_flow_c": 45.0, "emitters.sized_for_flow_c": 55.0})
    assert compensated.design_excess_k == pytest.approx(45.0 - 2.5 - 20.0)
    assert least.design_excess_k == pytest.approx(55.0 - 2.5 - 20.0)


def test_what_does_not_run_takes_nothing() -> None:
    boiler = home(heat_source="boiler")
    assert (boiler.standby_kw, boiler.pump_kw, boiler.backup_kw) == (0.0, 0.0, 0.0)
    assert boiler.boiler_standby_kw == pytest.approx(0.005)
    machine = home()
    assert machine.boiler_standby_kw == 0.0, "the boiler is gone"
    assert machine.standby_kw == pytest.approx(0.014)
    both = home(heat_source="hybrid", **{"hybrid.boiler_below_c": 0.0, "hybrid.by_price": False})
    assert both.boiler_standby_kw == pytest.approx(0.005), "a hybrid's boiler stands by all year"
    assert both.standby_kw == pytest.approx(0.014)


def test_points_hold_the_pump_for_the_machines_own_resistance_only() -> None:
    """EN 14511 corrects for the pressure drop of the machine itself: the pump that drives the home's circuit is beside."""
    without = home(**{"heat_pump.points_hold": ["defrost", "fan"]})
    assert home(**{"heat_pump.points_hold": ["defrost", "fan", "pump"]}).pump_kw == without.pump_kw > 0.0


def test_a_boiler_heats_the_cylinder_hotter_than_the_radiators() -> None:
    """At 60 °C for the radiators a cylinder of 65 °C is still reached."""
    hot = {"boiler.flow_c": 60.0, "hot_water.target_c": 65.0, "hot_water.hygiene.target_c": 65.0}
    whole = inputs(changed("estuary_bungalow", {"heat_source": "boiler", **hot}))
    assert (whole.home.boiler_flow_c, whole.home.boiler_water_flow_c) == (60.0, 75.0)
    year = run_home(whole, setting(changed("estuary_bungalow")).axis.steps, 1.0)
    assert year.flow("cylinder_hot_c").max() == pytest.approx(65.0)


def by_boiler(**changes: Any) -> tuple[np.ndarray, np.ndarray]:
    found = inputs(changed("estuary_bungalow", changes)).series
    return found["by_boiler"], found["outdoor_c"]


def test_who_heats() -> None:
    assert by_boiler()[0].max() == 0.0
    assert by_boiler(heat_source="boiler")[0].min() == 1.0
    chosen, outdoor = by_boiler(heat_source="hybrid", **{"hybrid.boiler_below_c": 3.0, "hybrid.by_price": False})
    np.testing.assert_array_equal(chosen, (outdoor < 3.0).astype(float))
    # where the machine stops for cold the boiler takes over, whatever its own limit
    stopping = {"hybrid.boiler_below_c": -15.0, "hybrid.by_price": False, "heat_pump.lowest_outdoor_c": 2.0}
    chosen, outdoor = by_boiler(heat_source="hybrid", **stopping)
    np.testing.assert_array_equal(chosen, (outdoor < 2.0).astype(float))


def test_a_sample_differs_in_what_it_says_and_in_nothing_else() -> None:
    case = changed("estuary_bungalow")
    around, loss = setting(case), stated_loss(case)
    plain = home_inputs(case, around, loss)
    moved = {
        "efficiency": (1.1, {"efficiency_scale"}),
        "set_point_k": (0.7, {"set_point_shift_k"}),
        "draws": (1.3, {"draw_scale"}),
        "boiler": (0.9, {"per_space_efficiency", "per_water_efficiency"}),
    }
    for name, (value, fields) in moved.items():
        found = home_inputs(case, around, loss, Adjustment(**{name: value}))
        differs = {f for f in Home._fields if getattr(found.home, f) != getattr(plain.home, f)}
        assert differs == fields, name
        for series in Now._fields:
            assert found.series[series] is plain.series[series], (name, series)
    leaky = home_inputs(case, around, loss, Adjustment(loss=1.2))
    assert leaky.home.air_side_kw_per_k == pytest.approx(1.2 * plain.home.air_side_kw_per_k)
    assert leaky.home.rated_kw == pytest.approx(1.2 * plain.home.rated_kw), (
        "emitters are sized for the home they are in"
    )


def test_an_efficiency_never_passes_one() -> None:
    case = changed("harbour_flat", {"heat_source": "boiler"})
    found = home_inputs(case, setting(case), 92.0, Adjustment(boiler=1.2)).home
    assert (found.per_space_efficiency, found.per_water_efficiency) == (1.0, 1.0)


def test_series_hold_what_the_case_says() -> None:
    case = changed("estuary_bungalow")
    found, axis = inputs(case).series, setting(case).axis
    hour = axis.minute_of_day / 60.0
    np.testing.assert_array_equal(
        found["needed_c"], np.where((hour >= 7) & (hour < 22), 20.0, np.where(hour == 22, 19.0, 18.0))
    )
    draws = found["draw_kw"].sum() * axis.hours
    Reference(365 * 5.845, "Regulation (EU) 814/2013: profile M, 5.845 kWh a day", 0.5, "a year of days").check(
        float(draws)
    )
    assert found["internal_gain_kw"].min() > 0.0
    season = found["heating_season"]
    assert set(np.unique(season)) == {0.0, 1.0}
    day = np.convolve(np.concatenate([found["outdoor_c"][-24:], found["outdoor_c"]]), np.full(24, 1 / 24), "valid")[1:]
    np.testing.assert_array_equal(season, (day < case.controls.heating_limit_c).astype(float))


def test_loss_is_stated_or_to_be_found() -> None:
    case = changed("estuary_bungalow")
    assert not found_from_fuel(case)
    assert loss_w_per_k(case) == 250.0
    burnt = changed("estuary_bungalow", {"home.loss": {"fuel_amount": 1850.0, "fuel_unit": "litre"}})
    assert found_from_fuel(burnt)
