"""Prices by step, peaks and tiers that no bill undercuts: held against the bill itself, for any import and export."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tariffs import band, tariff

from simkit.billing.charge import charge, fixed_cost
from simkit.billing.charges.on_axis import laid
from simkit.clock import TimeAxis
from simkit.decide.optimum.least_prices import LeastPrices, least_prices, rounding_of
from simkit.tariff.tariff import Tariff
from simkit.tariff.terms import Demand, Tier

AXIS = TimeAxis("Europe/Brussels", 2025, 60)
NIGHT, DAY = band("Night", 0.1, "23:00", "07:00"), band("Day", 0.3, "07:00", "23:00")
RISING = (
    Tier(name="First", up_to_kwh=200.0, price_per_kwh=0.05), Tier(name="Then", up_to_kwh=400.0, price_per_kwh=0.1),
    Tier(name="Beyond", price_per_kwh=0.2),
)  # fmt: skip
FALLING = (Tier(name="First", up_to_kwh=200.0, price_per_kwh=0.2), Tier(name="Beyond", price_per_kwh=0.05))


def demand(**more: Any) -> Demand:
    terms = {"name": "Peak", "price_per_kw_month": 4.0, "interval_minutes": 60, "rolling_months": 3, "floor_kw": 2.5}
    return Demand.model_validate(terms | more)


KINDS: dict[str, dict[str, Any]] = {
    "bands": {},
    "peaks": {"demand": demand()},
    "peaks by day": {"demand": demand(within={"from": "07:00", "to": "22:00", "days": "workdays"}), "billing_day": 12},
    "tiers": {"tier": RISING, "billing_day": 20},
    "tiers, tax added": {"tier": RISING, "tax": 0.2, "prices_include_tax": False},
    "cheaper tiers": {"tier": FALLING},
    "net by day": {"netting": "day"},
    "net by year, peaks, tiers": {"netting": "year", "tier": RISING, "demand": demand()},
    "net, export dearer": {"netting": "month", "export": 0.4},
}
EXACT = ("bands", "peaks", "peaks by day", "tiers", "tiers, tax added")


def charged(kind: str) -> Tariff:
    return tariff(NIGHT, DAY, **({"export": 0.06} | KINDS[kind]))


def year_of(seed: int, net: float) -> tuple[np.ndarray, np.ndarray]:
    """Import and export, never both in one step; a home that uses more or less than its panels give."""
    rng = np.random.default_rng(seed)
    flow = rng.gamma(1.0, 1.5, AXIS.steps) - rng.gamma(1.0, 1.5, AXIS.steps) + net
    return np.maximum(flow, 0.0), np.maximum(-flow, 0.0)


def billed(kind: str, bought: np.ndarray, sold: np.ndarray) -> tuple[float, float]:
    """What the bill charges beyond what is fixed, and the most that rounding can have made of it."""
    terms = charged(kind)
    bill = charge(terms, AXIS, bought * AXIS.hours, sold * AXIS.hours)
    slack = 2.0 * rounding_of(laid(terms, AXIS), len(bill.lines), 2)  # of the bill, and of what is fixed
    return bill.total - fixed_cost(terms, AXIS), slack


@settings(max_examples=40, deadline=None)
@given(
    kind=st.sampled_from(list(KINDS)), seed=st.integers(0, 99), other=st.integers(0, 99), net=st.floats(-1.5, 2.0),
)  # fmt: skip
def test_no_bill_lies_under_them(kind: str, seed: int, other: int, net: float) -> None:
    """Whichever year they were chosen near, and cut into stretches at any step."""
    prices = least_prices(charged(kind), AXIS, *year_of(other, -net))
    bought, sold = year_of(seed, net)
    bill, slack = billed(kind, bought, sold)
    whole = prices.cost(bought, sold, AXIS.hours)
    assert whole <= bill + slack
    cut = 24 * (seed + 20)
    parts = [np.arange(cut), np.arange(cut, AXIS.steps)]
    assert sum(prices.part(at).cost(bought[at], sold[at], AXIS.hours) for at in parts) <= whole + 1e-6


@pytest.mark.parametrize("kind", EXACT)
def test_they_are_the_bill_where_a_programme_can_hold_it(kind: str) -> None:
    bought, sold = year_of(5, 0.5)
    bill, slack = billed(kind, bought, sold)
    prices = least_prices(charged(kind), AXIS, bought, sold)
    assert prices.cost(bought, sold, AXIS.hours) == pytest.approx(bill, abs=slack)
    assert prices.notes == ()


@pytest.mark.parametrize("net", [-1.0, 2.0])
def test_netting_by_the_year_at_one_price_is_met_on_either_side(net: float) -> None:
    """One import price, one export price: what is left after netting is charged at one of them. By hand."""
    terms = tariff(band("All", 0.3, "00:00", "24:00"), export=0.06, netting="year")
    bought, sold = year_of(1, net)
    left = float((bought - sold).sum())
    by_hand = left * (0.3 if left > 0 else 0.06)
    found = least_prices(terms, AXIS, bought, sold)
    assert found.cost(bought, sold, 1.0) == pytest.approx(by_hand)
    assert "Netting by the year" in found.notes[0]


def test_a_month_of_peaks_by_hand() -> None:
    """4.00 a kW and month on the peak above 2.5 kW, alone in its month: 6 kW once in March come to 3.5 × 4."""
    terms = tariff(band("All", 0.0, "00:00", "24:00"), demand=demand(rolling_months=1))
    bought = np.zeros(AXIS.steps)
    bought[31 * 24 + 28 * 24 + 100] = 6.0
    found: LeastPrices = least_prices(terms, AXIS, bought, 0.0 * bought)
    assert found.cost(bought, 0.0 * bought, 1.0) == pytest.approx(14.0)
    assert fixed_cost(terms, AXIS) == pytest.approx(12 * 2.5 * 4.0)
