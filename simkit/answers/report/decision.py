"""What a report works from in; its first page out: the decision in five sentences, and what stands by it.

Every figure is one that the sections say too, rounded by the same ranges. Estimates, never promises.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from typing import Any

from simkit.answers.report.basis import Basis
from simkit.answers.report.first_steps import Step, first_steps
from simkit.answers.report.gaps import against_baseline, gap_between, gap_of
from simkit.answers.report.words import Words
from simkit.answers.wording import MOSTLY, either_way
from simkit.finance.cashflow import OptionMoney
from simkit.finance.ledger import Settled
from simkit.quantities import INPUT_WORDS
from simkit.uncertainty.ranges import Range
from simkit.year.sizing import ENOUGH
from simkit.year.year import Year

MOST_DECIDING = 3
DIGITS_OF_SWING = 2


@dataclass(frozen=True)
class Fact:
    """One figure of the first page: what it is, its value, and what belongs to it."""

    name: str
    label: str
    value: str
    note: str


@dataclass(frozen=True)
class FirstPage:
    """The page for those who read no other.

    Attributes
    ----------
    sentences
        The decision; five of them.
    facts
        Money now, money a year, rooms.
    deciding
        What decides, the strongest first.
    steps
        What to do first, and who does it.
    data
        The same as plain values.
    """

    sentences: tuple[str, ...]
    facts: tuple[Fact, ...]
    deciding: tuple[str, ...]
    deciding_title: str
    steps: tuple[Step, ...]
    data: Mapping[str, Any]


def first_page(basis: Basis) -> FirstPage:
    """Put the answers of a report on one page."""
    sentences = (_decision(basis), _now(basis), _a_year(basis), _rooms(basis), _pays_back(basis))
    title, deciding = _deciding(basis)
    steps = tuple(first_steps(basis, gap_of(basis)))
    facts = tuple(_facts(basis))
    data = {
        "advised": basis.chosen.case.name, "kept": None if basis.kept is None else basis.kept.case.name,
        "sentences": list(sentences), "facts": [vars(fact) for fact in facts], "deciding": list(deciding),
        "steps": [vars(step) for step in steps], "against_baseline": against_baseline(basis),
    }  # fmt: skip
    return FirstPage(sentences, facts, deciding, title, steps, data)


def _over(basis: Basis) -> str:
    """What the decision counts: so many years, or a year's running."""
    if basis.weighed is None:
        return basis.words("decision.to_run")
    return basis.words("decision.over_years", basis.weighed.worth.money.horizon_years)


def _decision(basis: Basis) -> str:
    words, chosen = basis.words, basis.chosen
    option, gap = words.quoted(chosen.case.name), gap_of(basis)
    if not chosen.comfort.held:
        return words("decision.none_held", option=option)
    if len(basis.comparison.years) < 2:
        return words("decision.alone", option=option)
    parts = {"option": option, "over": _over(basis)}
    if basis.kept is None or gap is None:
        base = basis.comparison.base
        if chosen.case.heat_source == base.case.heat_source:
            return _keep(basis, parts)
        unlike = "no_like" if basis.weighed is not None else "run_no_like"
        return words(f"decision.{unlike}", kept=words.quoted(base.case.name), **parts)
    kept, lean = words.quoted(basis.kept.case.name), _lean(gap)
    # without prices nothing can be chosen: what runs cheapest may cost more to buy than it ever saves
    return words(f"decision.{lean}" if basis.weighed is not None else f"decision.run_{lean}", kept=kept, **parts)


def _keep(basis: Basis, parts: Mapping[str, str]) -> str:
    """That what is there costs least, and against what that may turn out otherwise."""
    words, rival = basis.words, basis.rival
    gap = None if rival is None else gap_between(basis, basis.chosen, rival)
    if rival is None or gap is None or _lean(gap) == "better":
        return words("decision.keep", **parts)
    return words("decision.keep_open", rival=words.quoted(rival.case.name), **parts)


def _lean(gap: Range) -> str:
    """Which way a range of a difference in cost points."""
    if not either_way(gap):
        return "better" if gap.high <= 0 else "worse"
    lies = (gap.low + gap.high) / (gap.high - gap.low)
    return "even" if abs(lies) <= MOSTLY else "probably" if lies < 0 else "probably_not"


def _option(basis: Basis) -> OptionMoney | None:
    return None if basis.weighed is None else basis.weighed.worth.option(basis.chosen.case.name)


def _now(basis: Basis) -> str:
    words, option = basis.words, _option(basis)
    if option is None or option.case.ledger is None:
        return words("decision.there_already" if _is_there(basis) else "decision.no_price")
    settled = option.settled
    if round(settled.net) == 0:
        return words("decision.nothing_now")
    return words("decision.now", net=words.notation.money(settled.net), paid=_paid(words, settled))


def _is_there(basis: Basis) -> bool:
    """Whether what is advised is what the others are measured against."""
    return len(basis.comparison.years) > 1 and basis.chosen is basis.comparison.base


def _paid(words: Words, settled: Settled) -> str:
    """What of the price is spent already, to follow it; nothing where nothing is."""
    if settled.already_paid >= settled.net - 0.5:
        return words("decision.all_paid")
    if settled.already_paid > 0.5:
        return words("decision.part_paid", paid=words.notation.money(settled.already_paid))
    return ""


def _a_year(basis: Basis) -> str:
    words, year = basis.words, basis.chosen
    found = year.range()
    cost, span = words.notation.estimate(year.bill.total, found), words.range(found)
    said = words("decision.a_year", cost=cost, span=span)
    other = basis.kept or (basis.comparison.base if basis.comparison.base is not year else None)
    if other is None:
        return f"{said}."
    gap, more = Range.of(year.samples.total - other.samples.total), year.bill.total - other.bill.total
    alike = basis.kept is not None and year.comfort.as_warm_as(other.comfort)
    key = "decision.against_alike" if alike else "decision.against"
    against = words(key, more=words.more(more, gap), other=words.quoted(other.case.name), span=words.more_range(gap))
    return f"{said}: {against}."


def rooms_words(words: Words, year: Year) -> str:
    """The verdict on rooms and hot water, and on the machine on the coldest day."""
    comfort, number = year.comfort, words.notation.number
    level = ("rooms.warm", "rooms.cool", "rooms.cold")[comfort.level]
    said = words(
        level, hours=number(comfort.cool_hours), under=number(comfort.hours_below_18),
        lowest=comfort.coldest_worded(number),
    )  # fmt: skip
    water = "rooms.water_short" if comfort.water_short else "rooms.water"
    said += words(water, litres=number(comfort.unmet_litres))
    design = year.design_kw
    if design is not None and design[1] < ENOUGH * design[0]:
        said += words("rooms.machine_small", made=number(design[1], 1), load=number(design[0], 1))
    return said


def _rooms(basis: Basis) -> str:
    return f"{rooms_words(basis.words, basis.chosen)}."


def _pays_back(basis: Basis) -> str:
    """When it has paid for itself, and in how many futures; what is missing where that can't be said."""
    words, weighed, option = basis.words, basis.weighed, _option(basis)
    if weighed is None or option is None:
        return words("decision.not_weighed")
    if basis.kept is None:
        return _ruled_out(basis) or words("decision.nothing_to_pay_back")
    if not basis.chosen.comfort.as_warm_as(basis.kept.comfort):
        return words("decision.less_warm", kept=words.quoted(basis.kept.case.name))
    other, years = weighed.worth.option(basis.kept.case.name), weighed.worth.money.horizon_years
    after = weighed.measures(option, other).simple_payback
    share = None if weighed.sampled is None else weighed.sampled.odds(option.name, years, other.name)
    odds = "" if share is None else words("decision.odds", round(10 * share))
    if not isfinite(after) or after > years:
        return words("decision.never_back", years, odds=odds)
    if after <= 0:
        return words("decision.back_at_once", odds=odds)
    return words("decision.back", years=words.notation.number(after, 1), odds=odds)


def _ruled_out(basis: Basis) -> str:
    """The options that comfort alone rules out, those that lack the same together; empty where there is none."""
    words, lacking = basis.words, dict[str, list[str]]()
    for year in basis.comparison.years:
        if not year.comfort.held:
            lacks = words(f"rooms.short_{('warm', 'cool', 'cold')[year.comfort.level]}")
            water = [words("rooms.short_water_lacks")] if year.comfort.water_short else []
            lacking.setdefault(", ".join([*([lacks] if year.comfort.level else []), *water]), []).append(
                words.quoted(year.case.name)
            )
    listed = "; ".join(f"{', '.join(names)} ({lacks})" for lacks, names in lacking.items())
    return words("decision.ruled_out", options=listed) if listed else ""


def _facts(basis: Basis) -> list[Fact]:
    words, option, year = basis.words, _option(basis), basis.chosen
    found, notation = year.range(), basis.words.notation
    now, note = words("first.not_stated"), words("first.no_price_note")
    if _is_there(basis):
        now, note = notation.money(0.0), words("first.there_already")
    if option is not None and option.case.ledger is not None:
        settled = option.settled
        now = notation.money(max(settled.net - settled.already_paid, 0.0))
        note = words("first.now_note", net=notation.money(settled.net), paid=_paid(words, settled))
    level = ("rooms.short_warm", "rooms.short_cool", "rooms.short_cold")[year.comfort.level]
    water = words("rooms.short_water_lacks" if year.comfort.water_short else "rooms.short_water")
    return [
        Fact("now", words("first.now"), now, note),
        Fact(
            "a_year", words("first.a_year"), notation.estimate(year.bill.total, found),
            words("first.likely", span=words.range(found)),
        ),
        Fact("rooms", words("first.rooms"), words(level), water),
    ]  # fmt: skip


def _deciding(basis: Basis) -> tuple[str, tuple[str, ...]]:
    """What moves the decision most; where nothing is weighed, what of the inputs moves a year most."""
    words, weighed = basis.words, basis.weighed
    if weighed is not None and basis.kept is not None:
        from simkit.finance.sensitivity import tornado

        basis.begin("what decides")
        table = tornado(weighed.worth, basis.chosen.case.name, against=basis.kept.case.name)
        rows = [(_input(words, str(name)), float(swing)) for name, swing in table["swing"].items()]
        over = _over(basis)
        title = words(
            "first.deciding",
            option=words.quoted(basis.chosen.case.name),
            kept=words.quoted(basis.kept.case.name),
        )
        said = [words("first.moves_over", input=name, by=_rounded(words, by), over=over) for name, by in rows]
        return title, tuple(said[:MOST_DECIDING])
    table = basis.assumptions.table
    moving = table[table["moved_cost"] >= 0.5].head(MOST_DECIDING) if len(table) else table
    rows = moving.to_dict("records")
    said = [
        words("first.moves_year", input=_meaning(words, str(key), row), by=_rounded(words, row["moved_cost"]))
        for key, row in zip(moving.index, rows, strict=True)
    ]
    return words("first.deciding_year"), tuple(said) or (words("first.nothing_open"),)


def _input(words: Words, name: str) -> str:
    """An uncertain input in words."""
    key = f"inputs_of_range.{name}"
    return words(key) if words.has(key) else INPUT_WORDS.get(name, name)


def _meaning(words: Words, key: str, row: Mapping[str, Any]) -> str:
    """A value that was filled in, in words."""
    name = f"meaning.{key.rpartition(' ')[2]}"
    return words(name) if words.has(name) else str(row["meaning_words"])


def _rounded(words: Words, amount: float) -> str:
    """An amount to two digits: what decides needs no more."""
    unit = 10.0 ** max(0, len(str(int(abs(amount)))) - DIGITS_OF_SWING)
    return words.notation.money(amount, unit=unit)
