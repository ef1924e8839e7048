"""Leaks, fresh air and heat recovery: what a tighter house and a fan unit save, and what they never take away."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from homes import sample
from references import Reference

from simkit.assemble.building import air_saved_w_per_k, fans_kw, shell
from simkit.assemble.emitters import emitter_rating_kw
from simkit.assemble.heat_loss import loss_before_w_per_k, loss_w_per_k
from simkit.case.build import Case, vary
from simkit.case.home.ventilation import LEAST_FRESH_AIR, Ventilation
from simkit.decide.measures.ladder import rank_measures
from simkit.decide.measures.usual import usual_measures
from simkit.errors import CaseError
from simkit.uncertainty.sampled_years import sampled_home
from simkit.year.simulate import simulate

EN832 = "EN 832: n = n_fan · (1 − η) + n_leaks, quoted by OIB-382-010/99; numbers worked out by hand"
STATED = {"n50": 6.0, "fresh_air_per_hour": 0.4, "fan_wh_per_m3": 0.4, "in_stated_loss": False}


def air(**more: Any) -> Ventilation:
    return Ventilation.model_validate({**STATED, **more})


@cache
def home(**more: Any) -> Case:
    said = {"ventilation": more} if more else {}
    return vary(sample("estuary_bungalow"), {"home.loss.w_per_k": 250.0, **said, "option": None, "baseline": None})


def test_heat_recovery_leaves_the_air_changes_of_the_worked_example() -> None:
    # 0.4 fresh and 0.07 · 1.5 of leaks an hour, of which 85 % of the first come back: 0.06 + 0.105
    made = air(tightened_n50=1.5, recovery=0.85)
    Reference(0.4 * 0.15 + 0.105, EN832, 1e-12, "exact").check(made.before_per_hour - made.saved_per_hour)
    case = home(n50=6.0, tightened_n50=1.5, recovery=0.85)
    saved = (0.4 + 0.42 - 0.165) * case.home.volume_m3 / 3.0
    Reference(saved, "own: 1.2 kJ/(m³·K), a third of a watt-hour", 1e-9, "exact").check(air_saved_w_per_k(case))
    assert loss_w_per_k(case) == pytest.approx(250.0 - saved)
    assert loss_before_w_per_k(case) == 250.0


@pytest.mark.parametrize("recovery", [None, 0.8])
@pytest.mark.parametrize("n50", [0.3, 1.0, 3.0, 8.0])
def test_fresh_air_is_never_under_what_a_home_needs(n50: float, recovery: float | None) -> None:
    made = air(n50=8.0, fresh_air_per_hour=0.05, tightened_n50=n50, recovery=recovery)
    assert made.fresh_per_hour + made.leaks_per_hour >= LEAST_FRESH_AIR - 1e-12


def test_a_home_that_had_too_little_air_pays_for_it_when_it_is_aired_as_it_should_be() -> None:
    stale = air(n50=2.0, fresh_air_per_hour=0.1, tightened_n50=1.0)
    Reference(0.24 - 0.5, "own: the 0.5 that it needs, less what it had", 1e-12, "exact").check(stale.saved_per_hour)
    assert air(n50=2.0, fresh_air_per_hour=0.1).saved_per_hour == 0.0


def test_the_air_side_of_the_building_bears_all_of_what_is_saved() -> None:
    case = home(tightened_n50=2.0)
    saved = air_saved_w_per_k(case)
    before = shell(case.home, 250.0, case.emitters.mass_share, 0.5)
    after = shell(case.home, 250.0 - saved, case.emitters.mass_share, 0.5, saved)
    assert 1000.0 * (before.air_side_kw_per_k - after.air_side_kw_per_k) == pytest.approx(saved)
    assert after.fabric_side_kw_per_k == pytest.approx(before.fabric_side_kw_per_k, rel=0.1)


def test_emitters_keep_the_size_that_they_had_before() -> None:
    tight = home(tightened_n50=2.0)
    assert emitter_rating_kw(tight, loss_w_per_k(tight)) == pytest.approx(emitter_rating_kw(home(), 250.0))


def test_a_years_heat_falls_by_what_is_saved_and_the_fans_are_paid() -> None:
    plain, made = simulate(home()), simulate(home(recovery=0.75))
    saved = plain.totals["space_heat"] - made.totals["space_heat"]
    degrees = np.clip(plain.hourly["air_c"] - plain.hourly["outdoor_c"], 0.0, None)
    carried = air_saved_w_per_k(made.case) / 1000.0 * float(degrees.sum()) * plain.axis.hours
    assert 0.6 * carried < saved < carried  # in summer it is of no use
    fans = 0.4 * 0.4 * made.case.home.volume_m3 / 1000.0
    assert fans_kw(made.case) == pytest.approx(fans)
    assert made.totals["household"] - plain.totals["household"] == pytest.approx(fans * 8760)
    assert made.beside_kwh["fans"] == pytest.approx(fans * 8760)


def test_what_the_stated_loss_holds_already_changes_nothing() -> None:
    held = home(recovery=0.8, in_stated_loss=True)
    assert loss_w_per_k(held) == 250.0
    assert fans_kw(held) == 0.0


def test_a_loss_from_fuel_is_found_as_the_house_was() -> None:
    fuel = {"home.loss": {"fuel_amount": 1700.0, "fuel_unit": "litre"}}
    was, now = vary(home(), fuel), vary(home(recovery=0.8), fuel)
    assert loss_before_w_per_k(now) == loss_before_w_per_k(was)
    drawn = sampled_home(now)
    assert drawn.central_loss == pytest.approx(loss_w_per_k(now))
    assert np.median(drawn.losses) == pytest.approx(loss_w_per_k(now), rel=0.1)


def test_tightening_and_heat_recovery_are_measures_with_a_price() -> None:
    prices = {"tighten the house": 2500.0, "heat recovery": 6000.0}
    measures = [one for one in usual_measures(home(), prices) if one.name in prices]
    assert [one.name for one in measures] == list(prices)
    assert all("fresh air" in str(one.safety) for one in measures)
    ladder = rank_measures(home(), measures)
    combined = ladder.combined
    both = vary(home(), {"ventilation.tightened_n50": 3.0, "ventilation.recovery": 0.75})
    assert combined.losses[-1] == pytest.approx(loss_w_per_k(both))
    assert combined.losses[0] == 250.0


def test_leaks_that_carry_out_more_than_the_home_loses_are_refused() -> None:
    with pytest.raises(CaseError, match="would carry out"):
        loss_w_per_k(vary(home(n50=28.0), {"home.loss.w_per_k": 90.0}))
    with pytest.raises(CaseError, match="more leaks than before"):
        home(tightened_n50=7.0)
