"""A panel of rooms: one radiator moves its room, the flow and the money; wrong values are answered; the view follows."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.panels import FlowTrial
from simkit.panels.view import PanelView

SAMPLE = Path(__file__).parents[3] / "sample_data" / "estuary_bungalow" / "rooms.toml"


@cache
def home() -> Case:
    changes = {"home.loss.w_per_k": 250.0, "uncertainty.lanes": 16, "option": None, "baseline": None}
    return vary(read_case(SAMPLE), changes)


def test_it_begins_with_the_case() -> None:
    trial = FlowTrial(home())
    assert trial.year is trial.before
    assert (trial.values["flow_c"], trial.values["study"], trial.price) == (55.0, "", 0.0)
    assert trial.answer().sentence.startswith("As your home stands, a year costs about ")
    assert "“study” sets the limit: " in trial.answer().sentence


def test_one_radiator_moves_its_room_and_with_the_rooms_lead_the_flow_and_the_bill() -> None:
    trial = FlowTrial(home())
    trial.set("study", "taller panel")
    room = trial.table().loc["study"]
    assert room["settles_c"] >= room["needed_c"] - 0.05
    assert trial.price == 260.0
    trial.set("curve", "rooms")
    assert trial.rooms.limiting == "living room"
    assert trial.case.controls.design_flow_c == pytest.approx(trial.rooms.table["flow_needed_c"].max(), abs=0.1)
    assert trial.saving > 20.0
    assert "The emitters cost €260, fitted." in trial.answer().sentence
    assert "“living room” sets the limit: " in trial.answer().sentence
    assert "The emitters cost €260, fitted; earned back in " in trial.answer(ranged=True).sentence


def test_a_flow_set_by_hand_takes_the_lead_from_the_rooms() -> None:
    trial = FlowTrial(home())
    trial.set("curve", "the room that needs most")
    trial.set("flow_c", 48)
    assert trial.values["curve"] == "hand"
    assert trial.case.controls.design_flow_c == 48.0
    assert "so that it only comes to " in trial.answer().sentence


def test_wrong_values_are_answered_and_change_nothing() -> None:
    trial = FlowTrial(home())
    trial.set("flow_c", 90)
    assert trial.problems["flow_c"].startswith("90 °C is outside 25 to 62 °C (no hotter water can be sent)")
    trial.set("study", "taller")
    assert "is not among the choices" in trial.problems["study"]
    assert trial.year is trial.before
    trial.set("flow_c", 50)
    assert trial.problems.keys() == {"study"}


def test_a_room_that_can_not_be_led_to_keeps_the_curve_by_hand() -> None:
    small = vary(home(), {"room.study.rated_kw": 0.6, "room.study.candidate": None})
    trial = FlowTrial(small)
    trial.set("curve", "rooms")
    assert "above the 62 °C that can be sent" in trial.problems["curve"]
    assert trial.values["curve"] == "hand"


def test_reset_state_and_listeners() -> None:
    trial, told = FlowTrial(home()), []
    trial.on_change(lambda: told.append(trial.price))
    trial.set_all({"study": "double panel under the window", "flow_c": 50.0})
    state = trial.state()
    assert trial.differs("study")
    trial.reset()
    assert not trial.differs("study")
    trial.restore({**state, "nothing": 1})
    assert trial.state() == state
    assert told == [530.0, 0.0, 530.0]


def test_a_home_without_rooms_has_its_curve_and_its_picture() -> None:
    trial = FlowTrial(vary(home(), {"room": None}))
    assert list(trial.fields) == ["flow_c", "limit_c"]
    before = trial.year
    trial.set_all({"flow_c": 45, "limit_c": 14})
    assert (trial.case.controls.design_flow_c, trial.case.controls.heating_limit_c) == (45.0, 14.0)
    assert trial.year.bill.total < before.bill.total
    assert [picture.name for picture in trial.answer(ranged=True).pictures] == ["effect", "machine"]


def test_the_view_follows_the_model() -> None:
    trial = FlowTrial(home())
    view = PanelView(trial)
    assert "25 to 62 °C" in view.state["rows"]["flow_c"]["hint"]
    assert view.state["rows"]["curve"]["hint"] == "", "a list shows its choices itself"
    view.ask({"set": {"study": "taller panel"}})
    assert trial.price == 260.0
    assert "The emitters cost €260, fitted; " in view.state["words"]
    view.ask({"set": {"curve": "rooms"}})
    assert view.state["rows"]["flow_c"]["value"] == trial.values["flow_c"] < 54.0
    view.ask({"set": {"flow_c": "90"}})
    assert "is outside 25 to 62" in view.state["rows"]["flow_c"]["problem"]
    view.ask({"set": {"flow_c": "50"}})
    assert trial.case.controls.design_flow_c == 50.0
    assert "so that it only comes to " in view.state["words"]
    assert "(likely €" in view.state["words"]
