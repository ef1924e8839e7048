"""A home at many design flows in; which flow costs least with comfort held, and where comfort ends, out."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.wording import ESTIMATE, SPF_MEANS, machine_too_small, provenance_of
from simkit.decide.flow.sweep import FlowSweep
from simkit.decide.flow.worth import FlowWorth
from simkit.notation import Notation, named
from simkit.year.comfort import FELT_K, rule
from simkit.year.year import Year

DESIGN_FLOW = "Design flow: what the curve sends on the coldest day; on milder days it sends less."
DESIGN_DAY = "Of each room on the design day, without sun and people; short by {} K at most counts as held."
BRIEF_STEP_C = 5.0  # own: from row to row on paper


def flow_answer(sweep: FlowSweep, *, today: Year | None = None, worth: FlowWorth | None = None) -> Answer:
    """Say which design flow a home should run at.

    Parameters
    ----------
    sweep
        The home at many design flows.
    today
        The year as the case stands, for cautions and provenance; simulated when left out.
    worth
        What a kelvin is worth; None where the curve isn't led by a design flow.
    """
    from simkit.year.simulate import simulate

    notation, year = sweep.case.notation, today or simulate(sweep.case)
    said = [sentence for name, rows in _sets(sweep) for sentence in flow_sentences(sweep, rows, name, notation)]
    if small := machine_too_small(year):
        said.append(f"No flow mends that {small}.")
    if worth is not None:
        each, every = notation.share(worth.per_design_k, 1), notation.share(worth.per_actual_k, 1)
        said.append(
            f"One kelvin of design flow is worth {each} of the electricity for heating; one kelvin in every hour, "
            f"{every}."
        )
    return Answer(
        sweep.case.name, "How cool may the heating water be, and what does that save?", (*said, ESTIMATE), notation,
        tables=(_flows(sweep, notation),), pictures=(_picture(sweep),), cautions=cautions_for([year], {"flow"}),
        notes=year.notes, notes_of_case=True, provenance=provenance_of(year), data=_data(sweep, worth),
    )  # fmt: skip


def _sets(sweep: FlowSweep) -> list[tuple[str, pd.DataFrame]]:
    """The rows of each set of emitters, coolest first, its name empty where there is only one."""
    ordered = sweep.table.sort_values("design_flow_c")
    names = list(dict.fromkeys(sweep.table["emitters"]))
    return [(name if len(names) > 1 else "", ordered[ordered["emitters"] == name]) for name in names]


def flow_sentences(sweep: FlowSweep, rows: pd.DataFrame, name: str, notation: Notation) -> list[str]:
    """The flow of least cost with comfort held, against today's; and where comfort ends."""
    head = f"{named(name)}: " if name else ""
    coolest, hottest = (_degrees(rows["design_flow_c"].iloc[place], notation) for place in (0, -1))
    held = rows[rows["held"]]
    if held.empty:
        nearest = min(rows.index, key=lambda place: _distance(sweep, rows, place))
        flow, wrong = _degrees(rows.at[nearest, "design_flow_c"], notation), _wrong(sweep, rows, nearest, notation)
        return [
            f"{head}At no design flow from {coolest} to {hottest} is the home as comfortable as needed; {flow} comes "
            f"nearest: {wrong}."
        ]
    best = held["year_cost"].idxmin()
    flow, cost = rows.at[best, "design_flow_c"], rows.at[best, "year_cost"]
    text = (
        f"{head}At {_degrees(flow, notation)} design flow a year costs least with comfort held: "
        f"about {notation.money(cost)}"
    )
    now = None if sweep.now_c is None else (rows["design_flow_c"] - sweep.now_c).abs().idxmin()
    if now is not None and abs(rows.at[now, "design_flow_c"] - sweep.now_c) <= 0.5 and now != best:
        less, cold = notation.more_or_less(cost - rows.at[now, "year_cost"]), _wrong(sweep, rows, now, notation)
        text += f", {less} than at today's {_degrees(rows.at[now, 'design_flow_c'], notation)}"
        text += f" ({cold})" if cold else ""
    elif now is not None and now == best:
        text += ", and that is today's flow"
    return [f"{text}.", _end(sweep, rows, held, notation)]


def _end(sweep: FlowSweep, rows: pd.DataFrame, held: pd.DataFrame, notation: Notation) -> str:
    """Where comfort ends."""
    low, high = (_degrees(flow, notation) for flow in (held["design_flow_c"].min(), held["design_flow_c"].max()))
    cooler = rows[rows["design_flow_c"] < held["design_flow_c"].min()]
    if cooler.empty:
        return f"Comfort holds at every flow tried from {low} to {high}: a cooler one may do as well."
    first = cooler.index[-1]
    flow = _degrees(rows.at[first, "design_flow_c"], notation)
    return f"Comfort holds from {low} to {high} and ends below: at {flow}, {_wrong(sweep, rows, first, notation)}."


def _degrees(flow_c: float, notation: Notation) -> str:
    return f"{notation.number(flow_c, 0 if float(flow_c).is_integer() else 1)}\u00a0°C"


def _wrong(sweep: FlowSweep, rows: pd.DataFrame, place: Any, notation: Notation) -> str:
    """What speaks against one flow; empty where comfort holds."""
    comfort = sweep.comforts[place]
    said = [] if comfort.held else [comfort.worded(notation.number)]
    if "design_short_k" in rows and rows.at[place, "design_short_k"] > FELT_K:
        short = notation.number(rows.at[place, "design_short_k"], 1)
        said.append(f"on the coldest day a room stays {short} K short of its need")
    return "; ".join(said)


def _distance(sweep: FlowSweep, rows: pd.DataFrame, place: Any) -> tuple[float, ...]:
    """How far a flow is from comfort: its verdict, hours felt cool, and the worst room."""
    comfort = sweep.comforts[place]
    return (
        comfort.level, comfort.water_short, comfort.cool_hours, rows.get("design_short_k", rows["cool_h"])[place],
        rows.at[place, "year_cost"],
    )  # fmt: skip


def _flows(sweep: FlowSweep, notation: Notation) -> Table:
    """One row by set and flow, in the order of the sweep."""
    table = sweep.table
    several = table["emitters"].nunique() > 1
    names = [
        f"{name}, {_degrees(flow, notation)}" if several else _degrees(flow, notation)
        for name, flow in zip(table["emitters"], table["design_flow_c"], strict=True)
    ]
    frame = table.drop(columns=["emitters", "held"]).set_axis(pd.Index(names, name="flow"))
    frame["comfort"] = [comfort.worded(notation.number) for comfort in sweep.comforts]
    frame["held_words"] = ["yes" if held else "no" for held in table["held"]]
    rooms = [Column("design_room_c"), Column("design_short_k")] if "design_short_k" in table else []
    comfort = Column("comfort", title="The home as a whole" if rooms else None)
    shown = [comfort, *(Column(name) for name in ("year_cost", "spf_h4", "space_h4", "cool_h"))]
    day = f"{DESIGN_DAY.format(notation.brief(FELT_K))} " if rooms else ""
    note = f"{DESIGN_FLOW} {SPF_MEANS} {day}{rule(notation.number)}"
    return Table(
        "flows", "Design flows", frame, (Column("held_words"), *shown, *rooms), note, first="Flow",
        brief=() if several else _brief(sweep),
    )  # fmt: skip


def _brief(sweep: FlowSweep) -> tuple[int, ...]:
    """Every fifth degree, today's flow, and where comfort begins and costs least."""
    table = sweep.table
    flows, held = table["design_flow_c"], table[table["held"]]
    wanted = (flows % BRIEF_STEP_C == 0) | (flows == sweep.now_c)
    if len(held):
        wanted |= flows.index.isin([held["design_flow_c"].idxmin(), held["year_cost"].idxmin()])
    return tuple(int(place) for place in np.flatnonzero(wanted))


def _picture(sweep: FlowSweep) -> Picture:
    from simkit import figures

    notation = sweep.case.notation
    return Picture(
        "flow", lambda figure: figures.flow_cost(sweep.table, notation=notation, now_c=sweep.now_c, figure=figure),
        figures.flow_cost_sentence(sweep.table, notation=notation),
    )  # fmt: skip


def _data(sweep: FlowSweep, worth: FlowWorth | None) -> dict[str, Any]:
    """The object of a sweep: one entry by flow."""
    table = sweep.table.drop(columns="emitters")
    kelvin = None
    if worth is not None:
        kelvin = {
            "design_flow_c": worth.sent.design_flow_c, "mean_flow_c": worth.sent.mean_flow_c,
            "per_design_k": worth.per_design_k, "per_actual_k": worth.per_actual_k,
            "saved_per_design_k": worth.saved_per_design_k,
        }  # fmt: skip
    return {
        "case": sweep.case.name, "currency": sweep.case.currency,
        "flows": table.assign(coldest_c=table["min_room_c"]).to_dict("records"), "per_kelvin": kelvin,
    }  # fmt: skip
