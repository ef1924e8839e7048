"""An account and its prices in; what the home would have cost as it was before, saved and paid back to date, out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.case.case import Case
from simkit.case.money.money_rules import DAYS_A_YEAR
from simkit.finance.ledger import settled
from simkit.meter.account.account import Account
from simkit.meter.account.dated_prices import fuel_prices, prices_on, terms_of
from simkit.meter.account.expected import HOMES, Expected
from simkit.meter.fitting.lanes import metered
from simkit.meter.fitting.parameters import parameters_of
from simkit.meter.fitting.window import window_of
from simkit.uncertainty.ranges import Range

# What of the fit is the building's and the household's, and so was the same before the change. What was held was not.
SAME_BEFORE = ("loss_w_per_k", "base_kwh", "steady_kwh", "gains", "windows", "mass", "draws")


@dataclass(frozen=True)
class PaidBack:
    """What a change has paid back to date.

    Attributes
    ----------
    outlay
        What it cost net, grants and what was spared taken off [currency].
    saved
        Saved to date, 10–50–90 [currency].
    service
        What service has cost more since (less where negative), by the days read [currency].
    interest
        Interest of its credit in all [currency]: told, and not part of the sum.
    days
        Days that were read.
    """

    outlay: float
    saved: Range
    service: float
    interest: float
    days: int

    @property
    def back(self) -> Range:
        """Paid back to date [currency]."""
        return self.saved.shifted(-self.service)

    @property
    def years(self) -> Range | None:
        """Years to pay it all back at this pace; None without a whole year, or where it may save nothing."""
        if self.days < round(DAYS_A_YEAR) or self.back.low <= 0.0:
            return None
        a_year = self.days / DAYS_A_YEAR
        return Range(*(self.outlay / end * a_year for end in (self.back.high, self.back.middle, self.back.low)))


def against_old(account: Account, expected: Expected, cost: Floats) -> tuple[Range | None, Floats]:
    """What the home would have cost as it was before, by day (days,) [currency], and what was saved to date.

    Homes are those of the fit; the boiler's efficiency, which no reading of today tells, is drawn from its own prior.

    Parameters
    ----------
    account, expected
        The account, and its span and weather.
    cost
        What days have cost, NaN where not read, (days,) [currency].
    """
    old = account.old
    if old is None or old.fuel is None:
        return None, np.full(len(cost), np.nan)
    place = [k for k, one in enumerate(account.unknowns) if one.name in SAME_BEFORE]
    values, unknowns = account.values(HOMES)[:, place], [account.unknowns[k] for k in place]
    if old.heat_source == "boiler":
        boiler = next(one for one in parameters_of(old) if one.name == "efficiency")
        scores = np.random.default_rng(3).normal(size=HOMES)
        values, unknowns = np.column_stack([values, boiler.value(scores)]), [*unknowns, boiler]
    start = expected.window.starts[0]
    before = window_of(
        old, start, expected.window.starts[-1] + pd.Timedelta(hours=expected.window.hours), weather=expected.then
    )
    made = metered(before, unknowns, values, ["import_kwh", "export_kwh", "fuel_kwh"])
    now, _ = prices_on(terms_of(account, old), old, before)
    steps = np.diff(before.edges)
    bought, sold = (np.add.reduceat(each, before.edges[:-1]) / steps for each in (now.bought, now.sold))
    fuel = made["fuel_kwh"] / old.fuel.kwh_per_unit * fuel_prices(account, expected.days) + old.fuel.standing_per_day
    each = made["import_kwh"] * bought - made["export_kwh"] * sold + now.standing + fuel
    read = np.isfinite(cost)
    saved = (each[:, read] - cost[read]).sum(axis=1)
    order, n = np.argsort(saved), len(saved)
    middle = each[order[(n - 1) // 2 : n // 2 + 1]].mean(axis=0)  # so that days add up to the middle of the range
    return Range.of(saved), middle


def paid_back(account: Account, saved: Range | None, days: pd.DatetimeIndex) -> PaidBack | None:
    """What the change has paid back by the days that were read; None where it cost nothing or nothing is known."""
    case, old = account.case, account.old
    if saved is None or case.money is None or case.ledger is None or old is None:
        return None
    settlement = settled(case.ledger, case.money)
    if settlement.outlay <= 0.0:
        return None
    more = _service(case) - _service(old)
    terms = settlement.financing
    return PaidBack(
        settlement.outlay,
        saved,
        more * len(days) / DAYS_A_YEAR,
        terms.interest if terms is not None else 0.0,
        len(days),
    )


def _service(case: Case) -> float:
    """What looking after a home's heat sources costs a year [currency]."""
    assert case.money is not None  # asked of cases with money only
    both = ("heat_pump", "boiler") if case.heat_source == "hybrid" else (case.heat_source,)
    return sum(float(getattr(case.money.service, source)) for source in both)
