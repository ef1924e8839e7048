"""The four numbers where more than a price decides: car, battery, fuse, peaks, tiers, netting."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
import pytest

from decide.invented import CAR, ROOF, few_candidates, stored, tariff, terrace
from simkit.case.build import vary
from simkit.decide.optimum.bound import stretch_of
from simkit.decide.optimum.optimum import Optimum, fuse_kept, optimum
from simkit.decide.optimum.stretch import NO_FUSE_KW
from simkit.decide.schedule.candidates import grid
from simkit.decide.schedule.search import Variants, needs_of
from simkit.decide.variants import run_variants
from simkit.profiles.car import car_sessions, car_window
from simkit.tariff.terms import Demand, Tier


@lru_cache(maxsize=1)
def loaded() -> Optimum:
    """With a car, a battery, panels, a main fuse and a charge on the peak of each month."""
    peak = Demand.model_validate({"name": "Peak", "price_per_kw_month": 5.0, "interval_minutes": 60, "floor_kw": 2.0})
    changes = {
        "car": CAR, "solar": ROOF, "tariff": tariff(export=0.05).model_copy(update={"demand": peak}),
        "site.fuse_a": 63.0, "site.volts": 230.0, "site.phases": 1,
    }  # fmt: skip
    with few_candidates():
        return optimum(vary(stored(), changes))


def test_four_numbers_with_car_battery_panels_fuse_and_a_charge_on_peaks() -> None:
    """The plan lowers the peaks that today's plain charging makes, and every course keeps to the fuse."""
    costs = loaded().table()["cost"]
    assert all(low < high for low, high in pairwise(costs))
    imported, today = loaded().followed.grid_kw[:, 0], loaded().today.flow("grid_import")
    assert imported.max() < 63.0 * 0.23
    axis = loaded().today.axis
    per_hour = round(1.0 / axis.hours)  # the peak that is charged is that of an hour
    month = axis.month[::per_hour]
    hourly = [flow.reshape(-1, per_hour).mean(axis=1) for flow in (imported, today)]
    peaks = [np.mean([flow[month == m].max() for m in range(1, 13)]) for flow in hourly]
    assert peaks[0] < 0.85 * peaks[1]
    assert loaded().notes == (
        "Every schedule compared here keeps to the main fuse of 63 A, and so does the lowest conceivable cost.",
    )
    car, hours = loaded().followed.inputs.series["car_kw"], loaded().today.axis.hours
    assert car.sum() * hours == pytest.approx(loaded().today.totals["car"], rel=1e-6)
    away = loaded().today.axis.window("07:00", "18:00") >= 1.0
    assert car[away].max() == 0.0


def test_the_bound_lies_under_any_course_of_car_and_battery() -> None:
    """Each night's charge spread at random inside its session, the battery filled and released at random hours."""
    today, bound = loaded().today, loaded().bound
    car, axis, rng = today.case.car, today.axis, np.random.default_rng(11)
    assert car is not None
    sessions, inside = car_sessions(axis, car), car_window(axis, car)
    variants, tries = Variants(today), []
    rules = grid(today.case, variants.pattern)
    for number in range(32):
        home = variants.home(rules[rng.integers(len(rules))])
        charge_kw = np.zeros(axis.steps)
        for mine in sessions:
            left = float(home.series["car_kw"][mine].sum())
            for step in rng.permutation(mine[inside[mine] > 0]):
                charge_kw[step] = min(left, inside[step] * car.charger_kw)
                left -= charge_kw[step]
        assert charge_kw.sum() == pytest.approx(home.series["car_kw"].sum())
        series = home.series | {"car_kw": charge_kw}
        if number % 2:
            series["charge_to"] = (rng.random(axis.steps) < 0.2) * rng.random(axis.steps)
            series["release"] = (rng.random(axis.steps) < 0.6).astype(float)
        tries.append(replace(home, series=series))
    lanes = run_variants(today.case, today.setting, tries)
    kept = needs_of(today).kept(lanes) & (lanes.after.peak_import_kw <= 63.0 * 0.23)
    assert kept.sum() > 5
    assert lanes.cost[kept].min() >= bound


def test_tiers_and_netting_run_with_a_looser_bound_that_says_so() -> None:
    tiers = (
        Tier(name="First", up_to_kwh=150.0, price_per_kwh=0.02), Tier(name="Beyond", price_per_kwh=0.06),
    )  # fmt: skip
    terms = tariff(export=0.05).model_copy(update={"netting": "month", "tier": tiers})
    with few_candidates():
        net = optimum(vary(terrace(), {"solar": ROOF, "tariff": terms, "emitters.stores": False}))
    costs = net.table()["cost"]
    assert all(low < high for low, high in pairwise(costs))
    assert costs.iloc[0] > 0.6 * costs.iloc[-1]
    assert net.notes == (
        "The lowest conceivable cost takes the cheapest tier: tiers are charged on what netting leaves.",
        "Netting by the month counts in the lowest conceivable cost as one price for both ways in each period; "
        "the bill may lie above that where prices change inside a period.",
    )


def test_a_fuse_that_today_goes_over_does_not_bind_the_bound() -> None:
    """A bound that kept to it would be compared with a schedule that doesn't."""
    case = vary(loaded().today.case, {"site.fuse_a": 20.0})
    over = replace(loaded().schedule, today=replace(loaded().today, case=case))
    assert fuse_kept(loaded().schedule) is True
    assert fuse_kept(over) is False
    assert stretch_of(loaded().today).limits.fuse_kw == NO_FUSE_KW
    assert stretch_of(loaded().today, keeps_fuse=True).limits.fuse_kw == pytest.approx(14.49)
