"""A case and what was asked of its worth in; everything that is said of it, worked out, out."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from simkit.case.build import Case
from simkit.errors import CaseError, Fault
from simkit.finance.breakeven import BreakEvens, break_evens, heat_prices
from simkit.finance.offers import offer_pair
from simkit.finance.risk import prospects, regret
from simkit.finance.sensitivity import tornado, tornado_shares
from simkit.finance.worth import Worth, worth
from simkit.reporting.worth.terminal import Weighed

Begin = Callable[[str], None]


def weighed(
    case: Case, *, against: str | None, offers: Sequence[str], samples: int, begin: Begin, shares: bool = False
) -> Weighed:
    """Work out a worth with offers, ranges, what decides it and break-evens.

    Parameters
    ----------
    case
        A home with [money] and options.
    against
        Name of the alternative; None takes the baseline of the case.
    offers
        Names of two offers; none takes the cheapest and the dearest heat pump, where the case has two.
    samples
        Sampled home-years of each option; 0 leaves ranges out.
    begin
        Told the name of each step.
    shares
        Whether to work out the share of the spread that each input causes.
    """
    if len(offers) not in (0, 2):
        given = f"--offer given {len(offers)} time{'s' * (len(offers) != 1)}"
        raise CaseError(Fault("", given, "says no pair", "Give it twice, once for each of two options"))
    begin("options")
    found = worth(case, against=against)
    two = tuple(offers) or _two_offers(found)
    sampled = None
    if samples:
        done = [0]

        def told(now: int, of: int) -> None:
            for _ in range(now - done[0]):
                begin(f"{of:,} sampled years")
            done[0] = now

        sampled = prospects(found, samples=samples, progress=told)
    begin("offers")
    pair = offer_pair(found, *two, sampled=sampled) if two else None
    begin("what decides")
    decides = (pair.dear, pair.cheap) if pair else (found.others[0].name, found.against)
    return Weighed(
        found,
        sampled,
        pair,
        tornado(found, decides[0], against=decides[1]),
        decides,
        _break_evens(found),
        regret(found),
        tornado_shares(found, decides[0], against=decides[1]) if shares else None,
    )


def _two_offers(found: Worth) -> tuple[str, ...]:
    """Cheapest and dearest of the options that cost something at once, where they differ."""
    costly = [(option.settled.net, option.name) for option in found.others if option.settled.net > 0]
    priced = sorted(costly, key=lambda pair: pair[0])
    if len(priced) < 2 or priced[0][0] == priced[-1][0]:
        return ()
    return priced[0][1], priced[-1][1]


def _break_evens(found: Worth) -> BreakEvens | None:
    """Of the first heat pump against the alternative; None where one of them is missing."""
    for option in found.others:
        try:
            return break_evens(heat_prices(option.year, found.base.year))
        except CaseError:
            continue
    return None
