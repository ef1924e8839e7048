"""Rooms and a ladder of emitters in; what the terminal and `--json` show of them out."""

from __future__ import annotations

from math import isfinite
from typing import Any

import pandas as pd
from rich.console import Group, RenderableType
from rich.text import Text

from simkit.decide.flow.emitters import EmitterLadder
from simkit.reporting.grid import Grid
from simkit.reporting.money import money, span
from simkit.reporting.terminal import NAME, NOTE, bullets, heading, paragraph
from simkit.reporting.words import ESTIMATE
from simkit.year.rooms import Rooms

NEVER = "no end"


def rooms_view(
    rooms: Rooms, ladder: EmitterLadder | None, table: pd.DataFrame | None, *, ranged: bool = True
) -> RenderableType:
    """Lay out rooms: the limit first, one row by room, then the ladder and its best rung."""
    parts: list[RenderableType] = [heading(rooms.case.name, "room by room"), paragraph(rooms.words, NAME)]
    rows = tuple(
        (
            str(name), f"{row['needed_c']:.1f} °C", f"{row['rated_kw']:.2f} kW", f"{row['flow_needed_c']:.1f} °C",
            f"{row['design_c']:.1f} °C", f"{row['short_share']:.0%}",
        )
        for name, row in rooms.table.sort_values("flow_needed_c", ascending=False).iterrows()
    )  # fmt: skip
    parts += [Grid(("Room", "needs", "has now", "flow needed", "design day", "short of heated time"), rows), Text()]
    if ladder is not None and table is not None:
        parts += _ladder(ladder, table, ranged=ranged)
    said = "Flow needed and temperature are those of the design day, without sun and people. "
    return Group(*parts, bullets(rooms.notes, NOTE), Text(), Text(f"{said}{ESTIMATE}", style=NOTE))


def _ladder(ladder: EmitterLadder, table: pd.DataFrame, *, ranged: bool) -> list[RenderableType]:
    currency = ladder.today.case.currency
    titles = ("Change, cheapest set for its flow", "flow", "price", "saves a year", *(("pays back",) if ranged else ()))
    lines: list[tuple[str, ...]] = []
    for rung, row in zip(ladder.rungs, table.to_dict("records"), strict=True):
        saves = span(row["saving_low"], row["saving_high"], currency) if ranged else money(row["saving"], currency)
        what = "; ".join(rung.changed) or "the curve alone"
        cells = [what, f"{row['design_flow_c']:.1f} °C", money(row["price"], currency), saves]
        if ranged:
            high = f"{row['payback_high']:.0f}" if isfinite(row["payback_high"]) else NEVER
            cells.append(f"{row['payback_low']:.0f} to {high} years" if row["price"] else "at once")
        lines.append(tuple(cells))
    best = ladder.best()
    if best is None:
        verdict = "No set of these emitters is worth its price over fifteen years."
    elif ranged:
        verdict = ladder.words(best)
    else:
        verdict = f"{'; '.join(best.changed) or 'The curve alone'}: best over fifteen years."
    return [heading("Bigger emitters", currency), Grid(titles, tuple(lines)), Text(), paragraph(verdict, NAME)]


def rooms_object(
    rooms: Rooms, ladder: EmitterLadder | None, table: pd.DataFrame | None, *, ranged: bool = True
) -> dict[str, Any]:
    """Make the object of a home's rooms: stable keys."""
    rows = [{"room": name, **row} for name, row in rooms.table.to_dict("index").items()]
    sets = [] if table is None else table.drop(columns="changed").to_dict("records")
    if ladder is not None:
        for rung, row in zip(ladder.rungs, sets, strict=True):
            row["changed"] = list(rung.changed)
    best = ladder.best() if ladder is not None else None
    return {
        "case": rooms.case.name, "currency": rooms.case.currency, "design_flow_c": rooms.design_flow_c,
        "limiting": rooms.limiting, "rooms": rows, "sets": sets,
        "best_flow_c": None if best is None else best.flow_c,
        "answer": [rooms.words, *([ladder.words(best)] if ladder is not None and best is not None and ranged else [])],
        "notes": list(rooms.notes),
    }  # fmt: skip
