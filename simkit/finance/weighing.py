"""Options over the years in; everything that is asked of their worth, worked out on shared samples, out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import pandas as pd

from simkit.errors import CaseError, Fault
from simkit.finance.breakeven import BreakEvens, break_evens, heat_prices
from simkit.finance.cashflow import OptionMoney
from simkit.finance.leaving_fuel import LeavingFuel, leaving_fuel
from simkit.finance.offers import OfferPair, differences, offer_pair
from simkit.finance.risk import Prospects, prospects, regret
from simkit.finance.sensitivity import gain_of, global_shares, tornado
from simkit.finance.worth import Measures, Worth
from simkit.uncertainty.distributions import distributions_of
from simkit.uncertainty.ranges import Range
from simkit.year.compare import changes_of

SAMPLES = (
    128  # own: half as many move no end of a gain further from that of 1,024 than these do (tests/bench/README.md)
)
# What has to be bought where an option changes it; settings and tariffs are free to change.
BOUGHT = ("heat_source", "heat_pump.", "boiler.", "emitters.", "solar.", "battery.", "home.loss", "hot_water.coil",
          "hot_water.volume", "hot_water.loss")  # fmt: skip


@dataclass(frozen=True, eq=False)
class Weighed:
    """Everything that is asked of a worth; parts that were not asked for are None.

    Attributes
    ----------
    worth
        Options and terms.
    sampled
        Samples, for ranges.
    pair
        Two offers side by side.
    tornado
        Tornado of the gain of `decides_for`.
    decides_for
        The option that it is about, and the one it is measured against.
    break_evens
        Of the alternative and the first option with a heat pump.
    regrets
        By named price future, of the options that are priced and as comfortable as needed.
    shares
        Share of the spread of that gain by input, everything moved at once.
    leaving
        What leaving the fuel wholly comes to, of the subject.
    """

    worth: Worth
    sampled: Prospects | None
    pair: OfferPair | None
    tornado: pd.DataFrame
    decides_for: tuple[str, str]
    break_evens: BreakEvens | None
    regrets: pd.DataFrame
    shares: pd.DataFrame | None
    leaving: LeavingFuel | None

    @property
    def subject(self) -> OptionMoney:
        """The option that the question is about."""
        return subject_of(self.worth)

    def keeps_as_warm(self, option: OptionMoney) -> OptionMoney | None:
        """What is there, kept as comfortable as an option is: the alternative itself first; None where nothing is."""
        source = self.worth.base.case.heat_source
        alike = [one for one in self.worth.options if one.case.heat_source == source and one is not option]
        ordered = sorted(alike, key=lambda one: (one.name != self.worth.against, one.worth_today, one.name))
        return next((one for one in ordered if one.year.comfort.as_warm_as(option.year.comfort)), None)

    def lacks_price(self, option: OptionMoney) -> bool:
        """Whether an option needs something bought and has no ledger: it isn't free, its price is missing."""
        return not priced(self.worth, option)

    def measures(self, option: OptionMoney, other: OptionMoney, *, sunk: bool = True) -> Measures:
        """What an option is worth against another."""
        return replace(self.worth, against=other.name).measures(option.name, sunk=sunk)

    def more(self, option: OptionMoney, other: OptionMoney) -> Range | None:
        """Range of what an option costs more than another over the years, worth today; None without samples."""
        return None if self.sampled is None else self.sampled.gain(option.name, other.name).negative


def priced(worth: Worth, option: OptionMoney) -> bool:
    """Whether an option has a ledger, or changes nothing that must be bought."""
    if option.case.ledger is not None or option.name == worth.against:
        return True
    return not any(key.startswith(BOUGHT) for key, *_ in differences(worth.base.case, option.case))


def subject_of(worth: Worth) -> OptionMoney:
    """Of the options heated otherwise than the alternative, else of all others, the one that changes least."""
    changed = [one for one in worth.others if one.case.heat_source != worth.base.case.heat_source]
    return min(changed or worth.others, key=lambda one: (changes_of(one.case), one.name))


def weigh(
    worth: Worth, *, samples: int = SAMPLES, offers: Sequence[str] = (), shares: bool = False,
    begin: Callable[[str], None] = lambda _: None,
) -> Weighed:  # fmt: skip
    """Work out a worth with offers, ranges, what decides it and break-evens.

    Parameters
    ----------
    worth
        Options and terms.
    samples
        Sampled home-years of each option; 0 leaves ranges out.
    offers
        Names of two offers; none takes the cheapest and the most expensive that cost something at once, where there
        are two.
    shares
        Whether to work out the share of the spread that each input causes.
    begin
        Told the name of each step.
    """
    if len(offers) not in (0, 2):
        given = f"--offer given {len(offers)} time{'s' * (len(offers) != 1)}"
        raise CaseError(Fault("", given, "says no pair", "Give it twice, once for each of two options"))
    two = tuple(offers) or _two_offers(worth)
    sampled = _sampled(worth, samples, begin) if samples else None
    begin("offers")
    pair = offer_pair(worth, *two, sampled=sampled) if two else None
    begin("what decides")
    subject = subject_of(worth)
    one, other = (pair.expensive, pair.cheap) if pair else (subject.name, worth.against)
    known = distributions_of(worth.base.case)
    rivals = [option.name for option in worth.options if option.year.comfort.held and priced(worth, option)]
    return Weighed(
        worth, sampled, pair, tornado(worth, one, against=other), (one, other), _break_evens(worth),
        regret(worth, among=rivals),
        global_shares(gain_of(worth, one, other), known, base=64) if shares else None, leaving_fuel(subject.year),
    )  # fmt: skip


def _sampled(worth: Worth, samples: int, begin: Callable[[str], None]) -> Prospects:
    done = [0]

    def told(now: int, of: int) -> None:
        for _ in range(now - done[0]):
            begin(f"{of:,} sampled years")
        done[0] = now

    return prospects(worth, samples=samples, progress=told)


def _two_offers(worth: Worth) -> tuple[str, ...]:
    """Cheapest and most expensive of the options that cost something at once, where they differ."""
    costly = [(option.settled.net, option.name) for option in worth.others if option.settled.net > 0]
    ranked = sorted(costly, key=lambda pair: pair[0])
    if len(ranked) < 2 or ranked[0][0] == ranked[-1][0]:
        return ()
    return ranked[0][1], ranked[-1][1]


def _break_evens(worth: Worth) -> BreakEvens | None:
    """Of the first heat pump against the alternative; None where one of them is missing."""
    for option in worth.others:
        try:
            return break_evens(heat_prices(option.year, worth.base.year))
        except CaseError:
            continue
    return None
