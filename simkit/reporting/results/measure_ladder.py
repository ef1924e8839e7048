"""A ladder of measures in; what the terminal shows and what `--json` prints of it out."""

from __future__ import annotations

from typing import Any

import pandas as pd
from rich.console import Group, RenderableType
from rich.text import Text

from simkit.decide.measures.combinations import OWN_TARIFF
from simkit.decide.measures.ladder import BUDGETS, Ladder
from simkit.reporting.grid import Grid
from simkit.reporting.terminal import NAME, NOTE, bullets, heading, paragraph

CAUTION = (
    "Each rung is what it adds after those above it, from homes simulated with and without it; the same money is never "
    "saved twice. A saving is that of the first year, in which panels and battery are new: simkit worth lets them age. "
    "Estimates under the stated assumptions, no guarantee."
)


def ladder_view(ladder: Ladder, ranges: pd.DataFrame | None, *, title: str) -> RenderableType:
    """Lay out a ladder: the answer, one row a rung, what budgets buy, what is left out and what to heed."""
    parts: list[RenderableType] = [heading(title, "what next"), paragraph(ladder.sentence, NAME)]
    said = f"Savings in {ladder.currency} a year. Alone: by itself. Adds: after those above it. So far: all of them."
    if ladder.rungs:
        parts.append(Text(said, style=NOTE))
        if ranges is not None:
            parts.append(paragraph(convergence_sentence(ranges), NOTE))
        parts += [_rungs(ladder, ranges), Text()]
    if any(rung.measure.cost > 0.0 for rung in ladder.rungs):
        parts += [heading("What a budget buys"), budgets_grid(ladder, ladder.budgets(BUDGETS)), Text()]
    if ladder.left_out:
        parts += [heading("Left out"), bullets(ladder.left_out), Text()]
    manner = [
        f"{m.name}: {_who(m.who)}, {_bother(m.bother)}. {m.safety or ''}".strip()
        for m in (rung.measure for rung in ladder.rungs)
    ]
    if manner:
        parts += [heading("Who does it, and what to heed"), bullets(manner), Text()]
    return Group(*parts, Text(CAUTION, style=NOTE))


def _rungs(ladder: Ladder, ranges: pd.DataFrame | None) -> Grid:
    rows = []
    for rung in ladder.rungs:
        cells = [rung.measure.name, f"{rung.measure.cost:,.0f}", f"{rung.alone:,.0f}", f"{rung.adds:,.0f}"]
        if ranges is not None:
            row = ranges.loc[rung.measure.name]
            cells.append(f"{row['low']:,.0f} to {row['high']:,.0f}")
        back = "at once" if rung.measure.cost == 0 else f"{rung.pays_back:.1f} y"
        rows.append((*cells, back, f"{rung.saved_so_far:,.0f}"))
    likely = () if ranges is None else ("Likely",)
    return Grid(("Measure", "Cost", "Alone", "Adds", *likely, "Pays back", "So far"), tuple(rows))


def budgets_grid(ladder: Ladder, budgets: pd.DataFrame) -> Grid:
    """What each budget buys."""
    rows = []
    for at, row in budgets.iterrows():
        other = ladder.tariffs and row["tariff"] != OWN_TARIFF
        buys = str(row["buys"]) + (f", at {row['tariff']}" if other else "")
        rows.append((f"{at:,.0f}", f"{row['cost']:,.0f}", f"{row['saved']:,.0f}", buys))
    return Grid(("Budget", "Costs", "Saves a year", "Buys"), tuple(rows), words=(3,))


def convergence_sentence(ranges: pd.DataFrame) -> str:
    """Say how far half of the samples would have put the likely ranges elsewhere."""
    most = ranges["moved"].idxmax()
    return (
        f"With half of the samples no end of a likely range would lie more than {ranges.at[most, 'moved']:,.0f} a year "
        f"away (that of {most})."
    )


def ladder_object(ladder: Ladder, ranges: pd.DataFrame | None, *, case_name: str) -> dict[str, Any]:
    """Make the JSON object of a ladder."""
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
        "case": case_name,
        "currency": ladder.currency,
        "answer": ladder.sentence,
        "change_of_tariff": {"tariff": ladder.switch[0], "saves": ladder.switch[1]},
        "rungs": rungs,
        "budgets": ladder.budgets(BUDGETS).reset_index().to_dict("records"),
        "left_out": list(ladder.left_out),
        "combinations": len(ladder.combined.costs),
    }


def _who(who: str) -> str:
    return "you can do it" if who == "you" else f"for {who}"


def _bother(bother: str) -> str:
    return "no bother" if bother == "none" else bother
