"""Amounts in words: currency, sign, cents, and ranges that go up, down, or either way."""

from __future__ import annotations

import pytest

from simkit.reporting.money import money, more_or_less, rough, span, span_of_difference


@pytest.mark.parametrize(
    ("amount", "currency", "cents", "text"),
    [
        (3579.02, "EUR", False, "€3,579"),
        (3579.02, "EUR", True, "€3,579.02"),
        (-3579.02, "GBP", True, "−£3,579.02"),
        (-0.3, "EUR", False, "€0"),
        (14210.4, "DKK", False, "DKK 14,210"),
        (14210.4, "JPY", True, "¥14,210"),
        (1.5, "TND", True, "TND 1.500"),
        (float("nan"), "EUR", False, "not known"),
    ],
)
def test_an_amount_is_worded_in_its_currency(amount: float, currency: str, cents: bool, text: str) -> None:
    assert money(amount, currency, cents=cents) == text


@pytest.mark.parametrize(
    ("amount", "found"), [(84.4, 84), (126.0, 130), (-304.0, -300), (3098.7, 3100), (12_345.0, 12_300), (0.0, 0)]
)
def test_the_end_of_a_range_is_rounded_to_what_it_is_worth(amount: float, found: float) -> None:
    assert rough(amount) == found


def test_a_range_of_amounts() -> None:
    assert span(3098.7, 4163.0, "EUR") == "€3,100 to €4,160"
    assert span(-52.0, 4163.0, "EUR") == "−€52 to €4,160"
    assert span(float("nan"), 1.0, "EUR") == "not known"


@pytest.mark.parametrize(
    ("amount", "text"), [(147.2, "€147 more"), (-60.0, "€60 less"), (0.2, "as much"), (float("nan"), "not known")]
)
def test_a_difference_says_more_or_less(amount: float, text: str) -> None:
    assert more_or_less(amount, "EUR") == text


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [
        (-251.0, 563.0, "€250 less to €560 more"),
        (20.0, 430.0, "€20 to €430 more"),
        (-430.0, -20.0, "€20 to €430 less"),
        (float("nan"), 1.0, "not known"),
    ],
)
def test_a_range_of_differences_says_which_way(low: float, high: float, text: str) -> None:
    assert span_of_difference(low, high, "EUR") == text
