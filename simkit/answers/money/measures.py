"""A ladder of measures in; what to do next, and what each budget buys of it, out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import dropwhile, takewhile
from math import inf
from typing import Any

import pandas as pd

from simkit.answers.answer import Answer, Picture
from simkit.answers.cautions import cautions_for
from simkit.answers.money.measures_parts import bought as those_bought
from simkit.answers.money.measures_parts import (
    budgets_table,
    buys_comfort,
    comfort_first,
    manner_table,
    mends_nothing,
    rungs_table,
    what_saves_then,
)
from simkit.answers.wording import closing, provenance_of
from simkit.case.money.money import Measure
from simkit.decide.measures.ladder import BUDGETS, Ladder
from simkit.decide.measures.rung_ranges import rung_ranges
from simkit.decide.measures.rungs import Rung
from simkit.notation import Notation, named
from simkit.uncertainty.ranges import Range
from simkit.year.simulate import simulate
from simkit.year.year import Year

FIRST_YEAR = "A saving is that of the first year, in which panels and battery are new; over the years they age."
TOPIC_OF = {  # what a measure changes: what its caution is about
    "battery": "battery", "solar": "panels", "emitters": "emitters", "controls.design_flow_c": "flow",
    "hot_water.coil": "cylinder", "hot_water.volume": "cylinder", "hot_water.loss": "cylinder",
    "heat_source": "heat source",
}  # fmt: skip


def measures_answer(
    ladder: Ladder, title: str = "", *, budgets: Sequence[float] = BUDGETS, ranged: bool = True
) -> Answer:
    """Say what to do next to a home.

    Parameters
    ----------
    ladder
        What `rank_measures` gave.
    title
        Name of the home; that of the case where it is left out.
    budgets
        What may be spent; each is answered by itself [currency].
    ranged
        Whether to sample the likely range of what each rung adds as well.
    """
    home = ladder.combined.cases[0]
    notation, year = home.notation, simulate(home)
    ranges = rung_ranges(ladder) if ranged and ladder.rungs else None
    tables = [rungs_table(ladder, ranges, notation)] if ladder.rungs else []
    if _priced(ladder):
        tables.append(budgets_table(ladder, budgets, notation))
    if ladder.rungs:
        tables.append(manner_table(ladder))
    moved = () if ranges is None else (_moved(ranges, notation),)
    return Answer(
        title or home.name, "What should be done next, and what does a budget buy?",
        tuple(measures_sentences(ladder, year, notation, budgets, ranges)), notation,
        tables=tuple(tables), pictures=tuple(_pictures(ladder, budgets, notation)),
        cautions=cautions_for([year], _topics(ladder)), notes=(FIRST_YEAR, *moved, *year.notes),
        provenance=provenance_of(year), data=_data(ladder, ranges, title or home.name, budgets, notation),
    )  # fmt: skip


def measures_sentences(
    ladder: Ladder, year: Year, notation: Notation, budgets: Sequence[float] = BUDGETS,
    ranges: pd.DataFrame | None = None,
) -> list[str]:  # fmt: skip
    """Where to begin, then what each budget buys beyond what is free, then what is not advised and why."""
    begin = comfort_first(ladder, year, notation) if ladder.lacks else _begin(ladder, notation, ranges)
    said, (tariff, gain) = [begin], ladder.switch
    if ladder.lacks:
        said += what_saves_then(ladder, notation)
    if gain > 0.005:
        said.append(f"Changing to {named(tariff)} alone saves {notation.money(gain)} a year.")
    if _priced(ladder):
        said += [_buys(ladder, budget, notation) for budget in sorted(budgets)]
    else:
        said.append(
            "Nothing that costs money is listed: state it in [[money.measure]] with its price to see what a budget "
            "buys."
        )
    said += _left_out(ladder, notation)
    return [*said, closing(ladder.combined.cases[0], ranged=ranges is not None)]


def _begin(ladder: Ladder, notation: Notation, ranges: pd.DataFrame | None) -> str:
    """What is free first; where nothing free can be had by itself, the first step that is worth its price."""
    free, worth = ladder.best(0.0), ladder.best(inf).names
    rungs = list(dropwhile(lambda rung: rung.measure.name not in worth, ladder.rungs))
    if free.names:
        listed = ", ".join(map(named, free.names))
        saves = f"{notation.money(free.saved)} a year"
        saves = saves if len(free.names) > 1 else _adds(ladder.rungs[0], notation, ranges)
        return f"Do what is free first: {listed}. It saves {saves}."
    if not rungs:
        return "Nothing that was asked about saves its price without costing comfort."
    first, after = rungs[0], list(takewhile(lambda rung: rung.measure.cost == 0.0, rungs[1:]))
    price, saves = notation.money(first.measure.cost), _adds(first, notation, ranges)
    said = f"Begin with {named(first.measure.name)} for {price}: it saves {saves}"
    if after:
        listed, more = ", ".join(named(rung.measure.name) for rung in after), sum(rung.adds for rung in after)
        then = _adds(after[0], notation, ranges) if len(after) == 1 else f"{notation.money(more)} a year"
        said += f"; with it you can have {listed}, which is free and saves {then} on top"
    return f"{said}."


def _adds(rung: Rung, notation: Notation, ranges: pd.DataFrame | None) -> str:
    """What a rung saves a year, with its range where that was sampled."""
    if ranges is None:
        return f"{notation.money(rung.adds)} a year"
    low, high = ranges.loc[rung.measure.name, ["low", "high"]]
    found = Range(low, rung.adds, high)
    return f"about {notation.estimate(rung.adds, found)} a year (likely {notation.span(found)})"


def _left_out(ladder: Ladder, notation: Notation) -> list[str]:
    """Measures that are not advised, or save nothing after the others, each with the reason."""
    return [_why_not(ladder, measure, notation) for measure in ladder.left_out]


def _why_not(ladder: Ladder, measure: Measure, notation: Notation) -> str:
    row, number = ladder.combined.row([measure.name]), notation.number
    now, then = ladder.combined.comforts[0], ladder.combined.comforts[row]
    if ladder.lacks and (mends := mends_nothing(ladder, measure, notation)):
        return mends
    if ladder.advisable[row]:
        alone = ladder.alone(measure.name)
        if not round(alone):
            return f"{named(measure.name)} would save nothing."
        does = f"would save {notation.money(alone)}" if alone > 0 else f"would cost {notation.money(-alone)} more"
        return f"{named(measure.name)} {does} a year by itself, and saves nothing after the others."
    if then.worded(number) == now.worded(number):
        return f"{named(measure.name)} is not advised by itself: rooms would be a little colder than today."
    today = "" if now.held else f"; today it is {now.worded(number)}"
    return f"{named(measure.name)} is not advised by itself: the home would be {then.worded(number)}{today}."


def _priced(ladder: Ladder) -> bool:
    return any(measure.cost > 0.0 for measure in ladder.combined.measures)


def _buys(ladder: Ladder, budget: float, notation: Notation) -> str:
    """What a budget buys beyond what is free; where nothing earns its price, what it would buy all the same."""
    found, amount = ladder.best(budget), notation.money(budget)
    bought = those_bought(ladder, found.names)
    if ladder.lacks:
        return buys_comfort(ladder, found, bought, amount, notation)
    if bought:
        free = ladder.best(0.0)
        more = notation.money(found.saved - free.saved)
        said = f"{amount} buys {', '.join(map(named, bought))} for {notation.money(found.cost)}: {more} less a year"
        brought = [name for name in found.names if name not in (*bought, *free.names)]
        if not brought:
            return f"{said}."
        kept = ladder.combined.row([name for name in found.names if name not in brought])
        part = notation.money(found.saved - float(ladder.saved[kept]))
        return f"{said}, {part} of it by {', '.join(map(named, brought))}, which is free and is advised only with it."
    nearly = ladder.nearly(budget)
    if nearly is None:
        cheapest = min((m for m in ladder.combined.measures if m.cost > 0.0), key=lambda m: m.cost)
        return f"{amount} is too little: the cheapest, {named(cheapest.name)}, costs {notation.money(cheapest.cost)}."
    measure, adds = nearly
    saves = f"saves {notation.money(adds)} a year" if adds > 0.5 else "saves nothing"
    return (
        f"{amount} buys at best {named(measure.name)} for {notation.money(measure.cost)}, which {saves} and doesn't "
        f"earn its price in its {notation.brief(measure.life_years)} years: keep the money."
    )


def _pictures(ladder: Ladder, budgets: Sequence[float], notation: Notation) -> Iterator[Picture]:
    """What budgets buy; of a home that lacks comfort only those that give it."""
    from simkit import figures
    from simkit.figures.style import Sheet

    within = [
        at for at in sorted(budgets) if ladder.held[ladder.combined.row(ladder.best(at).names)] or not ladder.lacks
    ]
    if not _priced(ladder) or not within:
        return
    frontier, bought = ladder.frontier(), ladder.budgets(within)
    yield Picture(
        "budgets",
        lambda figure: figures.budget_frontier(
            frontier, bought, notation=notation, ax=Sheet(left=0.7, right=0.6).axes([2.8], figure=figure)[0]
        ),
        figures.budget_frontier_sentence(bought, notation=notation),
    )


def _moved(ranges: pd.DataFrame, notation: Notation) -> str:
    """How far half of the samples would have put the likely ranges elsewhere."""
    most = ranges["moved"].idxmax()
    far = notation.money(float(ranges.at[most, "moved"]))
    return (
        f"With half of the simulated futures no end of a likely range would lie more than {far} a year away "
        f"({named(str(most))})."
    )


def _topics(ladder: Ladder) -> set[str]:
    """What the measures propose, by what they change."""
    lines = [line for measure in ladder.combined.measures for line in measure.changes]
    return {topic for line in lines for begin, topic in TOPIC_OF.items() if line.startswith(begin)}


def _data(
    ladder: Ladder, ranges: pd.DataFrame | None, title: str, budgets: Sequence[float], notation: Notation
) -> dict[str, Any]:
    rungs = [
        {
            "measure": rung.measure.name, "cost": rung.measure.cost, "alone": rung.alone, "last": rung.last,
            "adds": rung.adds, "pays_back_years": rung.pays_back, "cost_so_far": rung.cost_so_far,
            "saved_so_far": rung.saved_so_far, "bother": rung.measure.bother, "who": rung.measure.who,
            "heed": rung.measure.safety,
            "range": None if ranges is None else ranges.loc[rung.measure.name, ["low", "high"]].tolist(),
            "range_moved": None if ranges is None else float(ranges.at[rung.measure.name, "moved"]),
        }
        for rung in ladder.rungs
    ]  # fmt: skip
    return {
        "case": title,
        "currency": ladder.currency,
        "change_of_tariff": {"tariff": ladder.switch[0], "saves": ladder.switch[1]},
        "rungs": rungs,
        "budgets": ladder.budgets(sorted(budgets)).reset_index().to_dict("records"),
        "left_out": _left_out(ladder, notation),
        "left_out_alone": {measure.name: ladder.alone(measure.name) for measure in ladder.left_out},
        "combinations": len(ladder.combined.costs),
    }
