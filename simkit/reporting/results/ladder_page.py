"""A ladder of measures in; one HTML page out: the answer, the rungs with who does them, and what budgets buy."""

from __future__ import annotations

from typing import Any

import pandas as pd

from simkit.case.build import Case
from simkit.decide.measures.ladder import BUDGETS, Ladder
from simkit.figures.money.tornado import budget_frontier, budget_frontier_sentence
from simkit.figures.style import Sheet
from simkit.reporting.grid import Grid
from simkit.reporting.on_page import drawn_bytes
from simkit.reporting.page import rendered
from simkit.reporting.pictures import Picture
from simkit.reporting.results.measure_ladder import CAUTION, budgets_grid, convergence_sentence


def ladder_page(ladder: Ladder, ranges: pd.DataFrame | None, case: Case) -> str:
    """Write the page of a ladder.

    Parameters
    ----------
    ladder
        The ladder.
    ranges
        Range of what each rung adds, as `simkit.decide.measures.rung_ranges` gives; None leaves it out.
    case
        The home: its name and note head the page.

    Returns
    -------
    str
        The whole HTML document, which fetches nothing.
    """
    budgets = ladder.budgets(BUDGETS)
    sheet = Sheet(left=0.7, right=0.6)
    drawn = drawn_bytes(
        lambda figure: budget_frontier(
            ladder.frontier(), budgets, currency=ladder.currency, ax=sheet.axes([2.8], figure=figure)[0]
        ),
        "svg",
    )
    content: dict[str, Any] = {
        "title": case.name,
        "note": case.note,
        "answer": [ladder.sentence],
        "currency": ladder.currency,
        "rungs": _rungs(ladder, ranges),
        "priced": any(rung.measure.cost > 0.0 for rung in ladder.rungs),
        "budgets": budgets_grid(ladder, budgets),
        "picture_of_budgets": Picture(drawn, budget_frontier_sentence(budgets, currency=ladder.currency)),
        "heed": [f"{m.name}: {m.safety}" for m in (rung.measure for rung in ladder.rungs) if m.safety],
        "left_out": ladder.left_out,
        "convergence": "" if ranges is None or ranges.empty else convergence_sentence(ranges),
        "estimate": CAUTION,
    }
    return rendered("ladder.html", content)


def _rungs(ladder: Ladder, ranges: pd.DataFrame | None) -> Grid:
    """One row a rung, free ones first, then by saving per money after those above."""
    rows = []
    for rung in ladder.rungs:
        cells = [rung.measure.name, f"{rung.measure.cost:,.0f}", f"{rung.alone:,.0f}", f"{rung.adds:,.0f}"]
        if ranges is not None:
            row = ranges.loc[rung.measure.name]
            cells.append(f"{row['low']:,.0f} to {row['high']:,.0f}")
        back = "at once" if rung.measure.cost == 0 else f"{rung.pays_back:.1f} y"
        cells += [f"{rung.last:,.0f}", back, f"{rung.cost_so_far:,.0f}", f"{rung.saved_so_far:,.0f}"]
        rows.append((*cells, rung.measure.bother, rung.measure.who))
    titles = ["Measure", "Cost", "Alone", "Adds", *(["Likely"] if ranges is not None else [])]
    titles += ["After all others", "Pays back", "Spent so far", "Saved so far", "Bother", "Who"]
    return Grid(tuple(titles), tuple(rows), words=(0, len(titles) - 2, len(titles) - 1))
