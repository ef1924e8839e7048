"""A ladder of a home that lacks comfort in; what mends that and for how much, before any saving, in words, out."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

from simkit.answers.wording import capital, comfort_is, home_is, what_would_mend
from simkit.case.money.money import Measure
from simkit.decide.measures.ladder import Ladder
from simkit.decide.measures.rungs import BestSet
from simkit.notation import Notation, named
from simkit.year.year import Year


def comfort_first(ladder: Ladder, year: Year, notation: Notation) -> str:
    """Of a home that lacks comfort what gives it, and its price, before any saving; else that nothing here does."""
    said = f"{capital(home_is(year))}."
    first = [rung for rung in ladder.rungs if rung.for_comfort]
    if not first:
        return (
            f"{said} Nothing that was asked about gives it the needed comfort, which comes before any saving. "
            f"{what_would_mend(year)}"
        ).strip()
    names, last = ", ".join(named(rung.measure.name) for rung in first), first[-1]
    price = f"for {notation.money(last.cost_so_far)}" if last.cost_so_far else "which costs nothing to buy"
    runs = _to_run(last.saved_so_far, notation)
    if ladder.held[last.row]:
        return f"{said} What mends that comes before any saving: {names}, {price}; a year then costs {runs}."
    left = comfort_is(ladder.combined.comforts[last.row], notation)
    return f"{said} Nothing that was asked about mends that; nearest comes {names}, {price}, with which {left}."


def _to_run(saved: float, notation: Notation) -> str:
    """What a year costs against today's, to follow “costs”."""
    return f"{notation.more_or_less(-saved)} to run than today" if round(saved) else "as much to run as today"


def what_saves_then(ladder: Ladder, notation: Notation) -> list[str]:
    """What saves after that, as long as the home is no colder for it."""
    then = [rung for rung in ladder.rungs if not rung.for_comfort]
    if not then:
        return []
    held, money = ladder.held[then[0].row], notation.money
    these = list(takewhile(lambda rung: not rung.measure.cost, then)) or then[:1]
    what, saves = ", ".join(named(rung.measure.name) for rung in these), money(sum(rung.adds for rung in these))
    price = money(these[0].measure.cost) if these[0].measure.cost else "free"
    if held:
        return [f"After that {what} ({price}) saves {saves} a year, and the home stays warm enough."]
    return [f"The home stays without the needed comfort; no worse than today, {what} ({price}) saves {saves} a year."]


def buys_comfort(ladder: Ladder, found: BestSet, bought: Sequence[str], amount: str, notation: Notation) -> str:
    """What a budget does for a home that lacks comfort: whether it gives that, before what it saves."""
    then = ladder.combined.comforts[ladder.combined.row(found.names)]
    listed, price = ", ".join(map(named, bought)), notation.money(found.cost)
    runs = f"a year then costs {_to_run(found.saved, notation)}"
    if then.held:
        free = ", ".join(map(named, found.names))
        got = f"{listed} for {price}" if bought else f"nothing that earns its price beside what is free ({free})"
        return f"{amount} buys {got}: rooms are then warm enough and hot water comes, and {runs}."
    cheapest = ladder.warming
    needed = ""
    if cheapest is not None and ladder.held[cheapest]:
        needed = f", which takes {notation.money(float(ladder.cost[cheapest]))}"
    said = f"{amount} doesn't give the needed comfort{needed}"
    if not bought:
        return f"{said}."
    return f"{said}: with {listed} for {price} {comfort_is(then, notation)}, and {runs}."


def mends_nothing(ladder: Ladder, measure: Measure, notation: Notation) -> str:
    """Why a measure that is on no rung does not give the home what it lacks; empty where it does by itself."""
    now, then = ladder.combined.comforts[0], ladder.combined.comforts[ladder.combined.row([measure.name])]
    if then.held:
        return ""
    if then.as_warm_as(now) and now.as_warm_as(then):
        how = "as cold as today" if now.level else "as short of hot water as today"
        return f"{named(measure.name)} mends nothing of that: the home would be {how}."
    return f"{named(measure.name)} alone leaves too little comfort: {comfort_is(then, notation)}."
