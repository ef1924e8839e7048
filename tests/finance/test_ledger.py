"""A ledger worked by hand in, with deposit, credit and rebate; its totals and its financing out."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy_financial as npf
import pytest
from case.stated import made, table
from hypothesis import given, settings
from hypothesis import strategies as st

from simkit.case.build import Case
from simkit.case.money.ledger import KIND_WORDS, Kind
from simkit.finance.ledger import NOTHING, Settled, financing, settled

MONEY = {"start": "2026-01-01", "savings_rate": 0.03}


def line(label: str, kind: str, amount: float, date: str, **more: Any) -> dict[str, Any]:
    return {"label": label, "kind": kind, "amount": amount, "date": date, **more}


# By hand: 10,800 + 900·1.135 + 350 + 120 = 12,291.50 price; 6,500 + 300 + 150 = 6,950 off; 5,341.50 net, of which 1,000
# ahead and 3,000 borrowed: 1,341.50 is due in cash; a boiler of 3,200 is spared.
LINES = [
    line("heat pump, fitted", "quote", 10_800.0, "2026-04-01", source="written quote"),
    line("pipework", "enabling", 900.0, "2026-03-15", vat=0.135),
    line("old boiler and tank away", "removal", 350.0, "2026-04-01"),
    line("meter off", "disconnection", 120.0, "2026-06-01"),
    line("public grant", "grant", 6500.0, "2026-07-01", against="heat pump, fitted"),
    line("spring discount", "discount", 300.0, "2026-04-01"),
    line("card rebate", "rebate", 150.0, "2026-05-01"),
    line("paid on signing", "deposit", 1000.0, "2026-02-01", paid=True),
    line("a new boiler", "would_have_spent", 3200.0, "2028-01-01"),
]
CREDIT: dict[str, Any] = {"amount": 3000.0, "rate_per_year": 0.06, "first_payment": "2026-05-01", "years": 3.0}


def case_with(lines: list[dict[str, Any]], credit: dict[str, Any] | None = None) -> Case:
    return made(table(money=MONEY, ledger={"item": lines} | ({"credit": credit} if credit else {})))


def added_up(lines: list[dict[str, Any]], credit: dict[str, Any] | None = None) -> Settled:
    case = case_with(lines, credit)
    assert case.money is not None
    return settled(case.ledger, case.money)


def test_a_ledger_by_hand() -> None:
    found = added_up(LINES, CREDIT)
    assert found.price == pytest.approx(12_291.50)
    assert found.supports == pytest.approx(6_950.0)
    assert found.net == pytest.approx(5_341.50)
    assert (found.deposits, found.credit) == (1000.0, 3000.0)
    assert found.due == pytest.approx(1_341.50)
    assert found.spared == 3200.0
    assert found.already_paid == 1000.0
    assert found.outlay == pytest.approx(5_341.50 - 3200.0)
    frame = found.frame()
    assert frame["date"].is_monotonic_increasing
    assert frame["running"].iloc[-1] == pytest.approx(found.outlay)
    assert frame.loc[frame["line"] == "heat pump, fitted", "amount"].item() == pytest.approx(9800.0)
    assert frame.loc[frame["line"] == "heat pump, fitted", "source"].item() == "written quote"
    assert frame.loc[frame["line"] == "pipework", "source"].item() == "source not stated"


def test_interest_until_due_by_hand() -> None:
    found = added_up([line("unit", "quote", 1000.0, "2027-01-01"), line("ahead", "deposit", 400.0, "2026-01-01")])
    assert found.interest_until_due == pytest.approx(600 * (1.03 ** (365 / 365.2425) - 1))
    assert found.financing is None


def test_interest_until_due_is_of_what_is_left_when_grants_and_discounts_are_in() -> None:
    """By hand: 10,000 due after 60 days, 1 of it ahead, 7,000 granted that day: 2,999 wait for 60 days at 4 %."""
    lines = [
        line("unit", "quote", 10_000.0, "2026-03-02"),
        line("ahead", "deposit", 1.0, "2026-01-01"),
        line("support", "grant", 7000.0, "2026-03-02"),
    ]
    ledger = case_with(lines).ledger
    money = made(table(money={"start": "2026-01-01", "savings_rate": 0.04})).money
    assert money is not None
    assert settled(ledger, money).interest_until_due == pytest.approx(2999 * (1.04 ** (60 / 365.2425) - 1))
    assert settled(ledger, money).interest_until_due == pytest.approx(19.38, abs=0.005)


def test_a_credit_by_hand_and_by_a_second_opinion() -> None:
    found = added_up(LINES, CREDIT).financing
    assert found is not None
    assert found.payment_per_month == pytest.approx(-float(npf.pmt(0.005, 36, 3000.0)))
    assert found.months == 36
    assert found.total == pytest.approx(36 * found.payment_per_month)
    assert found.interest == pytest.approx(found.total - 3000.0)
    assert found.yearly_rate == pytest.approx(1.005**12 - 1)
    assert found.ends == dt.date(2029, 4, 1)
    assert found.advantage < 0, "borrowing at 6 % costs more than cash at 3 % earns"


def test_a_credit_at_the_rate_that_cash_earns_is_worth_nothing() -> None:
    credit = case_with(LINES, CREDIT).ledger
    assert credit is not None
    assert credit.credit is not None
    assert financing(credit.credit, 1.005**12 - 1).advantage == pytest.approx(0.0, abs=1e-8)


def test_a_credit_by_its_payment_ends_with_what_is_left() -> None:
    credit = {k: v for k, v in CREDIT.items() if k != "years"} | {"payment_per_month": 100.0}
    found = added_up(LINES, credit).financing
    assert found is not None
    periods = float(npf.nper(0.005, -100.0, 3000.0))
    assert found.months == int(periods) + 1
    assert 100 * (found.months - 1) < found.total < 100 * found.months
    assert financing_free().total == pytest.approx(3000.0)


def financing_free() -> Any:
    found = added_up(LINES, CREDIT | {"rate_per_year": 0.0}).financing
    assert found is not None
    return found


def test_no_ledger_is_nothing() -> None:
    case = made(table(money=MONEY))
    assert case.money is not None
    assert settled(None, case.money) is NOTHING
    assert NOTHING.outlay == 0
    assert {value for value in vars(NOTHING).values() if isinstance(value, float)} == {0.0}
    assert NOTHING.frame().empty


def test_every_kind_has_words() -> None:
    assert set(KIND_WORDS) == set(Kind.__args__)


@settings(deadline=None)
@given(st.lists(st.floats(1, 5000), min_size=1, max_size=5), st.floats(0, 1), st.floats(0, 1))
def test_totals_reconcile(costs: list[float], supported: float, ahead: float) -> None:
    lines = [line(f"cost {k}", "quote", round(cost, 2), "2026-04-01") for k, cost in enumerate(costs)]
    price = sum(item["amount"] for item in lines)
    grant = round(supported * price * 0.99, 2)
    lines.append(line("grant", "grant", grant, "2026-05-01"))
    lines.append(line("ahead", "deposit", round(ahead * 0.99 * (price - grant), 2), "2026-02-01"))
    found = added_up(lines)
    assert found.outlay == pytest.approx(found.net)
    assert found.net == pytest.approx(found.deposits + found.credit + found.due)
