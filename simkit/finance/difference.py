"""Two simulated years in; why one costs more than the other out, in named causes that add up to the cent.

A year's cost is written as quantities, what each takes, and prices: heat wanted × energy for a unit of heat × price of
that energy, the same for hot water, then everything else that is used, less what panels and battery spare, and what is
due whatever is used. Going from one year to the other each cause is changed in every order and its effects are averaged
(L. S. Shapley, A value for n-person games, 1953): nothing is left between them. Where the weather differs as well it is
changed last: the second home is simulated in the weather of the first, and what is left is the weather's.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations
from math import comb, isnan
from typing import Any, NamedTuple

import numpy as np

from simkit.answered import Answered
from simkit.arrays import Floats
from simkit.billing.bill import in_units, rounded
from simkit.billing.charges.on_axis import laid
from simkit.case.build import vary
from simkit.errors import CaseError, Fault
from simkit.year.costs import ELECTRIC_USES, boiler_share, electric_uses, fuel_by_use
from simkit.year.simulate import simulate
from simkit.year.year import Year

WEATHER = "weather"
CAUSES = (
    "heat wanted", "hot water", "performance", "household and car", "stove and room heater", "panels", "storage",
    "price", "standing charges", "peak power", WEATHER,
)  # fmt: skip
SOME = 1e-9  # kWh: less is nothing


class Term(NamedTuple):
    """A product of a year's cost: a quantity, what one of it takes, and the price of that; NaN where it takes none."""

    quantity: float
    per_quantity: float
    price: float
    left: float = 0.0  # of its cost that no quantity explains, such as the idle draw of a battery that never works

    @property
    def cost(self) -> float:
        """What it comes to [currency]."""
        return self.left + (self.quantity * self.per_quantity * self.price if self.quantity else 0.0)


TERMS = ("space", "water", "other", "beside", "used", "sold", "stored")
CAUSED_BY = ("heat wanted", "hot water", "household and car", "stove and room heater", "panels", "panels", "storage")
QUANTITY_OF = dict(zip(TERMS, CAUSED_BY, strict=True))


class Parts(NamedTuple):
    """What a year's cost is made of.

    Attributes
    ----------
    terms
        By name of `TERMS`: heat to the rooms and into the hot water with what they take [kWh], what else is used, what
        stove and room heater take, what panels spare at home and what they sell, and what goes through the battery
        [kWh]; prices per kWh.
    standing, peak
        What is due by day or month, and for the highest power [currency].
    """

    terms: Mapping[str, Term]
    standing: float
    peak: float

    @property
    def cost(self) -> float:
        """The year's cost [currency]."""
        return sum(term.cost for term in self.terms.values()) + self.standing + self.peak


@dataclass(frozen=True, eq=False, repr=False)
class Difference(Answered):
    """Why one year costs more than another.

    Attributes
    ----------
    base, other
        The two years.
    amounts
        By cause of `CAUSES`, what it makes the other cost more [currency], whole cents, of which the difference of the
        two bills is the sum; causes that move nothing are left out.
    before, after
        What the cost of each is made of; `after` in the weather of the base.
    """

    answered_by = "simkit.answers.money.difference:difference_answer"
    base: Year
    other: Year
    amounts: Mapping[str, float]
    before: Parts
    after: Parts

    @property
    def total(self) -> float:
        """What the other costs more [currency]."""
        return round(sum(self.amounts.values()), 6)  # of whole cents, whose sum in binary may miss its half

    def __repr__(self) -> str:
        amount = self.base.case.notation.amount
        return "\n".join(f"{cause:20} {amount(more):>14}" for cause, more in self.amounts.items())


def difference(base: Year, other: Year) -> Difference:
    """Split the difference of two years' costs into causes.

    Parameters
    ----------
    base, other
        Two simulated years in one currency.

    Returns
    -------
    Difference
        Amounts by cause [currency], to the cent.

    Raises
    ------
    CaseError
        Where the currencies differ, or where the other home can't be simulated in the weather of the base.
    """
    currency = base.case.currency
    if other.case.currency != currency:
        given = f"a year in {currency} and one in {other.case.currency}"
        raise CaseError(Fault("", given, "can't be set against each other", "Give both in one currency"))
    same = other if same_weather(base, other) else _in_weather_of(base, other)
    before, after = parts_of(base), parts_of(same)
    found = shapley(lambda changed: _mixed(before, after, changed), _moved(before, after))
    found[WEATHER] = other.bill.total - same.bill.total
    amounts = _to_the_cent(found, other.bill.total - base.bill.total, currency)
    return Difference(base, other, amounts, before, after)


def same_weather(base: Year, other: Year) -> bool:
    """Whether two years are run in one place and one weather."""
    one, two = base.case, other.case
    return (one.site, one.weather, one.folder) == (two.site, two.weather, two.folder)


def _in_weather_of(base: Year, other: Year) -> Year:
    """The other home in the place, year and weather of the base."""
    held = {name: base.case.full[name] for name in ("site", "weather")}
    if base.case.weather.file is not None:
        held["weather"] = held["weather"] | {"file": str((base.case.folder / base.case.weather.file).resolve())}
    return simulate(vary(other.case, {"option": None, "baseline": None, **held}))


def parts_of(year: Year) -> Parts:
    """Write a year's cost as quantities, what each takes, and prices; the sum is its bill."""
    bill, hours = year.bill, year.axis.hours
    demand = sum(line.amount * (1.0 + line.tax) for line in bill.lines if line.kind == "demand")
    standing = bill.fixed_amount - demand
    earned, fuel = -sum(line.amount for line in bill.lines if line.kind == "export"), fuel_by_use(year)
    paid = bill.total - standing - demand + earned - sum(fuel.values())
    bought, sold, price, sold_price = _priced(year, paid, earned)
    uses, sun = electric_uses(year), year.flow("solar") - year.flow("curtailed")
    drawn = np.sum(list(uses.values()), axis=0)
    alone, over = np.maximum(drawn - sun, 0.0), np.maximum(sun - drawn, 0.0)  # bought and sold, had it no battery
    stored = float(np.sum((alone - bought) * price + (sold - over) * sold_price))
    netted = laid(year.case.tariff, year.axis, year.case.site.country).netting is not None
    rest = paid - earned - float(np.sum(bought * price - sold * sold_price))
    burnt, amount = _fuel_kwh(year), dict.fromkeys(ELECTRIC_USES, 0.0) | fuel
    other, heater = uses["household_cost"] + uses["car_cost"], uses.get("other_heat_cost", np.zeros(1))
    lit = year.case.lit.fuel_kwh if year.case.lit is not None else 0.0
    terms = {
        "space": _energy(
            year.totals["space_heat"], float(uses["heating_cost"].sum()) * hours + burnt[0],
            float(np.sum(uses["heating_cost"] * price)) + amount["heating_cost"],
        ),
        "water": _energy(
            year.totals["hot_water"], float(uses["hot_water_cost"].sum()) * hours + burnt[1],
            float(np.sum(uses["hot_water_cost"] * price)) + amount["hot_water_cost"],
        ),
        "other": _bought(
            float(other.sum()) * hours + burnt[2], float(np.sum(other * price)) + amount["household_cost"]
        ),
        "beside": _bought(
            float(heater.sum()) * hours + lit, float(np.sum(heater * price)) + amount["other_heat_cost"]
        ),
        "used": _bought(float((drawn - alone).sum()) * hours, -float(np.sum((drawn - alone) * price))),
        "sold": _bought(float(over.sum()) * hours, -float(np.sum(over * sold_price))),
        "stored": _bought(float(year.flow("battery_discharge").sum()) * hours, -stored),
    }  # fmt: skip
    kept = "used" if netted else "other"
    terms[kept] = terms[kept]._replace(left=terms[kept].left + rest)
    return Parts(terms, standing, demand)


def _priced(year: Year, paid: float, earned: float) -> tuple[Floats, Floats, Floats, Floats]:
    """Bought and sold in each step [kW], and what a kW over the step costs and earns [currency], (steps,) each.

    Tiers are no price of a step: the energy of the bill is shared out as the steps' prices share it. Netting scales
    none: what it takes off the bill is what the panels are worth.
    """
    hours, found = year.axis.hours, []
    netted = laid(year.case.tariff, year.axis, year.case.site.country).netting is not None
    signal = year.setting.signal
    for name, price, amount in (
        ("grid_import", signal.import_per_kwh, paid), ("grid_export", signal.export_per_kwh, earned),
    ):  # fmt: skip
        seen = float(np.sum(year.flow(name) * price)) * hours
        found.append(price * hours * (amount / seen if seen > SOME and not netted else 1.0))
    return year.flow("grid_import"), year.flow("grid_export"), found[0], found[1]


def _fuel_kwh(year: Year) -> tuple[float, float, float]:
    """Fuel burnt for the rooms, for hot water and for other things [kWh, gross]."""
    burnt = year.flow("fuel") * year.axis.hours
    space, whole = float(np.sum(boiler_share(year) * burnt)), float(burnt.sum())
    others = sum(year.fuel_kwh.values()) - whole if year.fuel_kwh else 0.0
    return space, whole - space, others


def _energy(heat_kwh: float, used_kwh: float, cost: float) -> Term:
    """A use of heat: the heat, the energy for a unit of it, and that energy's price."""
    if heat_kwh < SOME or used_kwh < SOME:
        return Term(0.0, np.nan, np.nan, cost)
    return Term(heat_kwh, used_kwh / heat_kwh, cost / used_kwh)


def _bought(kwh: float, cost: float) -> Term:
    """Energy with its price, as much of it as there is."""
    return Term(0.0, 1.0, np.nan, cost) if kwh < SOME else Term(kwh, 1.0, cost / kwh)


def _mixed(before: Parts, after: Parts, changed: frozenset[str]) -> float:
    """The year's cost with these causes as they are after, and all others as before [currency]."""
    cost = (after if "standing charges" in changed else before).standing
    cost += (after if "peak power" in changed else before).peak
    for name, old in before.terms.items():
        new, quantity = after.terms[name], QUANTITY_OF[name]
        held = new if quantity in changed else old
        per = _first((new if "performance" in changed else old).per_quantity, new.per_quantity, old.per_quantity)
        price = _first((new if "price" in changed else old).price, new.price, old.price)
        cost += Term(held.quantity, per, price, held.left).cost
    return cost


def _moved(before: Parts, after: Parts) -> list[str]:
    """The causes that are not the same in both; what energy is taken for it, and at which price, in any case."""
    moved = {QUANTITY_OF[name] for name in TERMS if before.terms[name][::3] != after.terms[name][::3]}
    moved |= {"standing charges"} if before.standing != after.standing else set()
    moved |= {"peak power"} if before.peak != after.peak else set()
    return [cause for cause in CAUSES if cause in moved | {"performance", "price"}]


def _first(*values: float) -> float:
    """The first that is known: who takes none of a thing has no price of it, and meets that of the other."""
    return next((value for value in values if not isnan(value)), 0.0)


def shapley(worth: Callable[[frozenset[str]], Any], causes: Iterable[str]) -> dict[str, Any]:
    """Share what all causes do together among them: each one's effect, averaged over every order of changing them.

    Parameters
    ----------
    worth
        What it comes to with a set of causes changed: a number, or an array of them.
    causes
        The causes. Those that change nothing, whichever others are changed first, get nothing.

    Returns
    -------
    dict
        By cause; the sum is ``worth(all) - worth(none)``.

    References
    ----------
    L. S. Shapley, A value for n-person games, in Contributions to the Theory of Games II, 1953.
    """
    names = tuple(causes)
    known = {frozenset(some): worth(frozenset(some)) for n in range(len(names) + 1) for some in combinations(names, n)}
    found = {}
    for name in names:
        without = [some for some in known if name not in some]
        found[name] = sum(
            (known[some | {name}] - known[some]) / (len(names) * comb(len(names) - 1, len(some))) for some in without
        )
    return found


def _to_the_cent(found: Mapping[str, float], total: float, currency: str) -> dict[str, float]:
    """Amounts in whole cents whose sum is the total: what rounding leaves over stands in the largest."""
    cents = rounded(np.array(list(found.values())), currency)
    cents[int(np.argmax(np.abs(cents)))] += int(rounded(np.array(total), currency)) - int(cents.sum())
    amounts: Floats = in_units(cents, currency)
    return {name: amount for name, amount in zip(found, amounts.tolist(), strict=True) if amount}
