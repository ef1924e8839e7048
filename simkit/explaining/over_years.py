"""Options of a home in; what each is worth over the years, by its ledger and its yearly cash, as figures out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from itertools import permutations
from math import isfinite

from simkit.explaining.catalogue import slug
from simkit.explaining.chain import MONEY, PRICE, Figure, Link, Links, fixed
from simkit.explaining.money import added, gain_links, payback_links
from simkit.finance.cash import discount_factors
from simkit.finance.cashflow import RUNNING, OptionMoney
from simkit.finance.risk import PRICE_FUTURES, cost_in
from simkit.finance.weighing import Weighed, weigh
from simkit.finance.worth import Worth, worth
from simkit.year.compare import Comparison

QUOTED = ("quote", "enabling", "tax")  # kinds of lines
CASH, LEDGER = "yearly cash table", "[ledger]"


def worth_of(found: Comparison) -> Worth | None:
    """Options weighed over the years; None where there is no money, baseline or second option to weigh them by."""
    case = found.stated
    if case.money is None or case.baseline is None or len(found.years) < 2:
        return None
    return worth(case, comparison=found)


def worths(found: Comparison) -> Iterator[Figure]:
    """What stands in a worth: prices, loans, cash, carbon, and each option against each other."""
    weighed = worth_of(found)
    if weighed is None:
        return
    held = weigh(weighed, samples=0)
    for option in held.worth.options:
        for key, label, column, amount, links in _option(option, f"of “{option.name}”"):
            yield fixed(f"worth.{slug(option.name)}.{key}", label, column, (option.year,), amount, links)
    for other, option in permutations(held.worth.options, 2):
        yield from _pair(held.worth, other, option)
    yield from _decides(held)


Row = tuple[str, str, str, float, Callable[[], Links]]  # key, label, column, amount and links of a figure


def _option(option: OptionMoney, of: str) -> Iterator[Row]:
    """Figures of one option by itself; `of` is how it is called."""
    for link in _payments(option):
        yield (
            f"ledger.{slug(link.what)}",
            f"{link.what}, in the ledger {of}",
            "line_amount",
            link.value,
            partial(list, [link]),
        )
    if option.settled.payments and option.case.ledger is not None:
        quoted = option.case.ledger.by_kind(*QUOTED)
        yield "quoted", f"what is quoted {of}", "quoted_amount", quoted, partial(_quoted, option, quoted)
        label = f"price {of}, grants taken off"
        yield "net_price", label, "net_price_amount", option.settled.net, partial(_net, option)
    first = float(option.cash.loc[1, [*RUNNING, "service_cost"]].sum())
    yield "first_year", f"cost of the first year {of}", "first_year_cost", first, partial(_first, option, first)
    label = f"cost over the years {of}, worth today"
    yield "whole_life", label, "whole_life_cost", option.worth_today, partial(_life, option)
    label = f"the same as an even amount a year, {of}"
    yield "even_year", label, "even_year_cost", option.annualised_cost, partial(_even, option)
    label = f"cost of a kilowatt-hour of heat {of}"
    yield "heat_price", label, "heat_price_per_kwh", option.heat_cost_per_kwh, partial(_heat, option)
    by_hour = option.carbon.electricity_by_hour_kg
    if by_hour is not None:
        source = "[carbon] by_hour_g_per_kwh"
        link = Link("Carbon of what is bought", "each hour at its own factor", by_hour, "kg", 0, source)
        label = f"carbon dioxide of electricity by the hour {of}"
        yield "carbon.by_hour", label, "by_hour_carbon_kg", by_hour, partial(list, [link])
    label = f"carbon dioxide over the years {of}"
    yield "carbon", label, "life_carbon_kg", option.carbon.life_kg, partial(_carbon, option)
    loan = option.settled.financing
    if loan is not None:
        month, months = loan.payment_per_month, min(loan.months, 12)
        yield "loan", f"loan a month {of}", "loan_month_amount", month, partial(_loan, option)
        year, worked = month * months, f"{months} × {option.case.notation.money(month, 2)}"
        links = partial(_loan, option, [Link("A year", worked, year, MONEY, 2, "[ledger.credit]")])
        yield "loan.year", f"loan a year {of}", "loan_year_amount", year, links


def _payments(option: OptionMoney) -> Links:
    """What is paid and received, line by line."""
    paid = option.settled.payments
    return [Link(one.label, f"{one.kind}, {one.source}", one.amount, MONEY, 2, LEDGER) for one in paid]


def _net(option: OptionMoney) -> Links:
    links = _payments(option)
    worked = added(option.case.notation, (link.value for link in links))
    return [*links, Link("Price, grants taken off", worked, option.settled.net, MONEY, 2, "sum of the ledger")]


def _quoted(option: OptionMoney, total: float) -> Links:
    links = [link for link in _payments(option) if link.worked.startswith(QUOTED)]
    worked = added(option.case.notation, (link.value for link in links))
    return [*links, Link("Quoted", worked, total, MONEY, 2, LEDGER)]


def _first(option: OptionMoney, total: float) -> Links:
    names = [name for name in (*RUNNING, "service_cost") if option.cash.loc[1, name]]
    links = [Link(_plain(name), "", float(option.cash.loc[1, name]), MONEY, 2, CASH) for name in names]
    worked = added(option.case.notation, (link.value for link in links))
    return [*links, Link("Cost of the first year", worked, total, MONEY, 2, CASH)]


def _plain(column: str) -> str:
    return column.removesuffix("_cost").replace("_", " ")


def _life(option: OptionMoney) -> Links:
    """Every column of the yearly cash, worth today."""
    money, n = option.money, option.case.notation
    factors = discount_factors(money.discount_rate, money.horizon_years)
    left_out = ("total_cost", "worth_today")
    sums = {name: float(option.cash[name].to_numpy() @ factors) for name in option.cash if name not in left_out}
    how = f"{money.horizon_years} years, worth {n.share(money.discount_rate, 1)} less for each that it waits"
    links = [
        Link(_plain(str(name)), how, amount, MONEY, 2, CASH) for name, amount in sums.items() if abs(amount) >= 0.005
    ]
    worked = added(n, (link.value for link in links))
    return [*links, Link("Cost over the years, worth today", worked, option.worth_today, MONEY, 2, CASH)]


def _even(option: OptionMoney) -> Links:
    money, n = option.money, option.case.notation
    annuity = float(discount_factors(money.discount_rate, money.horizon_years)[1:].sum())
    worked = f"{n.money(option.worth_today, 2)} ÷ {n.number(annuity, 4)}, the worth of 1 a year"
    return [*_life(option), Link("Even amount a year", worked, option.annualised_cost, MONEY, 2, "annuity")]


def _heat(option: OptionMoney) -> Links:
    n, share = option.case.notation, option.household_share
    even = option.heat_cost_per_kwh * option.heat_kwh
    links = [
        *_even(option),
        Link(
            "Of it for heat",
            f"household and car left out, {n.share(share, 1)} of the electricity",
            even,
            MONEY,
            2,
            CASH,
        ),
        Link("Heat of a year", "to the rooms and into the hot water", option.heat_kwh, "kWh", 1, "simulated year"),
    ]
    worked = f"{n.money(even, 2)} ÷ {n.number(option.heat_kwh, 1)} kWh"
    return [*links, Link("Cost of heat", worked, option.heat_cost_per_kwh, PRICE, 4, CASH)]


def _carbon(option: OptionMoney) -> Links:
    n, carbon = option.case.notation, option.carbon
    links = [
        Link("Of electricity, first year", "at the average factor", carbon.electricity_kg, "kg", 1, "[carbon]"),
        Link("Of fuel, a year", "", carbon.fuel_kg, "kg", 1, "[fuel] carbon_g_per_kwh"),
    ]
    worked = (
        f"{len(carbon.by_year_kg)} years, from {n.number(carbon.by_year_kg[0])} to {n.number(carbon.by_year_kg[-1])} kg"
    )
    return [*links, Link("Over the years", worked, carbon.life_kg, "kg", 0, "[money] carbon_decline_per_year")]


def _loan(option: OptionMoney, then: Sequence[Link] = ()) -> Links:
    n, loan = option.case.notation, option.settled.financing
    assert loan is not None  # who asks has seen it
    worked = f"in {loan.months} even payments at {n.share(loan.yearly_rate, 2)} a year, interest included"
    return [
        Link("Borrowed", "", loan.borrowed, MONEY, 2, "[ledger.credit]"),
        Link("Paid in all", f"{n.money(loan.interest, 2)} of it interest", loan.total, MONEY, 2, "[ledger.credit]"),
        Link("A month", worked, loan.payment_per_month, MONEY, 2, "annuity"), *then,
    ]  # fmt: skip


def _pair(held: Worth, other: OptionMoney, option: OptionMoney) -> Iterator[Figure]:
    """What an option is worth against another, and when it has paid for itself."""
    key, years = f"worth.{slug(option.name)}.against.{slug(other.name)}.", (other.year, option.year)
    against = f"“{option.name}” against “{other.name}”"
    found = Worth((other, option), other.name, held.money).measures(option.name)
    gain = partial(gain_links, other.year, option.year)
    yield fixed(f"{key}gain", f"gain of {against}, worth today", "worth_today_amount", years, found.gain_today, gain)
    links = partial(payback_links, other.year, option.year, 0.0)
    yield fixed(f"{key}payback", f"years until {against} has paid for itself for good", "payback_years", years,
                found.simple_payback, links)  # fmt: skip
    if option.settled.already_paid:
        yield from _from_here(held, other, option, key)
    if isfinite(found.cost_per_tonne):
        saved, n = found.carbon_saved_life_t, option.case.notation
        worked = f"{n.money(-found.gain_today, 2)} ÷ {n.number(saved, 2)} t"
        tonne = Link("A tonne avoided", worked, found.cost_per_tonne, MONEY, 0, "carbon of both over the years")
        links = partial(_then, gain, tonne)
        yield fixed(f"{key}tonne", f"a tonne of carbon dioxide avoided by {against}", "tonne_amount", years,
                    found.cost_per_tonne, links)  # fmt: skip


def costs_from_here(held: Worth, other: OptionMoney, option: OptionMoney) -> float:
    """What an option costs more than another once what is spent already is left out on both sides [currency]."""
    return -Worth((other, option), other.name, held.money).measures(option.name, sunk=False).gain_today


def _from_here(held: Worth, other: OptionMoney, option: OptionMoney, key: str) -> Iterator[Figure]:
    """What an option costs more from here on, what is spent already left out on both sides."""
    now, whole = costs_from_here(held, other, option), option.worth_today - other.worth_today
    links = [
        Link("Costs more over the years, worth today", "all that was paid counted", whole, MONEY, 2, CASH),
        Link("Spent already", "of both, left out from here on", now - whole, MONEY, 2, LEDGER),
        Link("Costs more from here on", "the sum of both", now, MONEY, 2, CASH),
    ]
    label = f"what “{option.name}” costs more from here on than “{other.name}”, worth today"
    yield fixed(f"{key}from_here", label, "worth_today_amount", (other.year, option.year), now, partial(list, links))


def _then(before: Callable[[], Links], last: Link) -> Links:
    return [*before(), last]


def _decides(held: Weighed) -> Iterator[Figure]:
    """What each input does to the gain, and what each future of prices does to each option."""
    one, other = held.decides_for
    years = (held.worth.option(other).year, held.worth.option(one).year)
    for name, row in held.tornado.iterrows():
        for end in ("low", "high"):
            amount = -float(row[f"at_{end}"])
            label = f"what “{one}” costs more over the years than “{other}” with a {end} {str(name).replace('_', ' ')}"
            links = [
                Link("Everything at its middle", "", -float(row["middle"]), MONEY, 2, "yearly cash tables of both"),
                Link(f"{name}, {end}", "its 10th or 90th percentile", float(row[end]), "–", 3, "[uncertainty]"),
                Link(
                    "What it costs more then",
                    "both years simulated again",
                    amount,
                    MONEY,
                    2,
                    "yearly cash tables of both",
                ),
            ]
            yield fixed(
                f"worth.decides.{slug(str(name))}.{end}", label, "more_cost", years, amount, partial(list, links)
            )
    yield from _regrets(held)


def _regrets(held: Weighed) -> Iterator[Figure]:
    """What each option costs more than the best one, in each future of prices."""
    for future in PRICE_FUTURES:
        costs = {str(name): cost_in(held.worth.option(str(name)), future) for name in held.regrets.index}
        best = min(costs, key=lambda name: costs[name])
        for name, cost in costs.items():
            year, amount = held.worth.option(name).year, cost - costs[best]
            links = [
                Link(name, f"over the years, worth today, {future.name}", cost, MONEY, 2, CASH),
                Link(best, "the best of all", costs[best], MONEY, 2, CASH),
                Link("More than the best", "one less the other", amount, MONEY, 2, CASH),
            ]
            label = f"what “{name}” costs more than the best over the years: {future.name}"
            key = f"worth.{slug(name)}.regret.{slug(future.name)}"
            yield fixed(key, label, "more_cost", (year,), amount, partial(list, links))
