"""Amounts by year in; values, rates, paybacks and loans held against published and textbook cases."""

from __future__ import annotations

from math import inf, isnan

import numpy as np
import numpy_financial as npf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from references import Reference

from simkit.finance.cash import (
    ReturnRate,
    even_amount,
    payback_years,
    periods_to_repay,
    present_value,
    return_rate,
    years_cell,
    years_words,
)
from simkit.notation import Notation
from simkit.validation.published import published

SOURCE, ROWS = published("finance_examples")
EXAMPLES = {row["id"]: row for row in ROWS}


def flows(example: str) -> list[float]:
    return [float(part) for part in EXAMPLES[example]["cash_flows"].split(";")]


def test_one_rate_is_worth_nothing_today() -> None:
    found = return_rate([-1000, 300, 420, 680])
    assert found.worded() == "it earns 16.3\u00a0% a year (rate of return)."
    Reference(0.1634, "own: -1000 + 300/1.1634 + 420/1.1634^2 + 680/1.1634^3 = 0.02", 5e-5, "four digits").check(
        found.rate
    )
    assert present_value(found.rate, [-1000, 300, 420, 680]) == pytest.approx(0.0, abs=1e-9)


def test_a_rate_below_zero_is_said_as_a_loss() -> None:
    found = return_rate([-1000, 300, 300])  # own: (1 + r)² = 0.3·(1 + r) + 0.3 at r = −0.282
    assert found.rate == pytest.approx(-0.282, abs=1e-3)
    assert found.worded() == "it never earns its price back (rate of return)."


def test_money_that_comes_back_exactly_earns_nothing_and_no_loss() -> None:
    assert ReturnRate(0.0, (0.0,)).worded() == "it earns 0.0\u00a0% a year (rate of return)."


def test_what_rounding_leaves_of_an_imaginary_part_is_measured_by_the_size_of_the_root(monkeypatch) -> None:
    """A ten-millionth of the root, and of 1 where the root is smaller: a pair that touches is one root, others none."""
    kept, left = (0.5 + 8e-8j, 3.0 + 2.5e-7j), (0.7 + 1.05e-7j, 3.5 + 4e-7j)
    monkeypatch.setattr(np, "roots", lambda _: np.array([*kept, *left]))
    assert return_rate([-1.0, 2.0, 3.0]).roots == pytest.approx((-0.5, 2.0))


def test_two_rates_decide_nothing() -> None:
    found = return_rate([-100, 230, -132])  # (1 + r) = 1.1 and 1.2: -100·1.1·1.1 + 230·1.1 - 132 = 0, own
    assert isnan(found.rate)
    assert found.roots == pytest.approx((0.1, 0.2))
    assert "(10,0\u00a0%, 20,0\u00a0%)" in found.worded(Notation("fr_FR", "EUR"))
    assert (
        found.worded()
        == "2 rates of return (10.0\u00a0%, 20.0\u00a0%): none of them decides, look at what it is worth today."
    )


@pytest.mark.parametrize(
    ("amounts", "words"),
    [
        ([100, 50], "there is no rate of return: it is never paid for."),
        ([0.5, 0, 50], "there is no rate of return: it is never paid for."),
        ([-100, -50], "there is no rate of return: it never brings anything back."),
        ([0, 0], "there is no rate of return: no money moves."),
        ([], "there is no rate of return: no money moves."),
        ([100, -200, 150], "there is no rate of return: it never earns its price back."),
    ],
)
def test_no_rate_is_said_in_words(amounts: list[float], words: str) -> None:
    found = return_rate(amounts)
    assert isnan(found.rate)
    assert found.worded() == words


def test_paybacks() -> None:
    assert payback_years([-3000, *[500] * 10]) == 6.0
    assert payback_years([-3100, *[500] * 10]) == pytest.approx(6.2)
    assert payback_years([-3000, *[100] * 10]) == inf
    assert payback_years([200, 100]) == 0.0
    assert payback_years([]) == 0.0
    # 10,000 out, 2,600 a year at 10 %: the sum of discounted savings reaches it where n = -ln(1 - 10·0.1/2.6)/ln 1.1 in
    # the fifth year or after; by whole years with even growth within: 9,856.05 after five, 1,467.63 in the sixth
    found = payback_years([-10_000, *[2_600] * 6], 0.10)
    Reference(5.098, "own: 5 + (10000 - 2600·3.790787)/(2600/1.1^6)", 5e-4, "three decimals").check(found)


def test_a_dip_when_a_part_is_replaced_puts_the_payback_off() -> None:
    flows = [-100, 60, 60, -50, 60]
    assert payback_years(flows) == pytest.approx(3.5)
    # by hand: -100, -40, 20, -30, 30: up at 1 + 40/60, down in the third year, up again at 3 + 30/60
    assert payback_years(flows, first=True) == pytest.approx(1 + 40 / 60)
    said = years_words(payback_years(flows, first=True), payback_years(flows), 4)
    assert said == "pays for itself after 1.7 years, falls behind again, and is ahead for good after 3.5 years"


def test_what_is_ahead_for_a_while_only_is_said_so() -> None:
    """By hand: -100, -40, 20, -30: ahead from 1.7 years on, behind when the part is due, and the end is below zero."""
    flows = [-100, 60, 60, -50]
    assert (payback_years(flows), payback_years([-3, 1], first=True)) == (inf, inf)
    assert payback_years([2, -3, 2], first=True) == 0.0
    assert payback_years([0, -3, 1], first=True) == inf, "what only costs more is not ahead at once"
    assert payback_years([0, -3, 6], first=True) == payback_years([0, -3, 6]) == pytest.approx(1.5)
    assert payback_years([0, 3, -6], first=True) == 0.0
    first, last = payback_years(flows, first=True), payback_years(flows)
    assert years_words(first, last, 3) == "pays for itself after 1.7 years, but not for good in 3 years"
    assert years_cell(first, last, 3) == "1.7 y, not for good in 3 y"
    assert years_cell(3.0, inf, 3) == "3.0 y, not for good in 3 y"
    assert years_words(3.0, inf, 3) == "pays for itself after 3.0 years, but not for good in 3 years"
    assert years_words(0.0, 1.5, 3) == "is ahead at once, falls behind again, and is ahead for good after 1.5 years"


def test_special_cases() -> None:
    assert even_amount(0.0, 12, 12.0) == 1.0
    assert periods_to_repay(0.01, 10, 1000) == inf
    assert periods_to_repay(0.0, 10, 1000) == 100
    assert periods_to_repay(0.05, 10, 0) == 0
    assert years_words(0.0, 0.0, 20) == "pays for itself at once"
    assert years_words(7.44, 7.44, 20) == "pays for itself after 7.4 years"
    assert years_words(inf, inf, 20) == "does not pay for itself in 20 years"


AMOUNTS = st.lists(st.floats(-1e4, 1e4, allow_nan=False), min_size=2, max_size=25)


@settings(deadline=None)
@given(AMOUNTS, st.floats(-0.3, 0.4))
def test_values_are_those_of_the_second_opinion(amounts: list[float], rate: float) -> None:
    other = float(npf.npv(rate, amounts))
    assert present_value(rate, amounts) == pytest.approx(other, rel=1e-9, abs=1e-6)


@settings(deadline=None)
@given(st.lists(st.floats(1, 5000), min_size=1, max_size=25), st.floats(100, 20_000))
def test_rates_are_those_of_the_second_opinion(savings: list[float], outlay: float) -> None:
    found, other = return_rate([-outlay, *savings]), float(npf.irr([-outlay, *savings]))
    if not isnan(found.rate) and not isnan(other) and found.rate > -0.9:
        assert found.rate == pytest.approx(other, abs=1e-6)
        assert abs(present_value(found.rate, [-outlay, *savings])) < 1e-4 * (outlay + np.sum(savings))


@settings(deadline=None)
@given(st.floats(0.0, 0.3), st.floats(1, 400), st.floats(100, 1e5))
def test_a_loan_is_repaid_by_its_payments(rate: float, periods: float, borrowed: float) -> None:
    payment = even_amount(rate, periods, borrowed)
    if payment > borrowed * rate * (1 + 1e-9):
        assert periods_to_repay(rate, payment, borrowed) == pytest.approx(periods, rel=1e-5)


@pytest.mark.parametrize(
    ("first", "last", "cell"),
    [
        (7.4, 7.4, "7.4 y"), (0.0, 0.0, "at once"), (inf, inf, "not in 20 y"), (20.5, 20.5, "not in 20 y"), (20.0, 20.0, "20.0 y"),
        (9.0, 18.0, "9.0 y, for good 18.0 y"), (9.0, inf, "9.0 y, not for good in 20 y"), (21.0, 25.0, "not in 20 y"),
    ],
)  # fmt: skip
def test_a_payback_in_a_cell(first: float, last: float, cell: str) -> None:
    assert years_cell(first, last, 20) == cell


def test_ahead_for_good_in_the_last_year_that_is_looked_at() -> None:
    said = "pays for itself after 1.0 years, falls behind again, and is ahead for good after 3.0 years"
    assert years_words(1.0, 3.0, 3) == said


def test_what_rounding_leaves_of_large_amounts_is_no_debt() -> None:
    """A thousandth of a cent is still missing of a million: paid back in its first year."""
    assert payback_years([-1e6, 1e6 - 1e-4]) == pytest.approx(1.0)
    assert payback_years([-1e6, 1e6 - 1e-2]) == inf


def test_no_loan_takes_no_time_whatever_is_paid() -> None:
    assert periods_to_repay(0.05, 0.0, 0.0) == periods_to_repay(0.05, 10.0, -5.0) == 0.0
    assert periods_to_repay(0.0, 0.1, 0.5) == pytest.approx(5.0)


def test_a_rate_beyond_a_hundredfold_is_none() -> None:
    assert return_rate([-1.0, 101.0]).roots == pytest.approx((100.0,))
    assert return_rate([-1.0, 106.0]).roots == ()
