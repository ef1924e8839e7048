"""Options over the years in; whether to change and to which offer, against keeping what is there, out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import isfinite

from simkit.answers.answer import Answer
from simkit.answers.cautions import cautions_for
from simkit.answers.money.worth_data import worth_data
from simkit.answers.money.worth_notes import worth_notes
from simkit.answers.money.worth_pictures import worth_pictures
from simkit.answers.money.worth_tables import worth_tables
from simkit.answers.wording import (
    NO_LIKE,
    beside,
    closing,
    comfort_is,
    costs_against,
    either_way,
    like_for_like,
    of_ten,
    provenance_of,
    with_option,
)
from simkit.finance.breakeven import BreakEvens
from simkit.finance.cash import years_words
from simkit.finance.cashflow import OptionMoney, never_replaced
from simkit.finance.offers import OfferPair
from simkit.finance.weighing import SAMPLES, Weighed, weigh
from simkit.finance.worth import Worth
from simkit.notation import Notation, named
from simkit.uncertainty.ranges import Range


def worth_answer(
    worth: Worth, title: str = "", *, samples: int = SAMPLES, offers: Sequence[str] = (), shares: bool = False,
    years: bool = False, begin: Callable[[str], None] = lambda _: None,
) -> Answer:  # fmt: skip
    """Say what the options of a case are worth.

    Parameters
    ----------
    worth
        Options and terms.
    title
        Name of the home; that of the alternative where it is left out.
    samples, offers, shares, begin
        As `simkit.finance.weighing.weigh` takes them.
    years
        Whether to show the ledger and the yearly table of every option too.
    """
    return weighed_answer(weigh(worth, samples=samples, offers=offers, shares=shares, begin=begin), title, years=years)


def weighed_answer(found: Weighed, title: str = "", *, years: bool = False) -> Answer:
    """The same, of what was weighed before."""
    worth, base, notation = found.worth, found.worth.base, found.worth.base.case.notation
    title = title or base.name
    sources = {option.case.heat_source for option in worth.options}
    return Answer(
        title, "Should I change, and which offer is cheaper over the years?",
        tuple(worth_sentences(found, notation)), notation,
        tables=tuple(worth_tables(found, notation, years=years)), pictures=tuple(worth_pictures(found)),
        cautions=cautions_for(
            [option.year for option in worth.options], {"heat source", "old boiler"} if len(sources) > 1 else set()
        ),
        notes=tuple(worth_notes(found, notation)), provenance=provenance_of(base.year), data=worth_data(found, title),
    )  # fmt: skip


def worth_sentences(found: Weighed, notation: Notation) -> list[str]:
    """Whether to change, at equal comfort and as it was lived; then between the offers; then what is missing."""
    pair, told = found.pair, [found.subject.name]
    if pair is not None:
        told += [name for name in (pair.cheap, pair.expensive) if name not in (*told, found.worth.against)]
    said = []
    for option in map(found.worth.option, told):
        if not found.lacks_price(option):
            said += _should_i(found, option, notation)
    if pair is not None:
        said.append(_offers(found, pair, notation))
    said += [*_cheapest(found, notation), *_missing(found), *_lapsed(found, notation), *_never(found)]
    if found.break_evens is not None:
        said.append(_tips(found.break_evens, notation))
    return [*said, closing(*(one.case for one in found.worth.options), ranged=found.sampled is not None)]


def _tips(even: BreakEvens, notation: Notation) -> str:
    """Where heat pump and boiler cost the same, by the three forms, and where the home stands."""
    forms = (even.marginal, even.with_standing, even.with_own_electricity, even.prices.spf_h4)
    alone, standing, all_in, here = (notation.number(value, 2) for value in forms)
    may, does = (notation.number(value, 2) for value in (even.price_ratio, even.prices.price_ratio))
    return (
        "To run, the heat pump costs as much as the boiler where its SPF H4 (units of heat for one of electricity over "
        f"the year, pumps and heaters counted) is {alone} by prices alone, {standing} with the standing charge saved, "
        f"{all_in} with the boiler's electricity saved too; here it is {here}. So a kilowatt-hour of electricity may "
        f"cost up to {may} times as much as one of fuel, and costs {does} times as much."
    )


def _should_i(found: Weighed, option: OptionMoney, notation: Notation) -> list[str]:
    """One option against keeping what is there: at equal comfort first, then as it was lived."""
    base, like = found.worth.base, found.keeps_as_warm(option)
    others = [base] if like is None or like is base else [like, base]
    said = [_against(found, option, other, notation) for other in others]
    lacks = with_option(option.year, option.name)
    said[0] = f"{lacks} {said[0]}" if lacks else said[0]
    if like is None:
        said.append("No option here keeps the old heating at that comfort: add one, so that like is weighed with like.")
    return said


def _against(found: Weighed, option: OptionMoney, other: OptionMoney, notation: Notation) -> str:
    """What an option costs over the years against keeping another, what in year one, and when it has paid back.

    Where it is no like for like nothing is said of payback: what it saves is warmth as well.
    """
    measured, years = found.measures(option, other), found.worth.money.horizon_years
    alike = like_for_like(option.year.comfort, other.year.comfort)
    keeping, time = f"keeping {named(other.name)}", f"over {years} years"
    more = costs_against(-measured.gain_today, found.more(option, other), keeping, notation, time=time)
    first = notation.more_or_less(-measured.first_year_saving)
    if not alike:
        return f"{named(option.name)} {more}, and {first} in year one; {NO_LIKE}{beside(other.year, other.name)}."
    odds = ""
    if found.sampled is not None:
        share = of_ten(found.sampled.odds(option.name, years, other.name))
        odds = f" ({share}, within {years} years)" if measured.simple_payback <= years else f" (it does {share})"
    return (
        f"{alike}{named(option.name)} {more}{beside(other.year, other.name)}. It costs {first} in year one and "
        f"{years_words(measured.simple_first, measured.simple_payback, years, notation)}{odds}."
    )


def _offers(found: Weighed, pair: OfferPair, notation: Notation) -> str:
    """Which of two offers is cheaper over its life, what it costs more at once, and when it has made up for that."""
    worth, years = found.worth, pair.horizon_years
    cheap, expensive = worth.option(pair.cheap), worth.option(pair.expensive)
    spread, less = pair.gain_a_year_range, pair.gain_a_year
    better, other = (pair.expensive, pair.cheap) if less >= 0 else (pair.cheap, pair.expensive)
    if spread is not None and either_way(spread):
        text = f"Between {named(pair.expensive)} and {named(pair.cheap)} it could go either way over {years} years "
        text += f"(likely {notation.span_more_or_less(spread.negative)} a year for {named(pair.expensive)})"
    else:
        likely = None if spread is None else (spread.negative if less >= 0 else spread)
        text = f"{named(better)} is cheaper than {named(other)} over {years} years: "
        text += f"{notation.more_or_less(-abs(less), likely)} a year"
        text += f" (likely {notation.span_more_or_less(likely)})" if likely is not None else ""
    first = notation.more_or_less(-pair.extra_first_year)
    text += f". {named(pair.expensive)} costs {notation.money(pair.saved_today)} more at once and {first} in year one"
    text += f", {_overtaken(pair)}"
    lacking = [one for one in (cheap, expensive) if not one.year.comfort.held]
    if len(lacking) == 2:
        return f"Neither of the two offers gives the needed comfort. {text}."
    if lacking:
        lacks = comfort_is(lacking[0].year.comfort, notation)
        return f"They are no like for like, since with {named(lacking[0].name)} {lacks}. {text}."
    return f"{text}."


def _overtaken(pair: OfferPair) -> str:
    """When the expensive offer has made up for its price."""
    years = pair.horizon_years
    if not isfinite(pair.overtaken):
        said = f"and doesn't make up for it in {years} years"
    else:
        said = f"and has made up for it in year {pair.overtaken:.0f}"
    if pair.overtaken_odds is not None:
        said += f" ({of_ten(pair.overtaken_odds)}, within {years} years)"
    return said


def _cheapest(found: Weighed, notation: Notation) -> list[str]:
    """Of the options that are priced and as comfortable as needed the cheapest over the years; or that none is."""
    worth, years = found.worth, found.worth.money.horizon_years
    priced = [option for option in worth.options if not found.lacks_price(option)]
    held = sorted((one for one in priced if one.year.comfort.held), key=lambda one: one.worth_today)
    if not held:
        near = min(priced, key=lambda one: (*one.year.comfort.how_far, one.name))
        comfort = near.year.comfort.worded(notation.number)
        return [f"No option is as comfortable as needed; {named(near.name)} comes nearest: {comfort}."]
    if len(held) == 1 and len(priced) > 2:
        return [f"Of the options with a price only {named(held[0].name)} is as comfortable as needed."]
    if len(priced) < 3:
        return []
    best, even = held[0], [one for one in held[1:] if _either(found.more(one, held[0]))]
    said = f"Of the options as comfortable as needed {named(best.name)} costs least over {years} years, about "
    said += f"{notation.money(best.annualised_cost)} a year all in"
    rivals = ", ".join(named(one.name) for one in even)
    return [f"{said}; against {rivals} it could go either way." if even else f"{said}."]


def _either(found: Range | None) -> bool:
    return found is not None and either_way(found)


def _missing(found: Weighed) -> list[str]:
    """Options whose price nobody wrote."""
    names = [named(option.name) for option in found.worth.others if found.lacks_price(option)]
    if not names:
        return []
    return [f"No price is stated for {', '.join(names)}: it is not ranked, since it is not free. Add a [ledger] to it."]


def _lapsed(found: Weighed, notation: Notation) -> list[str]:
    """Offers that can't be accepted any more when the years begin."""
    start = found.worth.money.start
    ends = {one.name: one.case.ledger.valid_until for one in found.worth.options if one.case.ledger is not None}
    return [
        f"{named(name)} could be accepted until {notation.date(day)}, before the years begin: ask for it anew."
        for name, day in ends.items()
        if day is not None and day < start
    ]


def _never(found: Weighed) -> list[str]:
    """Parts that nobody listed, which never die here."""
    by_part: dict[str, list[str]] = {}
    for option in found.worth.options:
        for part in never_replaced(option.case, found.worth.money):
            by_part.setdefault(part, []).append(named(option.name))
    return [
        f"Nobody listed when the {part} of {', '.join(names)} must be replaced: here it lasts for ever, which makes it "
        "look better than it is. List it in [[money.part]]."
        for part, names in by_part.items()
    ]
