"""A ladder of measures in; its rungs, what budgets buy, and who does what, as tables, out."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from simkit.answers.answer import Column, Table
from simkit.decide.measures.combinations import OWN_TARIFF
from simkit.decide.measures.ladder import Ladder
from simkit.decide.measures.rungs import Rung
from simkit.notation import Notation

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
