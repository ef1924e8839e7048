"""A ladder of measures in; its tables, and of a home that lacks comfort what mends that and for how much, out."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

import pandas as pd

from simkit.answers.answer import Column, Table
from simkit.answers.wording import capital, comfort_is, home_is, what_would_mend
from simkit.case.money.money import Measure
from simkit.decide.measures.combinations import OWN_TARIFF
from simkit.decide.measures.ladder import Ladder
from simkit.decide.measures.rungs import BestSet, Rung
from simkit.notation import Notation, named
from simkit.year.year import Year

HOW = (
    "Alone: by itself. Adds: after those above it, from homes simulated with and without it, so that the same money is "
    "never saved twice. So far: all of them."
)
HOW_LACKING = (
    "What gives the needed comfort stands first, whatever it saves. Rooms and hot water: with this one and all above "
    "it. Adds: after those above it, below zero where it costs more. So far: all of them."
)


def rungs_table(ladder: Ladder, ranges: pd.DataFrame | None, notation: Notation) -> Table:
    """One row a rung: free ones first, then by saving per money after those above."""
    rows = []
    for rung in ladder.rungs:
        low, high = (None, None) if ranges is None else ranges.loc[rung.measure.name, ["low", "high"]]
        rows.append(
            {
                "measure": rung.measure.name, "comfort": ladder.combined.comforts[rung.row].worded(notation.number),
                "price_amount": rung.measure.cost, "alone_amount": rung.alone,
                "adds_amount": rung.adds, "adds_low_amount": low, "adds_high_amount": high, "last_amount": rung.last,
                "payback_words": _payback(rung, notation),
                "spent_so_far_amount": rung.cost_so_far, "saved_so_far_amount": rung.saved_so_far,
            }
        )  # fmt: skip
    adds = Column("adds_amount", "adds_low_amount", "adds_high_amount")
    note, least = HOW, ("price_amount", "alone_amount")
    if ladder.lacks:  # what one saves alone is that of a home that stays cold, and is no saving
        note, least = HOW_LACKING, ("comfort", "price_amount")
    shown = (*map(Column, least), adds, *map(Column, ("payback_words", "saved_so_far_amount")))
    frame = pd.DataFrame(rows).set_index("measure")
    return Table("rungs", "What each adds a year, in the order to do it", frame, shown, note=note, first="Measure")


def _payback(rung: Rung, notation: Notation) -> str:
    """Years until a rung has saved its price."""
    if rung.adds <= 0.0:
        return "for comfort, saves nothing"
    return "at once" if rung.measure.cost == 0 else f"{notation.number(rung.pays_back, 1)} years"


def budgets_table(ladder: Ladder, budgets: Sequence[float], notation: Notation) -> Table:
    """What each budget buys, and what is free with it."""
    found = ladder.budgets(sorted(budgets))
    best = [ladder.best(float(at)) for at in found.index]
    nothing = "nothing" if ladder.lacks else "nothing that earns its price"
    words = [", ".join(bought(ladder, one.names)) or nothing for one in best]
    free = [", ".join(name for name in one.names if name not in bought(ladder, one.names)) for one in best]
    frame = pd.DataFrame(
        {
            "spent_amount": found["cost"], "saved_amount": found["saved"], "net_amount": found["net"],
            "buys_words": [
                f"{text}, at {one.tariff}" if ladder.tariffs and one.tariff != OWN_TARIFF else text
                for text, one in zip(words, best, strict=True)
            ],
        }
        | ({"free_words": free} if any(free) else {})
    )  # fmt: skip
    if ladder.lacks:
        then = [ladder.combined.comforts[ladder.combined.row(one.names)] for one in best]
        frame.insert(0, "comfort", [comfort.worded(notation.number) for comfort in then])
    frame.index = pd.Index([notation.money(float(at)) for at in found.index], name="budget")
    note = "Saves a year: with what is free. Left a year: less the even cost a year of what is bought, over its life."
    return Table("budgets", "What a budget buys", frame, note=note, first="Budget")


def manner_table(ladder: Ladder) -> Table:
    """Who does each, how much it disturbs, and what to heed."""
    measures = [rung.measure for rung in ladder.rungs]
    frame = pd.DataFrame(
        {
            "who_words": [measure.who for measure in measures],
            "bother_words": [measure.bother for measure in measures],
            "heed_words": [measure.safety or "" for measure in measures],
        },
        index=pd.Index([measure.name for measure in measures], name="measure"),
    )
    return Table("manner", "Who does it, and what to heed", frame, first="Measure")


def bought(ladder: Ladder, names: Sequence[str]) -> list[str]:
    """Those of some measures that cost money: what is free is not bought."""
    return [measure.name for measure in ladder.combined.measures if measure.name in names and measure.cost > 0.0]


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
    nearest = f"nearest comes {names}, {price}, with which {left}."
    return f"{said} Nothing that was asked about mends that; {nearest} {what_would_mend(year)}".strip()


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
