"""Options weighed over the years in; what was assumed, and how it was worked out, out."""

from __future__ import annotations

from collections.abc import Iterator

from simkit.answers.money.leaving_fuel import fuel_sentence
from simkit.case.money.money import money_words
from simkit.finance.ageing import ageing_note
from simkit.finance.weighing import Weighed
from simkit.notation import Notation, named
from simkit.uncertainty.distributions import input_lines

HOW = (
    "The yearly table is the source of every figure: worth today is what each total is worth now. Its sum is the "
    "whole-life cost, which over the annuity factor is the even cost a year; payback and rate of return are those of "
    "the difference of two columns of totals."
)


def worth_notes(found: Weighed, notation: Notation) -> Iterator[str]:
    """Terms and conventions, colder options, ageing, credits, leaving the fuel, samples, and what they stand on."""
    worth = found.worth
    yield money_words(worth.money, notation)
    yield "Single payments stand in the nearest whole year; yearly ones at its end."
    yield HOW
    for option in worth.options:
        if not option.year.comfort.held:  # its cost is no like for like
            comfort = option.year.comfort.worded(notation.number)
            yield (
                f"{named(option.name)} is less comfortable than needed ({comfort}): part of the saving is colder rooms "
                "or water."
            )
    yield from dict.fromkeys(note for option in worth.options if (note := ageing_note(option.case)))
    yield from _ledgers(found, notation)
    for option in (one for one in worth.others if not found.lacks_price(one)):
        rate = worth.measures(option.name).rate
        yield f"{named(option.name)} against {named(worth.against)}: {rate.worded(notation)}"
    if found.leaving is not None:
        yield fuel_sentence(found.leaving, notation)
    yield worth.carbon[worth.against].words
    if found.sampled is not None:
        yield _convergence(found, notation)
        yield from (f"Sampled: {line}" for line in input_lines(worth.base.case))


def _ledgers(found: Weighed, notation: Notation) -> Iterator[str]:
    """What the terms of offers and credits come to, apart from the worth of the options."""
    worth = found.worth
    for option in worth.options:
        earned = option.settled.interest_until_due
        if abs(earned) > 0.005:
            earns = "earn" if earned > 0 else "cost"
            yield (
                f"Until they are due, the payments of {named(option.name)} {earns} "
                f"{notation.amount(abs(earned))} of interest; that is in no sum here, which weighs waiting "
                "already."
            )
    for credit in dict.fromkeys(c for option in worth.options if (c := option.settled.financing) is not None):
        names = ", ".join(named(option.name) for option in worth.options if option.settled.financing == credit)
        kind = "an advantage" if credit.advantage >= 0 else "a cost"
        yield (
            f"The credit of {names} takes {notation.amount(credit.payment_per_month)} a month until "
            f"{notation.date(credit.ends)}, {notation.amount(credit.interest)} of it interest in all; against "
            f"cash that earns {notation.share(worth.money.savings_rate, 1)} that is {kind} of "
            f"{notation.amount(abs(credit.advantage))} today, valued apart from the option."
        )


def _convergence(found: Weighed, notation: Notation) -> str:
    """What half of the samples would have said, so that one sees whether they are enough."""
    assert found.sampled is not None  # asked for by the caller
    name, other = found.decides_for
    table = found.sampled.convergence(name, other)
    half, whole = table.iloc[max(len(table) - 2, 0)], table.iloc[-1]
    moved = max(abs(whole["low"] - half["low"]), abs(whole["high"] - half["high"]))
    return (
        f"{notation.number(int(table.index[-1]))} simulated futures; with half of them no end of the range of "
        f"{named(name)} against "
        f"{named(other)} would lie more than {notation.money(float(moved))} away."
    )
