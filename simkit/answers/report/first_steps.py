"""What a report works from in; what to do first, and who does it, out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import dropwhile, takewhile
from math import inf
from typing import Any

from simkit.answers.report.basis import Basis
from simkit.answers.report.words import Words
from simkit.uncertainty.ranges import Range


@dataclass(frozen=True)
class Step:
    """What to do first: what it is, what it comes to, who does it and what to heed."""

    what: str
    comes_to: str
    who: str
    heed: str


def first_steps(basis: Basis, gap: Range | None) -> list[Step]:
    """What is free first; else the first that earns its price, with what is free after it; or that nothing does.

    Parameters
    ----------
    basis
        What the report works from.
    gap
        What is advised costs more than what is kept [currency]; None where nothing is kept.
    """
    words, ladder, answer = basis.words, basis.ladder, basis.measures
    ordered = _ordered(basis, gap)
    nothing = ordered or [Step(words("first.no_step"), "", "", "")]
    if ladder is None or answer is None:
        return nothing
    if basis.chosen.case.heat_source == "boiler" != ladder.combined.cases[0].heat_source:
        # what the ladder names is no change of what is advised, and may be what the others lack
        lacking = any(not year.comfort.held for year in basis.comparison.years)
        return [Step(words("first.ask_again"), "", "", "")] if lacking else nothing
    if not ladder.rungs:
        return nothing
    free, worth = ladder.best(0.0).names, ladder.best(inf).names
    if ladder.lacks:  # what gives the needed comfort comes before any saving
        pairs = zip(ladder.rungs, answer.data["rungs"], strict=True)
        rungs = [rung for taken, rung in pairs if taken.for_comfort]
    elif free:
        rungs = [rung for rung in answer.data["rungs"] if rung["measure"] in free]
    else:
        found = list(dropwhile(lambda rung: rung["measure"] not in worth, answer.data["rungs"]))
        rungs = [*found[:1], *takewhile(lambda rung: rung["cost"] == 0.0, found[1:])]
    return [*ordered, *(_step(words, rung) for rung in rungs)] or nothing


def _ordered(basis: Basis, gap: Range | None) -> list[Step]:
    """To have what is advised put in, where something of it is still to be paid and it is likely to earn that."""
    words, weighed = basis.words, basis.weighed
    option = None if weighed is None else weighed.worth.option(basis.chosen.case.name)
    if option is None or option.case.ledger is None or basis.chosen is basis.comparison.base:
        return []
    due = option.settled.net - option.settled.already_paid
    earns = basis.chosen.comfort.held and (gap is None or gap.low + gap.high < 0.0)
    if due < 0.5 or not earns:
        return []
    what = words("first.order", option=words.quoted(option.name))
    return [Step(what, words.notation.money(due), words("who.a_licensed_trade"), "")]


def _step(words: Words, rung: Mapping[str, Any]) -> Step:
    ends, notation = rung["range"], words.notation
    found = None if ends is None else Range(ends[0], rung["adds"], ends[1])
    price = words("first.free") if rung["cost"] == 0 else notation.money(rung["cost"])
    likely = "" if found is None else words("first.saves_likely", span=words.range(found))
    if rung["adds"] <= 0.0:
        return Step(rung["measure"], price, _who(words, rung), rung["heed"] or "")
    comes_to = words("first.saves", price=price, saves=notation.estimate(rung["adds"], found), likely=likely)
    return Step(rung["measure"], comes_to, _who(words, rung), rung["heed"] or "")


def _who(words: Words, rung: Mapping[str, Any]) -> str:
    key = f"who.{rung['who'].replace(' ', '_')}"
    return words(key) if words.has(key) else str(rung["who"])
