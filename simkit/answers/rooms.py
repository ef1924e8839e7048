"""A home room by room, and sets of bigger emitters, in; which room sets the flow, and what would pay, out."""

from __future__ import annotations

from math import isfinite
from typing import Any

import numpy as np
import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.wording import closing, either_way, home_is, provenance_of
from simkit.assemble.rooms import design_flow_c
from simkit.decide.flow.emitters import LIFE_YEARS, EmitterLadder, Rung, choices_by_room, quantiles
from simkit.notation import Notation, named
from simkit.uncertainty.ranges import Range
from simkit.year.rooms import Rooms

DESIGN_DAY = "Flow needed and temperature are those of the design day, without sun and people."
HELD_K = 0.05  # what rounds to nothing
MILDER_K = 4.0  # below the rooms' warmth, where gains heat them
COLUMNS = {"loss_w_per_k": "room_w_per_k", "design_c": "settles_c", "coldest_c": "coldest_hour_c"}


def rooms_answer(rooms: Rooms, *, ladder: EmitterLadder | None = None, ranged: bool = True) -> Answer:
    """Say which room sets the flow, and what bigger emitters would save.

    Parameters
    ----------
    rooms
        The rooms of a year.
    ladder
        Cheapest sets of emitters, where rooms have candidates.
    ranged
        Whether to sample the likely ranges of savings as well.
    """
    notation, year = rooms.case.notation, rooms.year
    said = [limit_sentence(rooms, notation)]
    wrong = home_is(year)
    said += [f"But {wrong}."] if wrong else []
    tables, sets = [rooms_table(rooms)], None
    if ladder is not None and not ladder.rungs:
        said.append(_no_set(ladder, notation))
    elif ladder is not None:
        sets = _sets(ladder, notation, ranged=ranged)
        said.append(ladder_sentence(ladder, notation, ranged=ranged))
        tables.append(_set_table(sets, notation, ranged=ranged))
    ranges, best = sets is not None and ranged, ladder.best() if ladder is not None else None
    years = {"as it is": year} | ({"with the set worth most": best.year} if best is not None else {})
    return Answer(
        rooms.case.name, "Which room needs the hottest water, and would bigger emitters pay?",
        (*said, closing(rooms.case, ranged=ranges)), notation,
        tables=tuple(tables), pictures=(rooms_picture(rooms),),
        cautions=cautions_for(list(years.values()), {"emitters"}, list(years)),
        notes=(*rooms.notes, *(note for note in year.notes if note not in rooms.notes)), provenance=provenance_of(year),
        data=_data(rooms, ladder, sets, best),
    )  # fmt: skip


def ladder_answer(ladder: EmitterLadder, *, ranged: bool = True) -> Answer:
    """Say what bigger emitters would save, beside the rooms as they are."""
    return rooms_answer(ladder.today.rooms, ladder=ladder, ranged=ranged)


def limit_sentence(rooms: Rooms, notation: Notation) -> str:
    """The room that needs the hottest water, whether it is warm enough, and what the others would do with."""
    row = rooms.table.loc[rooms.limiting]
    flow, sent, wanted, settles, others = (
        f"{notation.number(value, 1)}\u00a0°C"
        for value in (
            row["flow_needed_c"], rooms.design_flow_c, row["needed_c"], row["design_c"], rooms.next_flow_c,
        )
    )  # fmt: skip
    held = row["needed_c"] - row["design_c"] < HELD_K
    comes = "so that the room is warm enough" if held else f"so that it only comes to {settles}"
    return (
        f"{named(rooms.limiting)} sets the limit: for {wanted} on the coldest day it needs water of {flow}; the curve "
        f"sends {sent}, {comes}. Without that room {others} would do."
    )


def ladder_sentence(ladder: EmitterLadder, notation: Notation, *, ranged: bool) -> str:
    """The set of emitters that is worth most, of those as comfortable as needed; or that none is."""
    best = ladder.best()
    if best is None or not best.year.comfort.held:
        if ladder.rungs and not any(rung.year.comfort.held for rung in ladder.rungs):
            nearest = min(ladder.rungs, key=lambda rung: rung.year.comfort.how_far)
            return (
                f"No set of bigger emitters makes the home as comfortable as needed; {_set_words(nearest)} comes "
                f"nearest: {nearest.year.comfort.worded(notation.number)}."
            )
        return f"No set of bigger emitters earns its price back within {notation.brief(LIFE_YEARS)} years."
    today = design_flow_c(ladder.today.case, ladder.today.loss_w_per_k)
    share, rooms = ladder.saving(best) / max(map(ladder.saving, ladder.rungs)), best.year.rooms
    return (
        f"Most worth doing: {_set_words(best)} for {notation.money(best.price)}. The flow comes down from "
        f"{notation.number(today)} to {notation.number(best.flow_c, 1)}\u00a0°C, and a year costs "
        f"{_less(ladder, best, notation, ranged=ranged)}: {notation.share(share)} of the most that any of these sets "
        f"saves. Then {named(rooms.limiting)} is the limit, and on the coldest day the coldest room holds "
        f"{notation.number(rooms.coldest_room_c, 1)}\u00a0°C."
    )


def _no_set(ladder: EmitterLadder, notation: Notation) -> str:
    """Which room holds the flow where it is, whatever is put into the others."""
    case, loss = ladder.today.case, ladder.today.loss_w_per_k
    coolest = [min(room, key=lambda choice: choice.flow_needed_c) for room in choices_by_room(case, loss)]
    holds = max(coolest, key=lambda choice: choice.flow_needed_c)
    least, sent = (notation.number(value, 1) for value in (holds.flow_needed_c, design_flow_c(case, loss)))
    return (
        f"No set of the emitters offered brings the flow down from {sent}\u00a0°C: {named(holds.room)} needs "
        f"{least}\u00a0°C with the largest that it may have."
    )


def _set_words(rung: Rung) -> str:
    return "; ".join(rung.changed) or "the curve alone, turned down,"


def _less(ladder: EmitterLadder, rung: Rung, notation: Notation, *, ranged: bool) -> str:
    """What a year costs less with a set, and when that has earned its price."""
    more = -ladder.saving(rung)
    if not ranged:
        return notation.more_or_less(more)
    found = Range.of(-ladder.saving_samples(rung), more)
    likely = f"likely {notation.span_more_or_less(found)}"
    if either_way(found):
        return f"about the same: it could go either way ({likely})"
    low, _, high = quantiles(ladder.payback_samples(rung))
    paid = f", which pays back in {years_words(low, high, notation)}" if rung.price else ""
    return f"about {notation.more_or_less(more, found)} ({likely}){paid}"


def years_words(low: float, high: float, notation: Notation) -> str:
    """A span of years: ``5 to 12 years``, ``more than 9 years, or never``."""
    if not isfinite(low):
        return "never"
    if not isfinite(high):
        return f"{notation.number(low)} years or more, or never"
    return f"{notation.number(low)} to {notation.number(high)} years"


def rooms_table(rooms: Rooms) -> Table:
    """One row by room, the one that needs the hottest water first."""
    frame = rooms.table.sort_values("flow_needed_c", ascending=False).rename(columns=COLUMNS)
    shown = ("needed_c", "settles_c", "flow_needed_c", "rated_kw", "short_share")
    return Table("rooms", "The rooms", frame, tuple(map(Column, shown)), DESIGN_DAY, first="Room")


def _sets(ladder: EmitterLadder, notation: Notation, *, ranged: bool) -> pd.DataFrame:
    """The ladder as it is shown, the hottest flow first."""
    table = ladder.table(ranges=ranged)
    frame = pd.DataFrame(
        {
            "comfort": [rung.year.comfort.worded(notation.number) for rung in ladder.rungs],
            "design_flow_c": table["design_flow_c"],
            "price_amount": table["price"], "more_cost": -table["saving"], "spf_h4": table["spf_h4"],
        }
    )  # fmt: skip
    if ranged:
        frame["more_cost_low"], frame["more_cost_high"] = -table["saving_high"], -table["saving_low"]
        for name in ("payback_low", "payback", "payback_high"):
            frame[f"{name}_years"] = table[name]
    return frame.set_axis(pd.Index(table["changed"], name="change"))


def _set_table(sets: pd.DataFrame, notation: Notation, *, ranged: bool) -> Table:
    shown = [
        Column("design_flow_c"), Column("price_amount"),
        Column("more_cost", "more_cost_low", "more_cost_high", title="A year", as_difference=True)
        if ranged else Column("more_cost", title="A year", as_difference=True),
    ]  # fmt: skip
    if ranged:
        ends = zip(sets["payback_low_years"], sets["payback_high_years"], sets["price_amount"], strict=True)
        words = [years_words(low, high, notation) if price else "at once" for low, high, price in ends]
        sets = sets.assign(payback_words=words)
        shown.append(Column("payback_words"))
    return Table(
        "sets", "Bigger emitters: the cheapest set for each flow", sets, (Column("comfort"), *shown), first="Change"
    )


def rooms_picture(rooms: Rooms) -> Picture:
    """Draw the flow that each room needs beside the flow that is sent."""
    from simkit import figures

    coldest, notation = rooms.case.site.design_outdoor_c, rooms.case.notation
    outdoor = np.arange(coldest, max(coldest + MILDER_K, rooms.case.comfort.warmest_c - MILDER_K), 0.5)
    flows, sent = rooms.flows(outdoor), rooms.sent_c(outdoor)
    return Picture(
        "rooms", lambda figure: figures.room_flows(flows, rooms.table, sent, notation=notation, figure=figure),
        figures.room_flows_sentence(flows, rooms.table, sent, notation=notation),
    )  # fmt: skip


def _data(rooms: Rooms, ladder: EmitterLadder | None, sets: pd.DataFrame | None, best: Rung | None) -> dict[str, Any]:
    """The object of a home's rooms."""
    rows = [{"room": name, **row} for name, row in rooms.table.to_dict("index").items()]
    made: list[dict[str, Any]] = []
    if ladder is not None and sets is not None:
        table = ladder.table(ranges="payback_years" in sets)
        made = table.drop(columns="changed").to_dict("records")
        for rung, row in zip(ladder.rungs, made, strict=True):
            row["changed"] = list(rung.changed)
    return {
        "case": rooms.case.name, "currency": rooms.case.currency, "design_flow_c": rooms.design_flow_c,
        "limiting": rooms.limiting, "rooms": rows, "sets": made, "best_flow_c": None if best is None else best.flow_c,
    }  # fmt: skip
