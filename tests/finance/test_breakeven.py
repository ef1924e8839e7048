"""Prices and years in; break-evens by hand, in closed form and by root finding, out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import inf, isnan, nan

import numpy as np
import pytest
from case.stated import made, table
from hypothesis import given, settings
from hypothesis import strategies as st
from invented_money import CHEAP, DEAR, OLD, compared
from references import Reference
from scipy.optimize import brentq

from simkit.errors import CaseError
from simkit.finance.breakeven import (
    HeatPrices,
    break_evens,
    extra_cost,
    heat_prices,
)
from simkit.year.compare import compare

# Invented: gas at 0.07, electricity at 0.28, a boiler of 0.85, 12,000 kWh of heat, 120 a year of standing, 180 kWh of pump.
HAND = HeatPrices(0.28, 0.07, 0.85, 12_000.0, 120.0, 180.0, 3.4)


def test_by_hand() -> None:
    found, why = break_evens(HAND), "own: by hand"
    Reference(4.0 * 0.85, f"{why}: ratio 4 times 0.85", 1e-12, "exact").check(found.marginal)
    with_standing = 0.28 / (0.07 / 0.85 + 0.01)
    Reference(with_standing, f"{why}: 120 over 12,000 kWh is 0.01", 1e-12, "exact").check(found.with_standing)
    with_all = 0.28 / (0.07 / 0.85 + 0.01 + 180 * 0.28 / 12_000)
    Reference(with_all, f"{why}: 50.40 over 12,000 kWh is 0.0042", 1e-12, "exact").check(found.with_own_electricity)
    assert found.marginal > found.with_standing > found.with_own_electricity


def root(function: Callable[[float], float], low: float, high: float) -> float:
    """Where a function crosses zero between two ends; NaN where both ends have one sign."""
    return nan if function(low) * function(high) > 0 else float(brentq(function, low, high, xtol=1e-12))


PRICES = st.builds(
    HeatPrices, st.floats(0.05, 0.6), st.floats(0.03, 0.25), st.floats(0.5, 0.98), st.floats(3000, 40_000),
    st.floats(0, 300), st.floats(0, 500), st.floats(1.2, 5.5),
)  # fmt: skip


@settings(deadline=None)
@given(PRICES)
def test_closed_form_and_root_finding_agree(prices: HeatPrices) -> None:
    found = break_evens(prices)
    today = prices.electricity_per_kwh
    by_root = root(lambda spf: extra_cost(prices, spf_h4=spf, electricity_per_kwh=today), 0.2, 40.0)
    if not isnan(by_root):
        assert by_root == pytest.approx(found.with_own_electricity, rel=1e-9)
    ratio = root(
        lambda r: extra_cost(prices, spf_h4=prices.spf_h4, electricity_per_kwh=r * prices.fuel_per_kwh), 0.01, 200.0
    )
    if not isnan(ratio):
        assert ratio == pytest.approx(found.price_ratio, rel=1e-9)


def test_special_cases() -> None:
    assert break_evens(replace(HAND, boiler_kwh=12_000.0)).price_ratio == inf


def test_of_simulated_years_the_bills_agree() -> None:
    """At the break-even the two heating bills are the same, household and electricity's standing charge apart."""
    old, dear = compared().years[0], compared().years[2]
    prices = heat_prices(dear, old)
    assert prices.spf_h4 == dear.spf.h4
    assert prices.heat_kwh == pytest.approx(dear.totals["space_heat"] + dear.totals["hot_water"])
    by_bills = dear.bill.total - old.bill.total
    found = extra_cost(prices, spf_h4=prices.spf_h4, electricity_per_kwh=prices.electricity_per_kwh)
    # not the same heat both ways: the boiler overshoots less and stands differently, so within the heat's difference
    assert found == pytest.approx(by_bills, abs=0.05 * old.bill.total)


@pytest.mark.parametrize(("other_use_kwh", "kept"), [(350.0, True), (0.0, False)])
def test_a_standing_charge_is_saved_where_the_fuel_is_given_up(other_use_kwh: float, kept: bool) -> None:
    """A hob keeps the standing charge; without it the bill's line comes to nothing and the whole year's is saved."""
    options = [
        {"name": OLD, "heat_source": "boiler"},
        {"name": CHEAP, "fuel": {"other_use_kwh": other_use_kwh}},
    ]
    fuel = {"kind": "gas", "unit": "kWh", "price_per_unit": 0.09, "standing_per_day": 0.4, "other_use_kwh": 350.0}
    years = compare(made(table("baseline", fuel={**fuel, "kwh_per_unit": 1.0}, option=options))).years
    prices = heat_prices(years[1], years[0])
    assert prices.standing_saved == pytest.approx(0.0 if kept else 0.4 * 365)


def test_a_map_about_the_home() -> None:
    found = break_evens(heat_prices(compared().years[2], compared().years[0]))
    assert found == break_evens(heat_prices(compared().years[2], compared().years[0]))
    spf, ratios, extra = found.tipping(11)
    assert extra.shape == (11, 11)
    assert spf[0] < found.home[0] < spf[-1]
    assert ratios[0] < found.home[1] < ratios[-1]
    assert extra.min() < 0 < extra.max(), "it tips somewhere on the map"


def test_what_has_no_break_even() -> None:
    with pytest.raises(CaseError) as caught:
        heat_prices(compared().years[1], compared().years[2])
    assert str(caught.value) == (
        f'break-even: "{CHEAP}" against "{DEAR}" has no break-even: one must heat by heat pump and the other burn oil, gas '
        "or LPG. Choose a heat pump and the boiler that it replaces."
    )
    assert compared().years[0].case.name == OLD


def test_the_map_turns_on_the_line() -> None:
    found = break_evens(HAND)
    spf, ratios, grid = found.tipping(5)
    assert grid.shape == (len(ratios), len(spf)) == (5, 5)
    assert grid[1, 3] == extra_cost(HAND, spf_h4=spf[3], electricity_per_kwh=ratios[1] * HAND.fuel_per_kwh)
    assert (np.diff(grid, axis=1) < 0).all(), "a better machine costs less"
    assert (np.diff(grid, axis=0) > 0).all(), "dearer electricity costs more"
    at_four = extra_cost(HAND, spf_h4=found.with_own_electricity, electricity_per_kwh=4.0 * HAND.fuel_per_kwh)
    assert at_four == pytest.approx(0.0, abs=1e-9)
