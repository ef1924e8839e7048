"""Two offers for one home in; whole-life cost, what one saves today and takes each year, and when it overtakes, out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.case.case import Case
from simkit.errors import CaseError, Fault
from simkit.finance.cash import discount_factors, payback_years
from simkit.schema.hints import shown
from simkit.uncertainty.ranges import Range

if TYPE_CHECKING:
    from simkit.finance.risk import Prospects
    from simkit.finance.worth import Worth


APART = ("name", "note", "money", "ledger", "option")  # tables and keys that tell of no home


@dataclass(frozen=True, eq=False)
class OfferPair:
    """The cheaper offer at the till against the more expensive one.

    Attributes
    ----------
    cheap, expensive
        Names; the expensive one has the higher net price.
    saved_today
        What the cheap one saves at once [currency].
    extra_a_year
        What it takes more each year, as an even amount over the horizon, single payments left out [currency];
        `extra_first_year` is that of the first year.
    overtaken
        Year in which the expensive one has made up for its price, worth today [years]; infinite where it never does.
    gain
        What the expensive one gains over the horizon in today's money [currency].
    gain_a_year
        The same as an even amount a year [currency].
    overtaken_range, gain_range, gain_a_year_range
        Ranges of the samples; None where none were drawn. A sample that is never overtaken counts as past the horizon.
    overtaken_odds
        Share of samples in which the expensive one has overtaken within the horizon.
    cumulated
        Cumulated cost of both by year, worth today; columns are their names [currency].
    differences
        What differs between the two: key of the case, and the value of each; "–" where one has none.
    """

    cheap: str
    expensive: str
    currency: str
    horizon_years: int
    saved_today: float
    extra_first_year: float
    extra_a_year: float
    overtaken: float
    gain: float
    gain_a_year: float
    cumulated: pd.DataFrame
    differences: tuple[tuple[str, str, str], ...] = ()
    overtaken_range: Range | None = None
    gain_range: Range | None = None
    gain_a_year_range: Range | None = None
    overtaken_odds: float | None = None


def offer_pair(weighed: Worth, one: str, other: str, *, sampled: Prospects | None = None) -> OfferPair:
    """Set two offers side by side.

    Parameters
    ----------
    weighed
        The options and terms.
    one, other
        Names of two options, in any order.
    sampled
        Samples of the same options, for ranges.

    Raises
    ------
    CaseError
        Where both are one option.
    """
    if one == other:
        raise CaseError(Fault("offers", f'"{one}" against itself', "says nothing", "Name two different options"))
    first, second = weighed.option(one), weighed.option(other)
    cheap, expensive = (first, second) if first.settled.net <= second.settled.net else (second, first)
    money = weighed.money
    factors = discount_factors(money.discount_rate, money.horizon_years)
    gains = (cheap.cash["total_cost"] - expensive.cash["total_cost"]).to_numpy()
    gain = float(gains @ factors)
    once = ["outlay_cost", "spared_cost"]
    single = (cheap.cash[once] - expensive.cash[once]).sum(axis=1).to_numpy()
    yearly = gains - single
    annuity = float(factors[1:].sum())
    cumulated = pd.DataFrame({each.name: np.cumsum(each.cash["worth_today"].to_numpy()) for each in (cheap, expensive)})
    cumulated.index.name = "year"
    found = OfferPair(
        cheap.name, expensive.name, cheap.year.bill.currency, money.horizon_years,
        saved_today=expensive.settled.net - cheap.settled.net,
        extra_first_year=float(yearly[1]),
        extra_a_year=float(yearly @ factors) / annuity,
        overtaken=payback_years(gains, money.discount_rate),
        gain=gain, gain_a_year=gain / annuity, cumulated=cumulated, differences=differences(cheap.case, expensive.case),
    )  # fmt: skip
    return found if sampled is None else _ranged(found, sampled, factors)


def differences(cheap: Case, expensive: Case) -> tuple[tuple[str, str, str], ...]:
    """Keys in which two cases differ, money and names left out, with both values; "–" where one has none.

    Of what only one of them has, what its case states: what was filled in beside that tells of no difference.
    """
    one, other = (dict(_flat(case.full, "")) for case in (cheap, expensive))
    stated = [set(dict(_flat(case.stated, ""))) for case in (cheap, expensive)]
    found = []
    for key in dict.fromkeys([*one, *other]):
        alone = [place for place, held in enumerate((other, one)) if key not in held]
        told = all(key in stated[place] for place in alone)
        if one.get(key) != other.get(key) and told and key.partition(".")[0] not in APART:
            found.append((key, one.get(key, "–"), other.get(key, "–")))
    return tuple(found)


def _flat(table: Mapping[str, Any], path: str) -> Iterator[tuple[str, str]]:
    """Every value of a table as it would stand in a file, by its dotted path."""
    for key, value in table.items():
        if isinstance(value, Mapping):
            yield from _flat(value, f"{path}{key}.")
        else:
            yield f"{path}{key}", shown(value)


def _ranged(pair: OfferPair, sampled: Prospects, factors: Floats) -> OfferPair:
    """The same with ranges from samples that both offers share."""
    saved = sampled.saved_by_year(pair.expensive, pair.cheap)
    rate = sampled.worth.money.discount_rate
    years = np.array([payback_years(row, rate) for row in saved])
    beyond = np.where(np.isfinite(years), years, pair.horizon_years + 1.0)
    gains = saved @ factors
    return replace(
        pair,
        overtaken_range=Range.of(beyond),
        gain_range=Range.of(gains),
        gain_a_year_range=Range.of(gains / float(factors[1:].sum())),
        overtaken_odds=float(np.isfinite(years).mean()),
    )
