"""The options of a case and the alternative they are measured against in; what they are worth over the years out.

Two questions are kept apart. "Was it worth it" counts everything, what is spent already too. "What now" counts only
what can still be decided: a sunk cost changes no digit of it. Financing is told beside both and is part of neither.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from math import nan

import pandas as pd

from simkit.answered import Answered
from simkit.case.case import Case
from simkit.case.money.money import Money
from simkit.errors import CaseError, Fault, perhaps, raise_all
from simkit.finance.carbon import CarbonYears
from simkit.finance.cash import ReturnRate, even_amount, payback_years, return_rate
from simkit.finance.cashflow import RUNNING, OptionMoney
from simkit.finance.ledger import settled
from simkit.year.compare import Comparison, compare


@dataclass(frozen=True)
class Measures:
    """What an option is worth against the alternative, every figure read off its yearly cash table.

    Attributes
    ----------
    option, against
        Names.
    extra_outlay
        What it costs more at once, less what is spared [currency]: its year 0 and every other single payment.
    first_year_saving
        Saving of the first year of running, at today's prices, service included [currency].
    simple_payback, discounted_payback, simple_first, discounted_first
        Years until it has paid for itself for good (infinite where it never does in the horizon), and for the first
        time: earlier where a part that is replaced takes it back [years].
    gain_today, gain_per_year
        Net present value, and the same as an even amount a year [currency].
    rate
        Internal rate of return.
    carbon_saved_kg, carbon_saved_life_t
        Saved in the first year, at the average factor [kg], and over the horizon [t].
    cost_per_tonne
        What a tonne avoided costs, worth today over tonnes as they come [currency/t]; negative where it also saves
        money, NaN where none is avoided.
    """

    option: str
    against: str
    extra_outlay: float
    first_year_saving: float
    simple_payback: float
    discounted_payback: float
    simple_first: float
    discounted_first: float
    gain_today: float
    rate: ReturnRate
    gain_per_year: float
    carbon_saved_kg: float
    carbon_saved_life_t: float
    cost_per_tonne: float


@dataclass(frozen=True, eq=False, repr=False)
class Worth(Answered):
    """Options over the years, measured against one of them.

    Attributes
    ----------
    options
        Every option, in the order of the case.
    against
        Name of the alternative.
    money
        The terms.
    """

    answered_by = "simkit.answers.money.worth:worth_answer"
    options: tuple[OptionMoney, ...]
    against: str
    money: Money

    def option(self, name: str) -> OptionMoney:
        """One option by its name."""
        names = [option.name for option in self.options]
        if name not in names:
            allowed = "is not among the options"
            raise CaseError(Fault("worth", f'option "{name}"', allowed, perhaps(name, names, _listed(names))))
        return self.options[names.index(name)]

    @property
    def base(self) -> OptionMoney:
        """The alternative."""
        return self.option(self.against)

    @property
    def others(self) -> tuple[OptionMoney, ...]:
        """Every option but the alternative."""
        return tuple(option for option in self.options if option.name != self.against)

    @cached_property
    def carbon(self) -> Mapping[str, CarbonYears]:
        """Carbon of every option over the years."""
        return {option.name: option.carbon for option in self.options}

    def difference(self, name: str, *, sunk: bool = True) -> pd.DataFrame:
        """Yearly cash of the alternative less that of an option [currency]: what the option saves, and `running`.

        Parameters
        ----------
        name
            The option.
        sunk
            Whether what is spent already counts.
        """
        option, base = self.option(name), self.base
        mine, other = (option.cash, base.cash) if sunk else (option.cash_from_now, base.cash_from_now)
        saved = other - mine
        saved.columns = pd.Index([column.removesuffix("_cost") for column in saved.columns])
        saved = saved.rename(columns={"total": "saved"})
        saved["cumulated"] = saved["saved"].cumsum()
        saved["cumulated_today"] = saved["worth_today"].cumsum()
        return saved

    def measures(self, name: str, *, sunk: bool = True) -> Measures:
        """What an option is worth against the alternative."""
        table, money = self.difference(name, sunk=sunk), self.money
        flows = table["saved"].to_numpy()
        gain = float(table["worth_today"].sum())
        now, old = self.carbon[name], self.carbon[self.against]
        tonnes = (old.life_kg - now.life_kg) / 1000.0
        first = table.loc[1, ["electricity", "standing", "fuel", "export", "service"]].sum()
        return Measures(
            option=name,
            against=self.against,
            extra_outlay=-float(table["outlay"].sum() + table["spared"].sum()),
            first_year_saving=float(first),
            simple_payback=payback_years(flows),
            discounted_payback=payback_years(flows, money.discount_rate),
            simple_first=payback_years(flows, first=True),
            discounted_first=payback_years(flows, money.discount_rate, first=True),
            gain_today=gain,
            rate=return_rate(flows),
            gain_per_year=even_amount(money.discount_rate, money.horizon_years, gain),
            carbon_saved_kg=old.first_year_kg - now.first_year_kg,
            carbon_saved_life_t=tonnes,
            cost_per_tonne=-gain / tonnes if tonnes > 1e-9 else nan,
        )

    def table(self) -> pd.DataFrame:
        """One row by option: whole-life cost, its even amount a year, cost of heat, and measures where one applies."""
        rows = []
        for option in self.options:
            row: dict[str, object] = {
                "option": option.name, "net_price": option.settled.net,
                "first_year": float(option.cash.loc[1, [*RUNNING, "service_cost"]].sum()),
                "whole_life_cost": option.worth_today, "cost_a_year": option.annualised_cost,
                "heat_cost_per_kwh": option.heat_cost_per_kwh,
            }  # fmt: skip
            if option.name != self.against:
                found = self.measures(option.name)
                row |= {"gain_today": found.gain_today, "simple_payback": found.simple_payback,
                        "discounted_payback": found.discounted_payback, "return_rate": found.rate.rate,
                        "cost_per_tonne": found.cost_per_tonne}  # fmt: skip
            rows.append(row)
        return pd.DataFrame(rows).set_index("option")

    def __repr__(self) -> str:
        return self.base.case.notation.frame(self.table())


def worth(case: Case, *, against: str | None = None, comparison: Comparison | None = None) -> Worth:
    """Weigh the options of a case over the years against a named alternative.

    Parameters
    ----------
    case
        A home with [money] and [[option]] tables, each with a ledger where it costs something at once.
    against
        Name of the option that the others are measured against; None takes the baseline that the case names. None is
        ever assumed.
    comparison
        The options as they were compared before, to spare simulating them again: ledgers and terms are those of `case`.

    Raises
    ------
    CaseError
        Where the case has no [money], names no alternative, or counts what is spared twice.
    """
    faults = []
    if case.money is None:
        remedy = "Add [money] with start, the day from which years are counted, such as start = 2026-01-01"
        why = "is missing, without which years can't be weighed"
        faults.append(Fault(case.label, "the table [money]", why, remedy))
    cases = {option.name: option for _, _, option in case.options()}
    names = list(cases)
    chosen = against if against is not None else case.baseline
    if chosen is None or chosen not in names:
        faults.append(_no_alternative(case, chosen, names))
    raise_all(faults)
    assert case.money is not None  # faults say so
    assert chosen is not None
    years = {year.case.name: year for year in (comparison if comparison is not None else compare(case)).years}
    if missing := [name for name in names if name not in years]:
        remedy = "Compare this very case, or leave the comparison out"
        raise CaseError(Fault(case.label, f'option "{missing[0]}"', "is not in the comparison given", remedy))
    terms = case.money
    priced = ((one, years[name], settled(one.ledger, terms)) for name, one in cases.items())
    made = Worth(tuple(OptionMoney(one, year, terms, ledger) for one, year, ledger in priced), chosen, terms)
    twice = [
        Fault(
            f'{case.label}, option "{option.name}"',
            f"would_have_spent of {option.settled.spared:g}",
            f'stands beside costs in the ledger of the alternative "{made.against}", so that they may be counted twice',
            "Keep it in one of the two: the alternative's own ledger is the better place",
        )
        for option in made.others
        if option.settled.spared and made.base.settled.net
    ]
    raise_all(twice)  # what an option spares stands in the ledger of the alternative already
    return made


def _no_alternative(case: Case, chosen: str | None, names: list[str]) -> Fault:
    """Ask for the alternative: it is never assumed."""
    if chosen is None:
        allowed = "is not named, and no payback is given without one: a saving is always a saving against something"
        listed = ", ".join(f'"{name}"' for name in names)
        remedy = f"Name one of {listed} as baseline in the case, or as the alternative of this question"
        if len(names) < 2:
            remedy = "Add what it is to be weighed against as [[option]], and name one of the options as baseline"
        return Fault(case.label, "the alternative", allowed, remedy)
    allowed = "is not the name of an option"
    return Fault(case.label, f'the alternative "{chosen}"', allowed, perhaps(chosen, names, _listed(names)))


def _listed(names: list[str]) -> str:
    return "The options are: " + ", ".join(f'"{name}"' for name in names)
