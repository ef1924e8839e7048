"""Amounts by year in; present values, rates of return, paybacks and loan payments out, special cases in words.

The first amount is today's and is not discounted; the others follow at the ends of years (or months, where the rate is
one of months). Money that is paid is negative, money that is received positive. No function here knows about homes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import expm1, inf, log1p, nan

import numpy as np

from simkit.arrays import Floats
from simkit.notation import PLAIN, Notation

Flows = Sequence[float] | Floats

SAME_ROOT = 1e-6  # roots nearer than this are one that touches
NEARLY_REAL = 1e-7  # imaginary part that rounding leaves on a real root
LOWEST_RATE, HIGHEST_RATE = -0.99, 100.0  # rates outside lose all meaning for a home


def discount_factors(rate: float, periods: int) -> Floats:
    """Worth today of one paid now and at the end of each period, (periods + 1,): 1, 1/(1 + r), 1/(1 + r)², ..."""
    return np.asarray((1.0 + rate) ** -np.arange(periods + 1.0))


def present_value(rate: float, flows: Flows) -> float:
    """Net present value: the sum of all amounts, each worth what its waiting leaves of it.

    Parameters
    ----------
    rate
        What a period's waiting is worth [share], above −1.
    flows
        Amounts, today's first; an empty list is worth 0.
    """
    amounts = np.asarray(flows, dtype=np.float64)
    return float(amounts @ discount_factors(rate, len(amounts) - 1)) if len(amounts) else 0.0


def even_amount(rate: float, periods: float, value: float) -> float:
    """Even amount at the end of each period that is worth `value` today: an annualised cost, or a loan's payment.

    That is value · r / (1 − (1 + r)^−n), and value / n at a rate of 0.
    """
    if abs(rate) < 1e-12:
        return value / periods
    return value / (-expm1(-periods * log1p(rate)) / rate)


def periods_to_repay(rate: float, payment: float, borrowed: float) -> float:
    """Periods until a loan is repaid; infinite where the payment doesn't cover the interest, 0 for no loan."""
    if borrowed <= 0.0:
        return 0.0
    if payment <= borrowed * rate or payment <= 0.0:
        return inf
    if abs(rate) < 1e-12:
        return borrowed / payment
    return -log1p(-borrowed * rate / payment) / log1p(rate)


@dataclass(frozen=True)
class ReturnRate:
    """Internal rate of return, with how sure its meaning is.

    Attributes
    ----------
    rate
        The rate at which the amounts are worth nothing today [share]; NaN where there is none or more than one.
    roots
        Every such rate, ascending.
    why_none
        Why there is none, as the end of a sentence; empty where there is one or more.
    """

    rate: float
    roots: tuple[float, ...]
    why_none: str = ""

    def worded(self, notation: Notation = PLAIN) -> str:
        """What there is to say about it, in one sentence."""
        if self.why_none:
            return f"there is no rate of return: {self.why_none}."
        if len(self.roots) > 1:
            listed = ", ".join(notation.share(rate, 1) for rate in self.roots)
            what = f"{len(self.roots)} rates of return ({listed})"
            return f"{what}: none of them decides, look at what it is worth today."
        earned = (
            f"it earns {notation.share(self.rate, 1)} a year" if self.rate >= 0.0 else "it never earns its price back"
        )
        return f"{earned} (rate of return)."


def return_rate(flows: Flows) -> ReturnRate:
    """Find the internal rate of return, and say where there is none or more than one.

    Amounts that never change their sign have none. Amounts that change it more than once may have several: then none of
    them says how good the thing is, all are listed, and the net present value decides. Rates from −99 % to 10,000 % are
    looked at.
    """
    amounts = np.trim_zeros(np.asarray(flows, dtype=np.float64))
    if not len(amounts):
        return ReturnRate(nan, (), "no money moves")
    if (amounts >= 0).all() or (amounts <= 0).all():
        return ReturnRate(nan, (), "it is never paid for" if amounts[0] > 0 else "it never brings anything back")
    found = _rates(amounts)
    if not found:
        return ReturnRate(nan, (), "it never earns its price back")
    return ReturnRate(found[0] if len(found) == 1 else nan, found)


def _rates(amounts: Floats) -> tuple[float, ...]:
    """Real rates at which the polynomial in 1/(1 + r) vanishes, ascending."""
    roots = np.roots(amounts)  # in x = 1 + r, since amounts fall in powers of 1 + r
    real = np.sort(roots[np.abs(roots.imag) < NEARLY_REAL * np.maximum(np.abs(roots), 1.0)].real) - 1.0
    kept: list[float] = []
    for rate in real.tolist():
        if LOWEST_RATE <= rate <= HIGHEST_RATE and (not kept or rate - kept[-1] > SAME_ROOT):
            kept.append(rate)
    return tuple(kept)


def payback_years(flows: Flows, rate: float = 0.0, *, first: bool = False) -> float:
    """Years until amounts have paid for themselves: for good, or for the first time.

    The cumulated amounts, discounted at `rate` (0 for the simple payback), are followed to the last time they turn from
    below zero to zero or more, evenly within the year. They may dip below again when a part is replaced: then the later
    time counts, unless the first is asked for. Infinite where they end below zero (or never come up to it, for the
    first time), 0 where they never are below it (or begin there).

    Parameters
    ----------
    flows
        Amounts by year, today's first.
    rate
        Discount rate [share].
    first
        Whether the first time is meant.
    """
    amounts = np.asarray(flows, dtype=np.float64)
    running = np.cumsum(amounts * discount_factors(rate, len(amounts) - 1)) if len(amounts) else np.zeros(1)
    least = 1e-9 * max(1.0, float(np.abs(running).max()))
    below = running < -least
    if first and len(running) > 1:  # what costs nothing at once and more from then on is not ahead for a moment
        below[0] |= bool(running[0] <= least and below[1])
    if not below.any() or (first and not below[0]):
        return 0.0
    before = int(below.argmin()) - 1 if first and not below.all() else int(np.flatnonzero(below)[-1])
    if before == len(running) - 1:
        return inf
    return float(before - running[before] / (running[before + 1] - running[before]))


def years_words(first: float, last: float, horizon: int, notation: Notation = PLAIN) -> str:
    """Say a payback: "pays for itself after 7.4 years", or that it doesn't, and when it is ahead only for a while.

    Parameters
    ----------
    first, last
        When it has paid for itself for the first time, and for good; infinite where it never does [years].
    horizon
        The years looked at.
    notation
        How numbers are written.
    """
    soon, late = (notation.number(years, 1) for years in (first, last))
    if first < last and first <= horizon:
        ahead = "is ahead at once" if first == 0.0 else f"pays for itself after {soon} years"
        again = f"is ahead for good after {late} years" if last <= horizon else f"not for good in {horizon} years"
        return f"{ahead}, falls behind again, and {again}" if last <= horizon else f"{ahead}, but {again}"
    if last == 0.0:
        return "pays for itself at once"
    return f"pays for itself after {late} years" if last <= horizon else f"does not pay for itself in {horizon} years"


def years_cell(first: float, last: float, horizon: int, notation: Notation = PLAIN) -> str:
    """Write a payback into a cell: "at once", "7.4 y", "not in 20 y", or "9.0 y, for good 18.0 y"."""
    begins, ends = ("at once" if years == 0.0 else f"{notation.number(years, 1)} y" for years in (first, last))
    if first < last and first <= horizon:
        return f"{begins}, for good {ends}" if last <= horizon else f"{begins}, not for good in {horizon} y"
    return ends if last <= horizon else f"not in {horizon} y"
