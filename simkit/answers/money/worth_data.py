"""Options weighed over the years in; the object that `simkit worth --json` prints of them out."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from simkit.case.money.money import money_words
from simkit.finance.breakeven import BreakEvens
from simkit.finance.cash import years_words
from simkit.finance.cashflow import OptionMoney
from simkit.finance.offers import OfferPair
from simkit.finance.weighing import Weighed
from simkit.finance.worth import Worth
from simkit.uncertainty.distributions import distributions_of, input_lines


def worth_data(found: Weighed, title: str) -> dict[str, Any]:
    """Make the object of a worth; money in the currency of the case."""
    worth = found.worth
    return {
        "case": title,
        "against": worth.against,
        "currency": worth.base.year.bill.currency,
        "terms": money_words(worth.money, worth.base.case.notation),
        "options": [_option(found, option) for option in worth.options],
        "offers": _offers(found.pair),
        "tornado": found.tornado.reset_index().to_dict("records"),
        "shares_of_spread": None if found.shares is None else found.shares.reset_index().to_dict("records"),
        "break_even_spf": _break_even(found.break_evens),
        "regret": found.regrets.reset_index().to_dict("records"),
        "sampled_inputs": [asdict(one) for one in distributions_of(worth.base.case)],
        "input_lines": list(input_lines(worth.base.case)),
    }


def _option(found: Weighed, option: OptionMoney) -> dict[str, Any]:
    worth, carbon, settled = found.worth, found.worth.carbon[option.name], option.settled
    like, credit = found.keeps_as_warm(option), option.settled.financing
    alike = like.name if like is not None and option.year.comfort.as_warm_as(like.year.comfort) else None
    made: dict[str, Any] = {
        "name": option.name,
        "net_price": settled.net, "price": settled.price, "supports": settled.supports,
        "due_in_cash": settled.due, "credit": settled.credit, "spared": settled.spared,
        "interest_until_due": settled.interest_until_due,
        "credit_a_month": None if credit is None else credit.payment_per_month,
        "credit_interest": None if credit is None else credit.interest,
        "credit_advantage": None if credit is None else credit.advantage,
        "price_missing": found.lacks_price(option), "at_equal_comfort": alike,
        "whole_life_cost": option.worth_today, "cost_a_year": option.annualised_cost,
        "heat_cost_per_kwh": option.heat_cost_per_kwh, "heat_kwh": option.heat_kwh,
        "household_share_of_electricity": option.household_share, "carbon_by_year_kg": carbon.by_year_kg.tolist(),
        "carbon_kg": carbon.first_year_kg, "carbon_life_kg": carbon.life_kg,
        "carbon_by_hour_kg": carbon.electricity_by_hour_kg,
        "comfort": option.year.comfort.worded(option.case.notation.number),
        "ledger": settled.frame().to_dict("records"),
        "cash": option.cash.reset_index().to_dict("records"),
    }  # fmt: skip
    if option.name == worth.against:
        return made
    made["was_it_worth_it"] = _measures(worth, option.name, sunk=True)
    made["what_now"] = _measures(worth, option.name, sunk=False)
    if found.sampled is not None:
        made["gain_range"] = found.sampled.gain(option.name)
        made["first_year_saving_range"] = found.sampled.first_year_saving(option.name)
        made["convergence"] = found.sampled.convergence(option.name).reset_index().to_dict("records")
        made["fan"] = found.sampled.fan(option.name).reset_index().to_dict("records")
        made["paid_back_by_year"] = found.sampled.paid_back(option.name).tolist()
    return made


def _offers(pair: OfferPair | None) -> dict[str, Any] | None:
    if pair is None:
        return None
    return {
        "cheap": pair.cheap, "expensive": pair.expensive, "saved_today": pair.saved_today,
        "extra_first_year": pair.extra_first_year, "extra_a_year": pair.extra_a_year,
        "overtaken_year": pair.overtaken, "gain": pair.gain, "gain_a_year": pair.gain_a_year,
        "differences": [list(row) for row in pair.differences],
        "gain_a_year_range": pair.gain_a_year_range, "overtaken_range": pair.overtaken_range,
    }  # fmt: skip


def _break_even(even: BreakEvens | None) -> dict[str, float] | None:
    if even is None:
        return None
    return {
        "marginal": even.marginal, "with_standing": even.with_standing,
        "with_own_electricity": even.with_own_electricity, "price_ratio": even.price_ratio,
    }  # fmt: skip


def _measures(worth: Worth, name: str, *, sunk: bool) -> dict[str, Any]:
    found, notation = worth.measures(name, sunk=sunk), worth.base.case.notation
    return {
        "extra_outlay": found.extra_outlay, "first_year_saving": found.first_year_saving,
        "simple_payback_years": found.simple_payback, "discounted_payback_years": found.discounted_payback,
        "simple_first_years": found.simple_first, "discounted_first_years": found.discounted_first,
        "gain_today": found.gain_today, "return_rate": found.rate.rate,
        "return_rate_words": found.rate.worded(notation), "cost_per_tonne": found.cost_per_tonne,
        "words": years_words(found.simple_first, found.simple_payback, worth.money.horizon_years, notation),
    }  # fmt: skip
