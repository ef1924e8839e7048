"""A simulated year and the terms of money in; the option's cash, carbon and heat by year over the horizon out.

This table is the only source of every measure of worth. Year 0 is the start; the first year of running is at today's
prices, whatever rises later; a heat pump, panels and a battery give less with every year. Costs are positive, what is
received negative.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.billing.bill import Bill
from simkit.billing.charge import FUELS
from simkit.case.case import Case
from simkit.case.money.money import Money
from simkit.case.money.money_rules import DAYS_A_YEAR
from simkit.finance.ageing import ageing
from simkit.finance.carbon import CarbonYears, carbon_years
from simkit.finance.cash import discount_factors, even_amount
from simkit.finance.ledger import Settled
from simkit.year.year import Year

RUNNING = ("electricity_cost", "standing_cost", "fuel_cost", "export_cost")
ONCE = ("outlay_cost", "spared_cost")
UPKEEP = ("service_cost", "replacement_cost", "residual_cost")
COLUMNS = (*ONCE, *RUNNING, *UPKEEP)
FUEL_NAMES = tuple(FUELS.values())  # tax on fuel is in its price
HEATED_BY = {"heat_pump": ("heat_pump", "hybrid"), "boiler": ("boiler", "hybrid")}


@dataclass(frozen=True, eq=False)
class OptionMoney:
    """One option over the years.

    Attributes
    ----------
    case
        What its ledger and parts are read from.
    year
        Its simulated year.
    money
        The terms of money.
    settled
        Its ledger, added up.
    """

    case: Case
    year: Year
    money: Money
    settled: Settled

    @property
    def name(self) -> str:
        """Name of the option."""
        return self.case.name

    @cached_property
    def cash(self) -> pd.DataFrame:
        """Every amount by year, 0 to the horizon [currency]; `total_cost`, and its worth today in `worth_today`."""
        return cash_table(self)

    @cached_property
    def cash_from_now(self) -> pd.DataFrame:
        """The same without what is spent already: the table of what comes next."""
        return cash_table(self, sunk=False)

    @cached_property
    def ageing(self) -> pd.DataFrame:
        """What fading panels and battery cost more in each year than in the first, at its prices; see `ageing`."""
        return ageing(self.year, self.money)

    @cached_property
    def worn(self) -> Floats:
        """Electricity of each year against the first, where a heat pump loses efficiency, (years,) [-]."""
        bought = self.year.totals["import"]
        share = min(self.year.totals["heat_pump_electricity"] / bought, 1.0) if bought > 0 else 0.0
        t = np.arange(self.money.horizon_years)
        return np.asarray(1.0 + share * ((1.0 - self.money.degradation_per_year) ** -t - 1.0))

    @property
    def import_kwh(self) -> Floats:
        """Electricity bought in each year, (years,) [kWh]."""
        return np.asarray(self.year.totals["import"] * self.worn + self.ageing["import_kwh"].to_numpy())

    @cached_property
    def carbon(self) -> CarbonYears:
        """Its carbon over the years."""
        return carbon_years(self.year, self.money, import_kwh=self.import_kwh)

    @property
    def worth_today(self) -> float:
        """Whole-life cost: all amounts of the horizon, worth today [currency]."""
        return float(self.cash["worth_today"].sum())

    @property
    def annualised_cost(self) -> float:
        """Even amount a year that is worth the same as the whole life [currency]."""
        return even_amount(self.money.discount_rate, self.money.horizon_years, self.worth_today)

    @property
    def heat_cost_per_kwh(self) -> float:
        """Annualised cost of the heating by the heat it gives to rooms and cylinder [currency/kWh].

        The household's own electricity is left out at the mean price of electricity; standing charges stay in.
        """
        factors = discount_factors(self.money.discount_rate, self.money.horizon_years)
        others = self.household_share * float(self.cash["electricity_cost"].to_numpy() @ factors)
        even = even_amount(self.money.discount_rate, self.money.horizon_years, self.worth_today - others)
        return even / self.heat_kwh if self.heat_kwh > 0 else float("nan")

    @property
    def heat_kwh(self) -> float:
        """Heat to rooms and cylinder in a year, that of a stove included, whose fuel is paid for too [kWh]."""
        stove = self.year.beside_kwh.get("stove_heat", 0.0)
        return self.year.totals["space_heat"] + self.year.totals["hot_water"] + stove

    @property
    def household_share(self) -> float:
        """Share of the electricity bought that household and car take, at the mean price [-]."""
        bought, others = self.year.totals["import"], self.year.totals["household"] + self.year.totals["car"]
        return min(others / bought, 1.0) if bought > 0 else 0.0


def running_parts(bill: Bill) -> Mapping[str, float]:
    """A bill by what rises alike: electricity, standing charges, fuel, export; tax goes with what it is charged on."""
    parts = dict.fromkeys(RUNNING, 0.0)
    into = {"standing": "standing_cost", "fuel": "fuel_cost", "stove": "fuel_cost", "export": "export_cost"}
    taxes, energy, fixed = 0.0, 0.0, 0.0
    for line in bill.lines:
        if line.kind == "tax":
            taxes += line.amount
            continue
        parts[into.get(line.kind, "electricity_cost")] += line.amount
        energy += line.amount if line.kind not in into else 0.0
        fixed += line.amount if line.kind == "standing" and not line.label.startswith(FUEL_NAMES) else 0.0
    share = fixed / (energy + fixed) if energy + fixed else 0.0
    parts["standing_cost"] += taxes * share
    parts["electricity_cost"] += taxes * (1.0 - share)
    return parts


def cash_table(option: OptionMoney, *, sunk: bool = True) -> pd.DataFrame:
    """Lay every amount on its year.

    Parameters
    ----------
    option
        Its simulated year gives the bill of the first year; the terms give horizon, rates, rises, service and parts;
        the ledger gives what is paid, received or spared once.
    sunk
        Whether what is spent already counts: yes to ask whether it was worth it, no to ask what comes next.

    Returns
    -------
    DataFrame
        Index `year` 0 to the horizon; columns `COLUMNS`, `total_cost` and `worth_today` [currency, in the terms of
        `money`: of today, or of each year].
    """
    year, money, years = option.year, option.money, option.money.horizon_years
    amounts = {column: np.zeros(years + 1) for column in COLUMNS}  # a frame is slow to write cell by cell
    for payment in option.settled.payments:
        if payment.paid and not sunk:
            continue
        column = "spared_cost" if payment.kind == "would_have_spent" else "outlay_cost"
        amounts[column][year_of(payment.date, money)] += payment.amount
    parts, rises = running_parts(year.bill), rise_factors(money)
    today = {column: np.full(years, parts[column]) for column in RUNNING}
    today["electricity_cost"] = today["electricity_cost"] * option.worn
    for column in ("electricity_cost", "export_cost"):
        today[column] = today[column] + option.ageing[column].to_numpy()
    for column, running in today.items():
        amounts[column][1:] = running * rises[column.removesuffix("_cost")]
    service = sum(getattr(money.service, what) for what in HEATED_BY if _has(option.case, what))
    amounts["service_cost"][1:] = service * rises["general"]
    for at, cost, worth_left in _replacements(option.case, money):
        if at is not None:
            amounts["replacement_cost"][at] += cost * float(rises["general"][at - 1])
        amounts["residual_cost"][years] -= worth_left * float(rises["general"][-1])
    table = pd.DataFrame(amounts, index=pd.RangeIndex(years + 1, name="year"))
    table["total_cost"] = table.sum(axis=1)
    table["worth_today"] = table["total_cost"] * discount_factors(money.discount_rate, years)
    return table


def year_of(date: dt.date, money: Money) -> int:
    """Year on whose end a day falls, to the nearest whole year; everything before the start counts as the start."""
    return min(max(round((date - money.start).days / DAYS_A_YEAR), 0), money.horizon_years)


def rise_factors(money: Money) -> dict[str, Floats]:
    """Prices of years 1 to the horizon against today's, (years,) by what is bought; the first year is 1."""
    t = np.arange(money.horizon_years)
    kinds = ("electricity", "standing", "fuel", "export", "general")
    return {what: np.asarray((1.0 + money.rise(what)) ** t, dtype=np.float64) for what in kinds}


def _has(case: Case, part: str) -> bool:
    """Whether an option has what a part belongs to."""
    if part in HEATED_BY:
        return case.heat_source in HEATED_BY[part]
    return getattr(case, part) is not None


def never_replaced(case: Case, money: Money) -> tuple[str, ...]:
    """What an option has and nobody listed the end of: as if it never died."""
    named = {part.of for part in money.part or ()}
    bought = any(line.life_years is not None for line in (case.ledger.item if case.ledger else ()))
    kinds = {"heat_pump": "heat pump", "boiler": "boiler", "battery": "battery"}
    return tuple(
        words
        for part, words in kinds.items()
        if _has(case, part) and part not in named and not (bought and part != "boiler")
    )


def _replacements(case: Case, money: Money) -> Iterator[tuple[int | None, float, float]]:
    """Every replacement (year, cost at today's prices) and, apart, what each thing is worth at the end."""
    for part in money.part or ():
        if _has(case, part.of):
            yield from _lives(money, part.cost, part.cost, part.life_years, -part.age_years)
    for line in case.ledger.lines if case.ledger else ():
        if line.life_years is not None:
            sign = -1.0 if line.kind == "would_have_spent" else 1.0
            again, bought = line.replacement or 0.0, float(year_of(line.date, money))
            yield from _lives(money, sign * line.gross, sign * again, line.life_years, bought)


def _lives(
    money: Money, first: float, again: float, life: float, bought: float
) -> Iterator[tuple[int | None, float, float]]:
    """Follow one thing from the year it was bought: replaced at the end of each life, worth what is left at the end."""
    end, cost = float(money.horizon_years), first
    while bought + life < end:
        bought, cost = bought + life, again
        yield max(1, round(bought)) if round(bought) < end else None, again if round(bought) < end else 0.0, 0.0
    left = max(0.0, 1.0 - (end - bought) / life)
    if money.residual == "straight line" and left > 0.0 and cost:
        yield None, 0.0, cost * left
