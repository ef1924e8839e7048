"""Charges on peaks by hand: what counts, what is averaged, the floor, and the tax on top."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tariffs import band, tariff

from simkit.billing.charge import charge
from simkit.clock import TimeAxis
from simkit.tariff.tariff import Demand

DUBLIN = TimeAxis("Europe/Dublin", 2025, 60)
FREE = band("All day", 0.0, "00:00", "24:00")
NOON = 24 * 14 + 12  # an hour of 15 January


def charged(load: np.ndarray, terms: dict[str, Any] | None = None, **demand: Any) -> float:
    peak = Demand.model_validate({"name": "Peak", "price_per_kw_month": 4.0, "interval_minutes": 60, **demand})
    return charge(tariff(FREE, demand=peak, **(terms or {})), DUBLIN, load, country="IE").total


def flat_but(kw: float, at: int = NOON) -> np.ndarray:
    load = np.ones(DUBLIN.steps)
    load[at] = kw
    return load


def test_a_month_is_charged_by_its_highest_hour() -> None:
    """By hand: 3 kW in January, 1 kW in the other eleven months, at 4 a month."""
    assert charged(flat_but(3.0)) == pytest.approx(4.0 * (3 + 11), abs=1e-9)


def test_a_floor_lifts_the_months_that_stay_under_it() -> None:
    """By hand: January's 3 kW stay, eleven months of 1 kW count as 2."""
    assert charged(flat_but(3.0), floor_kw=2.0) == pytest.approx(4.0 * (3 + 11 * 2), abs=1e-9)


def test_several_months_are_averaged_the_year_taken_from_its_own_end() -> None:
    """By hand: January's 3 kW weigh a third in January, February and March."""
    assert charged(flat_but(4.0), rolling_months=3) == pytest.approx(4.0 * (3 * 2.0 + 9 * 1.0), abs=1e-9)


@pytest.mark.parametrize("included", [True, False])
def test_tax_comes_on_top_where_prices_hold_none(included: bool) -> None:
    by_hand = 56.0 * (1.0 if included else 1.2)
    found = charged(flat_but(3.0), {"tax": 0.2, "prices_include_tax": included})
    assert found == pytest.approx(by_hand, abs=1e-9)


@pytest.mark.parametrize(("start", "counts"), [("12:00", True), ("12:30", True), ("12:31", False), ("13:00", False)])
def test_an_hour_counts_where_half_of_it_lies_inside_the_hours_of_the_charge(start: str, counts: bool) -> None:
    """By hand: 3 kW at noon count where half an hour or more of it is inside."""
    inside = {"from": start, "to": "20:00", "days": "all"}
    assert charged(flat_but(3.0), within=inside) == pytest.approx(4.0 * (3 if counts else 1) + 44.0, abs=1e-9)


def test_months_in_which_no_hour_counts_are_charged_the_floor() -> None:
    """By hand: 3 kW in January count, eleven months have no winter weekday's hour and are charged half a kilowatt."""
    inside = {"from": "12:00", "to": "13:00", "days": "all", "months": [1]}
    assert charged(flat_but(3.0), within=inside, floor_kw=0.5) == pytest.approx(4.0 * (3 + 11 * 0.5), abs=1e-9)


def test_without_a_floor_a_month_is_charged_by_whatever_its_peak_is() -> None:
    """By hand: 0.5 kW in every hour, so that half a kilowatt counts in each of twelve months."""
    assert charged(0.5 * np.ones(DUBLIN.steps)) == pytest.approx(12 * 4.0 * 0.5, abs=1e-9)
