"""An option's ledger in; its lines with signs and dates, totals that reconcile, and its credit valued apart, out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np
import pandas as pd

from simkit.case.money.ledger import COSTS, KIND_WORDS, MONTHS_A_YEAR, SUPPORTS, Credit, Item, Ledger
from simkit.case.money.money import Money
from simkit.case.money.money_rules import DAYS_A_YEAR
from simkit.finance.cash import even_amount, periods_to_repay, present_value


@dataclass(frozen=True)
class Payment:
    """One movement of money.

    Attributes
    ----------
    date
        The day.
    label, kind
        As in the ledger; a deposit also takes its amount off the line it is part of.
    amount
        What is paid [currency]; negative for what is received or spared.
    paid
        Whether it is spent already.
    source
        Where the amount comes from.
    """

    date: dt.date
    label: str
    kind: str
    amount: float
    paid: bool
    source: str


@dataclass(frozen=True)
class Financing:
    """A credit, valued apart from what it pays for.

    Attributes
    ----------
    borrowed, payment_per_month, months, total, interest
        The credit, its even payment, how many of them, their sum (the last one is what is left), and the part of it
        that is interest [currency, months].
    yearly_rate
        Interest a year with interest on interest [share].
    advantage
        What the credit is worth today to somebody whose cash would earn the savings rate [currency]: what is borrowed
        less the payments discounted at that rate. Negative where borrowing costs more than the cash would earn. It is
        told beside the worth of the asset and is no part of it.
    ends
        Day of the last payment.
    """

    borrowed: float
    payment_per_month: float
    months: int
    total: float
    interest: float
    yearly_rate: float
    advantage: float
    ends: dt.date


@dataclass(frozen=True)
class Settled:
    """A ledger added up.

    Attributes
    ----------
    payments
        Every movement, by date.
    price, supports, net
        What everything costs, what is granted and taken off, and what is left to pay [currency].
    deposits, credit, due
        Paid ahead, borrowed, and left to be paid in cash when due [currency]: net = deposits + credit + due.
    spared
        What would have been spent anyway [currency].
    already_paid
        Part of the net price that is spent whatever is decided now [currency].
    interest_until_due
        What cash for later payments earns from the first day of the ledger on, with grants and discounts taken off on
        their days [currency]: below zero where they come so late that they are waited for. It is told, and never part
        of a discounted sum, which has the worth of waiting in it already.
    financing
        The credit; None without one.
    """

    payments: tuple[Payment, ...]
    price: float
    supports: float
    net: float
    deposits: float
    credit: float
    due: float
    spared: float
    already_paid: float
    interest_until_due: float
    financing: Financing | None

    def frame(self) -> pd.DataFrame:
        """One row for each line with date, kind, source and amount [currency], and the running sum."""
        rows = [
            {"date": p.date, "line": p.label, "kind": KIND_WORDS[p.kind], "amount": p.amount, "source": p.source}
            for p in self.payments
        ]
        table = pd.DataFrame(rows, columns=["date", "line", "kind", "amount", "source"])
        table["running"] = table["amount"].cumsum()
        return table

    @property
    def outlay(self) -> float:
        """Net price less what is spared [currency]: the sum of all movements."""
        return sum(payment.amount for payment in self.payments)


NOTHING = Settled((), 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, None)


def settled(ledger: Ledger | None, money: Money) -> Settled:
    """Add a ledger up.

    Parameters
    ----------
    ledger
        The ledger of an option; None for an option that costs nothing at once.
    money
        Gives the savings rate.

    Returns
    -------
    Settled
        Totals that reconcile: the movements sum to net price less what is spared, whatever was paid ahead.
    """
    if ledger is None:
        return NOTHING
    payments = _payments(ledger.lines)
    net = ledger.price - ledger.supports
    deposits = ledger.by_kind("deposit")
    borrowed = ledger.credit.amount if ledger.credit else 0.0
    return Settled(
        payments=payments,
        price=ledger.price,
        supports=ledger.supports,
        net=net,
        deposits=deposits,
        credit=borrowed,
        due=net - deposits - borrowed,
        spared=ledger.by_kind("would_have_spent"),
        already_paid=sum(p.amount for p in payments if p.paid and p.kind != "would_have_spent"),
        interest_until_due=_interest_until_due(payments, money.savings_rate),
        financing=financing(ledger.credit, money.savings_rate) if ledger.credit else None,
    )


def _payments(lines: Sequence[Item]) -> tuple[Payment, ...]:
    """Movements by date; deposits are paid on their day and come off the most expensive lines that cost."""
    left = {line.label: line.gross for line in lines if line.kind in COSTS}
    paid_ahead = sum(line.gross for line in lines if line.kind == "deposit")
    for label in sorted(left, key=lambda name: -left[name]):
        taken = min(paid_ahead, left[label])
        left[label], paid_ahead = left[label] - taken, paid_ahead - taken
    found = []
    for line in lines:
        amount = line.gross if line.kind == "deposit" else left.get(line.label, -line.gross)
        source = line.source or "source not stated"
        found.append(Payment(line.date, line.label, line.kind, amount, line.paid, source))
    assert all(payment.kind in (*COSTS, *SUPPORTS, "deposit", "would_have_spent") for payment in found)
    return tuple(sorted(found, key=lambda payment: payment.date))


def _interest_until_due(payments: Sequence[Payment], savings_rate: float) -> float:
    """Interest that the cash for each payment earns from the first day on, less that of what comes in for it."""
    if not payments:
        return 0.0
    first = payments[0].date
    own = [p for p in payments if p.kind != "would_have_spent"]
    later = [(p.amount, (p.date - first).days / DAYS_A_YEAR) for p in own]
    return float(sum(amount * ((1.0 + savings_rate) ** years - 1.0) for amount, years in later))


def financing(credit: Credit, savings_rate: float) -> Financing:
    """Value a credit by itself; payments fall due at the ends of months."""
    rate = credit.rate_per_year / MONTHS_A_YEAR
    if credit.payment_per_month is not None:
        exact, payment = periods_to_repay(rate, credit.payment_per_month, credit.amount), credit.payment_per_month
    else:
        exact = round(float(credit.years or 0.0) * MONTHS_A_YEAR)
        payment = even_amount(rate, exact, credit.amount)
    months = ceil(exact - 1e-9)
    paid = np.full(months + 1, payment)
    paid[0] = 0.0
    growth = (1.0 + rate) ** (months - 1)
    owed = credit.amount * growth - payment * ((growth - 1.0) / rate if rate > 0 else months - 1)
    paid[-1] = owed * (1.0 + rate)
    saved = (1.0 + savings_rate) ** (1.0 / MONTHS_A_YEAR) - 1.0
    total = float(paid.sum())
    last = credit.first_payment.month - 1 + months - 1
    ends = dt.date(credit.first_payment.year + last // 12, last % 12 + 1, min(credit.first_payment.day, 28))
    return Financing(
        credit.amount, payment, months, total, total - credit.amount, (1.0 + rate) ** MONTHS_A_YEAR - 1.0,
        credit.amount - present_value(saved, paid), ends,
    )  # fmt: skip
