"""What is said of many design flows: the coolest that holds, where comfort ends, today's, and every cell."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pandas as pd
import pytest

from answers.cells import assert_cells_are_the_data
from simkit.answers.flow import flow_answer, flow_sentences
from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.decide.flow.sweep import FlowSweep, sweep_flow, usual_flows_c
from simkit.figures.decide.flow import HELD_H
from simkit.notation import Notation
from simkit.year.comfort import WARM_HOURS, YearComfort

SAMPLE = Path(__file__).parents[2] / "sample_data" / "estuary_bungalow" / "rooms.toml"
IRISH = Notation("en_IE", "EUR")
WARM, COLD = YearComfort(19.5, 0.0, 0.0, 0.0), YearComfort(17.0, 9.0, 30.0, 0.0, 300.0, 5.0, 2.5, 30.0)


@cache
def home() -> Case:
    return vary(read_case(SAMPLE), {"home.loss.w_per_k": 250.0, "option": None, "baseline": None})


def invented(held: list[bool], now_c: float | None = 50.0, short_k: list[float] | None = None) -> FlowSweep:
    """Flows of 40, 45, 50 °C, a kelvin worth 20 a year."""
    table = pd.DataFrame(
        {"emitters": "Home", "design_flow_c": [40.0, 45.0, 50.0], "year_cost": [1000.0, 1100.0, 1200.0],
         "cool_h": [300.0 * (not one) for one in held], "held": held}
    )  # fmt: skip
    comforts = [WARM if one else COLD for one in held]
    if short_k is not None:
        table["design_short_k"], comforts = short_k, [WARM] * 3
    return FlowSweep(home(), table, tuple(comforts), now_c)


def said_of(sweep: FlowSweep) -> list[str]:
    return [text.replace("\u00a0", " ") for text in flow_sentences(sweep, sweep.table, "", IRISH)]


def test_the_least_cost_is_taken_of_flows_at_which_comfort_holds_and_its_end_is_said() -> None:
    assert said_of(invented([False, True, True])) == [
        "At 45 °C design flow a year costs least with comfort held: about €1,100, €100 less than at today's 50 °C.",
        "Comfort holds from 45 °C to 50 °C and ends below: at 40 °C, too cold: 30 h under 18 °C, up to 2.5 K below.",
    ]


def test_a_single_cold_room_ends_comfort_too() -> None:
    assert said_of(invented([False, False, True], short_k=[2.0, 0.8, 0.2])) == [
        "At 50 °C design flow a year costs least with comfort held: about €1,200, and that is today's flow.",
        "Comfort holds from 50 °C to 50 °C and ends below: at 45 °C, on the coldest day a room stays 0.8 K short of its "
        "need.",
    ]


def test_where_no_flow_holds_it_is_said_and_the_nearest_named() -> None:
    first = said_of(invented([False, False, False]))
    assert first == [
        "At no design flow from 40 °C to 50 °C is the home as comfortable as needed; 40 °C comes nearest: too cold: 30 h "
        "under 18 °C, up to 2.5 K below."
    ]


def test_where_every_flow_holds_a_cooler_one_may_do() -> None:
    assert said_of(invented([True, True, True]))[1] == (
        "Comfort holds at every flow tried from 40 °C to 50 °C: a cooler one may do as well."
    )


def test_a_home_at_30_degrees_flow_with_cold_rooms_is_not_praised() -> None:
    """30 °C was praised once with thousands of K·h missing."""
    sweep = sweep_flow(home(), [30.0, 45.0, 60.0])
    assert not sweep.table["held"].iloc[0]
    first = flow_answer(sweep).sentences[0]
    assert not first.startswith("At 30\u00a0°C design flow a year costs least")


@pytest.mark.parametrize("rooms", [True, False])
def test_every_cell_is_the_data_and_the_comfort_line_is_drawn(rooms: bool) -> None:
    from matplotlib.figure import Figure

    case = home() if rooms else vary(home(), {"room": None})
    answer = sweep_flow(case, [40.0, 48.0, 56.0]).answer()
    told = assert_cells_are_the_data(answer)
    for row, shown in zip(told["flows"], told["tables"]["flows"], strict=True):
        assert (row["year_cost"], row["spf_h4"], row["coldest_c"]) == (
            shown["year_cost"], shown["spf_h4"], shown["min_room_c"],
        )  # fmt: skip
    figure = Figure()
    answer.pictures[0].draw(figure)
    assert any(text.get_gid() == "held" for ax in figure.axes for text in ax.texts)


def test_without_flows_a_usual_range_is_taken() -> None:
    flows = usual_flows_c(home())
    assert flows == [float(flow) for flow in range(30, 61)]
    hot = vary(home(), {"controls.ceiling_c": 52.0, "controls.design_flow_c": 50.0})
    assert usual_flows_c(hot)[-1] <= 52.0
    assert list(sweep_flow(hot).table["design_flow_c"]) == usual_flows_c(hot)


def test_the_line_of_the_picture_is_the_rule_of_comfort() -> None:
    assert HELD_H == WARM_HOURS
