"""What is said of rooms: the one that sets the flow, the set of emitters worth most, and every cell."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from answers.cells import assert_cells_are_the_data
from simkit.answers.rooms import ladder_sentence, limit_sentence
from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.decide.flow.emitters import EmitterLadder, emitter_ladder
from simkit.notation import Notation
from simkit.year.comfort import YearComfort
from simkit.year.simulate import simulate

SAMPLE = Path(__file__).parents[2] / "sample_data" / "estuary_bungalow" / "rooms.toml"
IRISH = Notation("en_IE", "EUR")


@cache
def home() -> Case:
    changes = {"home.loss.w_per_k": 250.0, "option": None, "baseline": None, "uncertainty.lanes": 16}
    return vary(read_case(SAMPLE), changes)


@cache
def ladder() -> EmitterLadder:
    return emitter_ladder(home(), lowest_c=45.0)


def test_the_room_that_sets_the_limit_comes_first_with_what_it_needs_and_gets() -> None:
    rooms = simulate(home()).rooms
    row = rooms.table.loc[rooms.limiting]
    said = limit_sentence(rooms, IRISH).replace("\u00a0", " ")
    assert said.startswith(
        f"“{rooms.limiting}” sets the limit: for {row['needed_c']:.1f} °C on the coldest day it needs"
    )
    assert f"needs water of {row['flow_needed_c']:.1f} °C; the curve sends {rooms.design_flow_c:.1f} °C" in said
    cold = simulate(vary(home(), {"controls.design_flow_c": 45.0})).rooms
    settles = cold.table.at[cold.limiting, "design_c"]
    assert f"so that it only comes to {settles:.1f} °C" in limit_sentence(cold, IRISH).replace("\u00a0", " ")


def test_where_no_set_reaches_a_cooler_flow_the_room_that_holds_it_is_named() -> None:
    rooms = [dict(room) for room in home().stated["room"]]
    none = emitter_ladder(vary(home(), {"room": [rooms[0], *({**one, "candidate": None} for one in rooms[1:])]}))
    assert none.rungs == ()
    said = none.answer()
    assert "No set of the emitters offered brings the flow down from 55.0 °C: “study” needs 55.6" in " ".join(
        said.sentences
    ).replace("\u00a0", " ")
    assert [table.name for table in said.tables] == ["rooms"]


def test_every_cell_is_the_data() -> None:
    answer = ladder().answer()
    told = assert_cells_are_the_data(answer)
    hottest = sorted(told["rooms"], key=lambda row: -row["flow_needed_c"])
    for row, shown in zip(hottest, told["tables"]["rooms"], strict=True):
        assert (row["room"], row["design_c"], row["rated_kw"]) == (shown["room"], shown["settles_c"], shown["rated_kw"])
    for row, shown in zip(told["sets"], told["tables"]["sets"], strict=True):
        assert (row["price"], row["saving"]) == (shown["price_amount"], -shown["more_cost"])


def test_the_set_worth_most_is_named_with_price_saving_payback_and_the_next_limit() -> None:
    best = ladder().best()
    assert best is not None
    said = ladder_sentence(ladder(), IRISH, ranged=True).replace("\u00a0", " ")
    for part in (
        f"Most worth doing: {'; '.join(best.changed)} for €{best.price:,.0f}. The flow comes down from ",
        "less (likely €", "which pays back in ", f"Then “{best.year.rooms.limiting}” is the limit",
    ):  # fmt: skip
        assert part in said


@pytest.mark.short
def test_no_set_that_leaves_the_home_cold_is_called_worth_most() -> None:
    cold = YearComfort(17.0, 9.0, 30.0, 0.0, 300.0, 5.0, 2.5, 30.0)
    rung: Any = SimpleNamespace(
        flow_c=45.0, changed=("bath: panel",), price=100.0,
        year=SimpleNamespace(comfort=cold, bill=SimpleNamespace(total=900.0)),
    )  # fmt: skip
    today: Any = SimpleNamespace(
        comfort=cold, bill=SimpleNamespace(total=1000.0), samples=SimpleNamespace(total=np.array([1000.0]))
    )
    said = ladder_sentence(EmitterLadder(today, (rung,)), IRISH, ranged=False)
    assert said == (
        "No set of bigger emitters makes the home as comfortable as needed; bath: panel comes nearest: too cold: 30 h "
        "under 18 °C, up to 2.5 K below."
    )
    assert ladder_sentence(EmitterLadder(today, ()), IRISH, ranged=False) == (
        "No set of bigger emitters earns its price back within 15 years."
    )
