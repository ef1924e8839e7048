"""A sweep of design flows in; what the terminal and `--json` show of it out."""

from __future__ import annotations

from typing import Any

import pandas as pd
from rich.console import Group, RenderableType
from rich.text import Text

from simkit.case.build import Case
from simkit.decide.flow.worth import FlowWorth
from simkit.figures.decide.flow import flow_cost_sentence
from simkit.reporting.grid import Grid
from simkit.reporting.money import money
from simkit.reporting.terminal import NAME, NOTE, heading, paragraph
from simkit.reporting.words import ESTIMATE

MOST_ROWS = 31


def sweep_view(table: pd.DataFrame, case: Case, worth: FlowWorth | None) -> RenderableType:
    """Lay out a sweep: the answer, one row by flow, and what a kelvin is worth."""
    rooms = "design_short_k" in table.columns
    titles = ["Design flow", "A year", "SPF H4", "rooms H4", "K·h short"]
    titles += ["coldest room", "short of need"] if rooms else []
    lines: list[tuple[str, ...]] = []
    every = max(1, -(-len(table) // MOST_ROWS))
    for row in table.iloc[::every].to_dict("records"):
        cells = [
            f"{row['design_flow_c']:.1f} °C", money(row["year_cost"], case.currency), f"{row['spf_h4']:.2f}",
            f"{row['space_h4']:.2f}", f"{row['below_kh']:,.0f}",
        ]  # fmt: skip
        cells += [f"{row['design_room_c']:.1f} °C", f"{row['design_short_k']:.1f} K"] if rooms else []
        lines.append(tuple(cells))
    parts = [
        heading(case.name, "design flow temperatures"),
        paragraph(_answer(table, case), NAME),
        Grid(tuple(titles), tuple(lines), words=()),
        Text(),
    ]
    if worth is not None:
        parts.append(paragraph(worth.words))
    said = (
        "SPF H4: heat per electricity over the year, heaters, pumps and standby included; rooms H4 without hot water. "
    )
    day = "Coldest room and short of need: on the design day, without sun and people. " if rooms else ""
    return Group(*parts, Text(f"{said}{day}{ESTIMATE}", style=NOTE))


def sweep_object(table: pd.DataFrame, case: Case, worth: FlowWorth | None) -> dict[str, Any]:
    """Make the object of a sweep: stable keys, one entry by flow."""
    rows = table.drop(columns="emitters").to_dict("records")
    kelvin = None
    if worth is not None:
        kelvin = {
            "design_flow_c": worth.sent.design_flow_c, "mean_flow_c": worth.sent.mean_flow_c,
            "per_design_k": worth.per_design_k, "per_actual_k": worth.per_actual_k,
            "saved_per_design_k": worth.saved_per_design_k,
        }  # fmt: skip
    return {
        "case": case.name,
        "currency": case.currency,
        "flows": rows,
        "per_kelvin": kelvin,
        "answer": _answer(table, case),
    }


def _answer(table: pd.DataFrame, case: Case) -> str:
    return flow_cost_sentence(table, currency=case.currency)
