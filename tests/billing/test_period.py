"""A bill of some days: which of them count, how it is rounded, and what can't be asked."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from tariffs import band, tariff

from simkit.billing.bill import Part
from simkit.billing.charge import charge
from simkit.billing.period import _whole, charge_period
from simkit.clock import TimeAxis
from simkit.errors import CaseError
from simkit.tariff.terms import Tier

DUBLIN = TimeAxis("Europe/Dublin", 2025, 60)
LOAD = np.ones(DUBLIN.steps)
PLAIN = tariff(band("All", 0.3, "00:00", "24:00"), standing_per_day=0.5)
MARCH = dt.date(2025, 3, 1), dt.date(2025, 3, 31)  # with the day of 23 hours


def days(first: dt.date, last: dt.date, rules=PLAIN, **more):
    return charge_period(rules, DUBLIN, LOAD, first=first, last=last, **more)


@pytest.mark.parametrize(
    ("first", "last", "count", "hours"),
    [
        (dt.date(2025, 3, 30), dt.date(2025, 3, 30), 1, 23),
        (dt.date(2025, 10, 26), dt.date(2025, 10, 27), 2, 49),
        (dt.date(2025, 1, 1), dt.date(2025, 1, 1), 1, 24),
        (dt.date(2025, 12, 31), dt.date(2025, 12, 31), 1, 24),
        (dt.date(2025, 1, 1), dt.date(2025, 12, 31), 365, 8760),
    ],
)
def test_both_ends_count(first: dt.date, last: dt.date, count: int, hours: int) -> None:
    """By hand: a kilowatt-hour an hour at 0.30, and 0.50 a day."""
    bill = days(first, last)
    assert bill.days == count
    assert [line.quantity for line in bill.lines] == [hours, count]
    assert bill.total == pytest.approx(0.3 * hours + 0.5 * count, abs=1e-9)


def test_each_line_is_rounded_once_over_all_its_days() -> None:
    """By hand: 8760 × 0.333333 is 2,920.00 in one piece, and a few cents off where each month is rounded."""
    rules = tariff(band("All", 0.333333, "00:00", "24:00"))
    assert days(dt.date(2025, 1, 1), dt.date(2025, 12, 31), rules).total == 2920.0
    months = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    hours = [24 * count + {2: -1, 9: 1}.get(k, 0) for k, count in enumerate(months)]
    assert charge(rules, DUBLIN, LOAD).total == pytest.approx(sum(round(0.333333 * h, 2) for h in hours), abs=1e-9)


def test_what_is_sold_counts_in_those_days_only_and_nothing_is_charged_twice() -> None:
    rules = tariff(band("All", 0.3, "00:00", "24:00"), export=0.1)
    bill = days(*MARCH, rules, export_kwh=0.5 * LOAD)
    assert bill.total == pytest.approx(743 * 0.3 - 743 * 0.5 * 0.1, abs=1e-9)
    assert days(*MARCH, rules).total == pytest.approx(743 * 0.3, abs=1e-9)


@pytest.mark.parametrize(
    ("first", "last"),
    [
        (dt.date(2025, 3, 2), dt.date(2025, 3, 1)),
        (dt.date(2024, 12, 31), dt.date(2025, 1, 5)),
        (dt.date(2025, 12, 30), dt.date(2026, 1, 1)),
        (dt.date(2024, 1, 1), dt.date(2024, 2, 1)),
    ],
)
def test_days_that_are_no_stretch_of_the_year(first: dt.date, last: dt.date) -> None:
    with pytest.raises(CaseError) as caught:
        days(first, last)
    assert str(caught.value) == (
        f"{first} to {last} is no stretch of days of 2025, the year that was run. Choose days of that year, or run "
        "another [site] year."
    )


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (*MARCH, ()),
        (dt.date(2025, 3, 2), dt.date(2025, 3, 31), "1 billing month"),
        (dt.date(2025, 3, 2), dt.date(2025, 5, 30), "2 billing months"),
    ],
)
def test_a_billing_month_that_is_cut_is_told_where_its_use_as_a_whole_decides(first, last, said) -> None:
    tiers = (Tier(name="First", up_to_kwh=300.0, price_per_kwh=0.2), Tier(name="Beyond", price_per_kwh=0.4))
    rules = tariff(band("All", 0.1, "00:00", "24:00"), tier=tiers)
    bill = days(first, last, rules)
    wanted = (
        f'The days cut {said} of tariff "Test tariff": tiers are taken on the part that is charged, peaks on the whole '
        "month.",
    )
    assert bill.notes == (wanted if said else ())
    assert days(first, last).notes == ()


def test_a_line_with_prices_of_its_own_is_rounded_once_over_all_its_months() -> None:
    made = _whole(Part("Market", "market", "kWh", np.array([1.0, 2.0]), 0.0, 0.0, np.array([0.304, 0.404])))
    assert made.quantities.tolist() == [3.0]
    assert made.money is not None
    assert made.money == pytest.approx([0.708])
