"""A year's bill, or the ledgers of two options, in; the chain from quantities and prices to an amount out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from simkit.billing.bill import BillLine, in_units, rounded
from simkit.case.case import Case
from simkit.explaining.chain import MONEY, PRICE, DisagreementError, Link, Links
from simkit.explaining.energy import Sums, energy_links
from simkit.finance.cash import discount_factors, payback_years
from simkit.finance.cashflow import FUEL_NAMES, OptionMoney
from simkit.finance.difference import difference
from simkit.finance.ledger import settled
from simkit.finance.worth import Worth
from simkit.notation import Notation
from simkit.year.year import Year

ROUNDED = "each month rounded to the smallest unit of the currency"
CASH_ROWS = 3  # of the years around the turn that are shown


def added(notation: Notation, amounts: Iterable[float], digits: int = 2) -> str:
    """A sum of amounts, written out."""
    text = ""
    for amount in amounts:
        sign = (" − " if amount < 0 else " + ") if text else ("−" if amount < 0 else "")
        text += f"{sign}{notation.money(abs(amount), digits)}"
    return text or "nothing"


def line_links(year: Year, line: BillLine) -> Links:
    """From the bought energy, or the days, to the amount of one line of the bill."""
    notation = year.case.notation
    before = energy_links(Sums(year)) if line.kind in ("energy", "market", "tier", "fuel", "export") else []
    if line.kind == "fuel":
        before = [link for link in before if link.what != "Electricity bought"]
    before.append(Link(f"{line.label}: quantity", "sum of the months", line.quantity, line.unit, 1, _where(line)))
    return [*before, *_priced(year, line, notation)]


def _where(line: BillLine) -> str:
    return {
        "energy": "bought in the hours of this band", "market": "bought, step by step", "tier": "bought in this tier",
        "fuel": "fuel burnt over the energy of one unit", "standing": "civil days", "export": "sold",
        "stove": "[stove] amount",
    }.get(line.kind, "rule of the tariff")  # fmt: skip


def _terms(year: Year, line: BillLine) -> str:
    """Where the price of a line stands."""
    if line.kind == "stove":
        return "[stove]"
    return "[fuel]" if line.label.startswith(FUEL_NAMES) else f"tariff {year.case.tariff.name}"


def _priced(year: Year, line: BillLine, notation: Notation) -> Links:
    """Quantity × price, month by month, as it is rounded."""
    source = _terms(year, line)
    if line.kind == "tax":
        share = line.amount / line.quantity if line.quantity else 0.0
        worked = f"{notation.money(line.quantity, 2)} of lines before tax × {notation.share(share, 1)}"
        return [Link(line.label, worked, line.amount, MONEY, 2, source)]
    net = line.price / (1.0 + line.tax)
    mean = "mean price" if line.kind == "market" else "price"
    unit = PRICE if line.unit == "kWh" else MONEY
    links = [
        Link(
            f"{line.label}: {mean}",
            "tax follows in a line of its own" if line.tax else "tax included",
            net,
            unit,
            4,
            source,
        )
    ]
    if line.kind != "market":
        again = float(in_units(rounded(line.quantities * net, year.bill.currency).sum(), year.bill.currency))
        if abs(again - line.amount) > 0.005:
            raise DisagreementError(f"{line.label} is {again!r} by quantity and price and {line.amount!r} on the bill")
    price = notation.price(net) if unit == PRICE else notation.money(net, 4)
    worked = f"{notation.number(line.quantity, 1)} {line.unit} × {price}, {ROUNDED}"
    return [*links, Link(line.label, worked, line.amount, MONEY, 2, "billing")]


def total_links(year: Year) -> Links:
    """From the heat loss to the bill of the year, line by line."""
    notation, bill = year.case.notation, year.bill
    links = energy_links(Sums(year))
    for line in bill.lines:
        if line.amount:
            links.append(_priced(year, line, notation)[-1])
    worked = added(notation, (line.amount for line in bill.lines if line.amount))
    return [*links, Link("Cost of the year", worked, bill.total, MONEY, 2, "sum of the lines, in whole cents")]


def month_links(year: Year, month: int) -> Links:
    """From the heat loss to the bill of one month, 1 to 12."""
    notation, bill = year.case.notation, year.bill
    links = energy_links(Sums(year, year.axis.month == month))
    for line in bill.lines:
        amount, quantity = float(line.months[month - 1]), float(line.quantities[month - 1])
        if not amount:
            continue
        net = line.price / (1.0 + line.tax) if line.kind not in ("tax", "market") else amount / quantity
        price = notation.price(net) if line.unit == "kWh" else notation.money(net, 4)
        worked = (
            f"{notation.number(quantity, 1)} {line.unit} × {price}" if line.kind != "tax" else "on the lines before tax"
        )
        links.append(
            Link(
                line.label,
                worked,
                amount,
                MONEY,
                2,
                _terms(year, line),
            )
        )
    worked = added(notation, (link.value for link in links if link.unit == MONEY))
    return [*links, Link("Cost of the month", worked, float(bill.months[month - 1]), MONEY, 2, "sum of the lines")]


def saving_links(base: Year, other: Year) -> Links:
    """From the cost of the baseline to what an option saves, by cause."""
    from simkit.answers.money.difference import changed_words

    notation, found = other.case.notation, difference(base, other)
    links = [Link(base.case.name, "", base.bill.total, MONEY, 2, "bill of the baseline")]
    for cause, amount in found.amounts.items():
        links.append(
            Link(cause, changed_words(found, cause, notation), amount, MONEY, 2, "simulated years, causes by Shapley")
        )
    worked = added(notation, (link.value for link in links))
    links.append(Link(other.case.name, worked, other.bill.total, MONEY, 2, "bill of the option"))
    worked = f"{notation.money(base.bill.total, 2)} − {notation.money(other.bill.total, 2)}"
    return [*links, Link("Saved a year", worked, base.bill.total - other.bill.total, MONEY, 2, "both bills")]


def weighed(cases: Sequence[Case], years: Sequence[Year]) -> Worth:
    """Two options over the years, the first the alternative."""
    terms = cases[0].money
    assert terms is not None  # who asks has asked for it
    options = [
        OptionMoney(case, year, terms, settled(case.ledger, terms)) for case, year in zip(cases, years, strict=True)
    ]
    return Worth(tuple(options), cases[0].name, terms)


def payback_links(base: Year, other: Year, rate: float) -> Links:
    """From ledgers and bills to the year in which an option has paid for itself."""
    found, notation = weighed((base.case, other.case), (base, other)), other.case.notation
    table, money = found.difference(other.case.name), found.money
    links = []
    for option in found.options:
        worked = (
            " + ".join(f"{notation.money(one.amount)} {one.label}" for one in option.settled.payments) or "no ledger"
        )
        links.append(Link(f"{option.name}: paid at once", worked, option.settled.net, MONEY, 2, "[ledger]"))
    first = {name: float(table.loc[1, name]) for name in ("electricity", "standing", "fuel", "export", "service")}
    worked = " + ".join(f"{notation.money(amount)} {name}" for name, amount in first.items() if amount) or "nothing"
    links.append(Link("Saved in the first year", worked, sum(first.values()), MONEY, 2, "bills and [money.service]"))
    column = "cumulated_today" if rate else "cumulated"
    running = table[column].to_numpy()
    years = payback_years(table["saved"].to_numpy(), rate)
    turn = int(min(years, money.horizon_years)) if np.isfinite(years) else money.horizon_years
    for at in range(max(turn - 1, 0), min(turn + CASH_ROWS - 1, money.horizon_years + 1)):
        before = running[at - 1] if at else 0.0
        worked = f"{notation.money(before, 2)} + {notation.money(running[at] - before, 2)} of year {at}"
        links.append(Link(f"Ahead after year {at}", worked, float(running[at]), MONEY, 2, "yearly cash table"))
    if np.isfinite(years) and years > 0:
        low, high = running[turn], running[min(turn + 1, money.horizon_years)]
        worked = (
            f"{turn} + {notation.money(-low, 2)} ÷ {notation.money(high - low, 2)}, for good"
            if high != low
            else "for good"
        )
    else:
        worked = "never behind" if years == 0 else f"still behind after {money.horizon_years} years"
    what = "Pays back, what waits worth less" if rate else "Pays back"
    return [
        *links,
        Link(what, worked, float(years), "years", 1, "last time that the sum turns from below to above zero"),
    ]


def gain_links(base: Year, other: Year) -> Links:
    """From the yearly cash to what an option is worth today."""
    found, notation = weighed((base.case, other.case), (base, other)), other.case.notation
    table, money = found.difference(other.case.name), found.money
    factors = discount_factors(money.discount_rate, money.horizon_years)
    kept = [name for name in table.columns if name not in ("saved", "worth_today", "cumulated", "cumulated_today")]
    sums = {name: float(np.sum(table[name].to_numpy() * factors)) for name in kept}
    links = [
        Link(f"Saved on {name}", "sum over the years, worth today", amount, MONEY, 2, "yearly cash table")
        for name, amount in sums.items() if abs(amount) >= 0.005
    ]  # fmt: skip
    worked = added(notation, (amount for amount in sums.values() if abs(amount) >= 0.005))
    return [*links, Link("Gain, worth today", worked, float(table["worth_today"].sum()), MONEY, 2, "yearly cash table")]
