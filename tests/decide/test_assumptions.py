"""What was filled in is moved by itself, and what it moves is what a simulation with the moved value says."""

from __future__ import annotations

import numpy as np
import pytest
from homes import changed, sample

import simkit as sk
from simkit.decide.assumptions import TENTH, assumptions_of, moved_costs
from simkit.year.year import Year


@pytest.fixture(scope="module")
def year() -> Year:
    return sk.simulate(sample("canal_terrace"))


def moved(year: Year) -> dict[str, float]:
    assumed, _, costs = moved_costs(year)
    return {one.key: cost for one, cost in zip(assumed, costs, strict=True)}


def test_a_moved_value_moves_the_cost_as_a_simulation_of_it_does(year: Year) -> None:
    # own: two whole simulations and their bills against one lane of many; 13 % is the spread of installations
    assert year.case.heat_pump is not None
    scale = year.case.heat_pump.efficiency_scale
    ends = [scale * (1.0 + side * TENTH * 0.13) for side in (-1.0, 1.0)]
    bills = [sk.simulate(sk.vary(year.case, {"heat_pump.efficiency_scale": end})).bill.total for end in ends]
    found = moved(year)["[heat_pump] efficiency_scale"]
    assert found == pytest.approx(max(abs(bill - year.bill.total) for bill in bills), abs=0.02)


def test_what_follows_from_a_moved_value_follows(year: Year) -> None:
    # own: every window's glass is moved together, as each stands in the case with the same filled-in value
    paths = next(one.paths for one in year.case.assumed if one.key == "[home.window] transmittance")
    assert len(paths) == len(year.case.home.window)
    value = 1.2 * year.case.home.window[0].transmittance
    bill = sk.simulate(sk.vary(year.case, dict.fromkeys(paths, value))).bill.total
    assert moved(year)["[home.window] transmittance"] >= abs(bill - year.bill.total) - 0.02


def test_a_standing_charge_that_was_taken_as_none_moves_a_year_by_its_own_amount() -> None:
    # by hand: 365 days at the example of the key, 0.35 a day
    boiler = sk.simulate(sk.vary(changed("estuary_bungalow"), {"heat_source": "boiler", "fuel.standing_per_day": None}))
    assert moved(boiler)["[fuel] standing_per_day"] == pytest.approx(365 * 0.35, abs=0.01)


def test_spreads_and_money_move_no_bill_and_hygiene_is_never_tried_less(year: Year) -> None:
    found = moved(year)
    assert all(cost == 0.0 for key, cost in found.items() if key.startswith(("[uncertainty]", "[money")))
    table = assumptions_of(year).table
    hygiene = table[table.index.str.startswith("[hot_water.hygiene]")]
    assert not hygiene["tried_words"].str.contains("never").any()
    assert hygiene.loc["[hot_water.hygiene] target_c", "tried_words"] == "60 (tried: 62)"


def test_a_value_counts_by_the_option_that_it_moves_most(year: Year) -> None:
    boiler = sk.simulate(next(case for _, _, case in year.case.options() if case.heat_source == "boiler"))
    both = assumptions_of(year, [boiler]).table["moved_cost"]
    alone, other = assumptions_of(year).table["moved_cost"], assumptions_of(boiler).table["moved_cost"]
    for key in both.index:
        expected = np.fmax(alone.get(key, np.nan), other.get(key, np.nan))
        np.testing.assert_allclose(both[key], expected, atol=1e-9)
