"""Options weighed over the years in; offers, ledger, fan, what decides and where it tips, as pictures, out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from simkit import figures
from simkit.answers.answer import Picture
from simkit.figures.money.tornado import BAR_INCHES
from simkit.figures.style import Sheet
from simkit.finance.offers import OfferPair
from simkit.finance.weighing import Weighed
from simkit.notation import Notation, named
from simkit.quantities import INPUT_WORDS

TORNADO_SHEET, STEP_INCHES, MOST_BARS = Sheet(left=3.1, right=0.5), 0.36, 8


def worth_pictures(found: Weighed) -> Iterator[Picture]:
    """The offers first, where there are two; those that were worked out."""
    notation, name = found.worth.base.case.notation, found.decides_for[0]
    if found.pair is not None:
        yield _offers(found.pair, notation)
    yield _tornado(found, notation)
    yield from _ledger(found, name, notation)
    yield from _fan(found, name, notation)
    yield from _tips(found, notation)


def _offers(pair: OfferPair, notation: Notation) -> Picture:
    likely = None if pair.overtaken_range is None else (pair.overtaken_range.low, pair.overtaken_range.high)
    last = pair.cumulated.iloc[-1]
    return Picture(
        "offers",
        lambda figure: figures.offers_over_years(
            pair.cumulated, overtaken=pair.overtaken, likely=likely, notation=notation, figure=figure
        ),
        f"After {pair.horizon_years} years {named(pair.cheap)} has cost {notation.money(last[pair.cheap])} and "
        f"{named(pair.expensive)} {notation.money(last[pair.expensive])} of today's money.",
    )  # fmt: skip


def _ledger(found: Weighed, name: str, notation: Notation) -> Iterator[Picture]:
    ledger = found.worth.option(name).settled.frame()
    if len(ledger):
        sheet = Sheet(left=2.4, right=0.9)
        words: dict[str, Any] = {"notation": notation, "name": name}
        high = STEP_INCHES * (len(ledger) + 1)
        yield Picture(
            "ledger",
            lambda figure: figures.ledger_steps(ledger, ax=sheet.axes([high], figure=figure)[0], **words),
            figures.ledger_steps_sentence(ledger, **words),
        )


def _fan(found: Weighed, name: str, notation: Notation) -> Iterator[Picture]:
    if found.sampled is not None and name != found.worth.against:
        fan = found.sampled.fan(name)
        words: dict[str, Any] = {"option": name, "against": found.worth.against, "notation": notation}
        yield Picture(
            "fan",
            lambda figure: figures.cash_fan(fan, ax=Sheet().axes([2.8], figure=figure)[0], **words),
            figures.cash_fan_sentence(fan, **words),
        )


def _tornado(found: Weighed, notation: Notation) -> Picture:
    bars, high = found.tornado, BAR_INCHES * min(len(found.tornado), MOST_BARS) + 0.2
    widest = ", ".join(INPUT_WORDS.get(str(name), str(name)) for name in bars.index[:3])
    return Picture(
        "tornado",
        lambda figure: figures.tornado_bars(bars, notation=notation, ax=TORNADO_SHEET.axes([high], figure=figure)[0]),
        f"{' against '.join(map(named, found.decides_for))}: what decides it most is {widest}.",
    )


def _tips(found: Weighed, notation: Notation) -> Iterator[Picture]:
    even = found.break_evens
    if even is not None:
        sheet = Sheet(left=0.7, right=0.5)
        yield Picture(
            "tipping",
            lambda figure: figures.tipping_map(
                *even.tipping(), home=even.home, notation=notation, ax=sheet.axes([3.6], figure=figure)[0]
            ),
            figures.tipping_map_sentence(home=even.home, need_spf=even.with_own_electricity, notation=notation),
        )
