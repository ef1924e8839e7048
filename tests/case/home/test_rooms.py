"""Rooms of a case: what is refused, how options find a room by its name, and slopes of the curve."""

from __future__ import annotations

from typing import Any

import pytest
from references import Reference

from case.stated import made, only, sentences, table, with_path
from simkit.case.build import options_of, vary

BATH = {"name": "bath", "loss_kw": 0.9, "rated_kw": 1.5, "rated_at_k": 50.0, "needed_c": 23.0}
REST = {
    "name": "rest",
    "area_m2": 90.0,
    "loss_w_per_m2": 50.0,
    "rated_kw": 9.0,
    "rated_at_k": 50.0,
    "kind": "underfloor",
}


def home(*rooms: dict[str, Any], **changes: Any) -> dict[str, Any]:
    """The example home with rooms, its loss stated so that they add up: 0.9/(23 + 3) and 4.5/(21 + 3) kW/K."""
    stated = table("option", "baseline", room=list(rooms or (BATH, REST)), **changes)
    warmest, cold = made(table()).comfort.warmest_c, made(table()).site.design_outdoor_c
    per_k = 900.0 / (23.0 - cold) + 4500.0 / (warmest - cold)
    return with_path("home.loss", {"w_per_k": round(per_k, 3)}, stated)


def test_a_room_keeps_what_was_said_and_fills_in_its_kind() -> None:
    case = made(home())
    assert [(room.name, room.kind, room.bend) for room in case.room or ()] == [
        ("bath", "radiators", 1.3),
        ("rest", "underfloor", 1.1),
    ]
    assert [room.design_loss_kw for room in case.room or ()] == pytest.approx([0.9, 4.5])
    assert made(table()).room is None


def test_an_option_changes_a_room_by_its_name() -> None:
    stated = home() | {"option": [{"name": "bigger", "room": [{"name": "bath", "rated_kw": 2.4}]}]}
    (option,) = options_of(made(stated))
    assert [(room.name, room.rated_kw, room.needed_c) for room in option.room or ()] == [
        ("bath", 2.4, 23.0),
        ("rest", 9.0, None),
    ]
    without = home() | {"option": [{"name": "as one", "without": ["room"]}]}
    assert options_of(made(without))[0].room is None


def test_vary_finds_a_room_by_name_or_number_and_can_drop_its_keys() -> None:
    case = made(home())
    for path in ("room.bath.rated_kw", "room.0.rated_kw"):
        assert (vary(case, {path: 2.0}).room or ())[0].rated_kw == 2.0
    assert (vary(case, {"room.rest.kind": None}).room or ())[1].kind == "radiators"
    assert (vary(case, {"room.bath.exponent": 1.25}).room or ())[0].bend == 1.25


def test_rooms_that_are_not_the_house_name_both_figures() -> None:
    less = with_path("home.loss", {"w_per_k": 400.0}, home())
    found = only(less)
    assert "the losses of 2 rooms, " in found
    assert "are less than the 400 W/K that [home.loss] states" in found
    more = with_path("home.loss", {"design_kw": 2.0, "design_indoor_c": 21.0, "design_outdoor_c": -3.0}, home())
    assert "are more than the 83 W/K that [home.loss] states" in only(more)


@pytest.mark.parametrize(
    ("rooms", "words"),
    [
        ([BATH, BATH], 'name = "bath" stands more than once'),
        ([{**BATH, "rated_kw": ..., "rated_at_k": ...}], "rated_kw and emitter are both missing"),
        ([{**BATH, "loss_kw": ...}], "room no. 1: loss_kw and area_m2 are both missing"),
        ([{**BATH, "area_m2": 9.0, "loss_w_per_m2": 100.0}], "are given together, and exactly one is allowed"),
        ([{**BATH, "rated_kw": 1500, "rated_at_k": 50.0}], "It is in kW, not W: write 1.5"),
        ([{**BATH, "ratd_kw": 2}], "ratd_kw"),
        (
            [{**BATH, "candidate": [{"name": "a", "rated_kw": 2.0, "rated_at_k": 50.0, "price": 1.0}] * 2}],
            'candidate "a" stands more',
        ),
    ],
)
def test_faults_of_rooms(rooms: list[dict[str, Any]], words: str) -> None:
    given = [{key: value for key, value in room.items() if value is not ...} for room in rooms]
    found = sentences(home(*given))
    assert any(words in sentence for sentence in found), found


def test_an_output_at_another_excess_is_brought_to_50_k() -> None:
    """EN 442 at 55/45/20 °C, 30 K: 0.515 of the output at 50 K (published factor), so that 0.77 kW there are 1.495 kW."""
    cool = {**BATH, "rated_kw": 0.77, "rated_at_k": 30.0, "candidate": [
        {"name": "a", "rated_kw": 1.03, "rated_at_k": 30.0, "price": 1.0}]}  # fmt: skip
    (bath, _) = made(home(cool, REST)).room or ()
    factor = Reference(0.77 / 0.515, "EN 442 characteristic, published factor 0.515", 2e-3, "factor to three decimals")
    factor.check(bath.at_50_kw)
    assert (bath.candidate or ())[0].at_50_kw(bath.bend) == pytest.approx(bath.at_50_kw * 1.03 / 0.77)
    none = [{key: value for key, value in BATH.items() if key not in ("rated_kw", "rated_at_k")}, REST]
    assert "rated_kw and emitter are both missing" in only(home(*none))


def test_an_output_without_its_condition_is_refused() -> None:
    bare = {key: value for key, value in BATH.items() if key != "rated_at_k"}
    assert only(home(bare, REST)) == (
        "case.toml: room no. 1: rated_kw = 1.5 has no rating condition, and a radiator gives twice as much at 50 K "
        "above the room as at 30 K. Add rated_at_k = 50 for an output by EN 442 (75/65/20 °C), or the excess that its "
        "sheet names: 30 for 55/45/20 °C."
    )
    candidate = {**BATH, "candidate": [{"name": "a", "rated_kw": 2.0, "price": 1.0}]}
    assert "rated_kw = 2 has no rating condition" in only(home(candidate, REST))
    several = {**bare, "emitter": [{"kind": "underfloor", "rated_kw": 0.8}]}
    del several["rated_kw"]
    assert "rated_kw = 0.8 has no rating condition" in only(home(several, REST))
    assert "are given together" in only(
        home({**BATH, "emitter": [{"kind": "radiators", "rated_kw": 1, "rated_at_k": 50}]}, REST)
    )


def test_several_emitters_of_a_room_are_one_within_a_hundredth() -> None:
    """A radiator of 0.7 kW (1.3) and underfloor of 1.1 kW (1.1), both at 50 K, against their sum from 10 to 60 K."""
    both = [
        {"kind": "radiators", "rated_kw": 0.7, "rated_at_k": 50.0},
        {"kind": "underfloor", "rated_kw": 1.1 * 0.6**1.1, "rated_at_k": 30.0},
    ]
    mixed = {"name": "bath", "loss_kw": 0.9, "needed_c": 23.0, "emitter": both}
    (bath, _) = made(home(mixed, REST)).room or ()
    assert bath.at_50_kw == pytest.approx(1.8)
    for excess in (10.0, 15.0, 20.0, 30.0, 40.0, 50.0, 60.0):
        each = 0.7 * (excess / 50.0) ** 1.3 + 1.1 * (excess / 50.0) ** 1.1
        one = Reference(each, "own: EN 442 characteristic of each, added up", 0.01 * each, "what bend promises")
        one.check(bath.at_50_kw * (excess / 50.0) ** bath.bend)


def test_a_design_flow_from_rooms_needs_rooms() -> None:
    stated = with_path("controls.design_flow_from_rooms", True, table("option", "baseline"))
    assert only(stated).startswith(
        "case.toml: [controls] design_flow_from_rooms = true needs rooms, and the case has none."
    )


def test_slope_and_shift_give_the_design_flow() -> None:
    stated = table("option", "baseline")
    stated["controls"].pop("design_flow_c", None)
    case = made(with_path("controls.slope", 0.9, with_path("controls.shift_k", 4.0, stated)))
    room, cold = case.comfort.warmest_c, case.site.design_outdoor_c
    assert case.controls.design_flow_c == pytest.approx(room + 4.0 + 0.9 * (room - cold))
    assert case.controls.curve_zero_c(room) == pytest.approx(room + 4.0 / 0.9)
    assert any("what slope and shift give" in note for note in case.notes)


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"slope": 0.9, "design_flow_c": 55.0}, "and design_flow_c = 55 says otherwise"),
        ({"shift_k": 2.0}, "shift_k = 2 shifts a curve whose slope is missing"),
        ({"slope": 0.9, "flow": "fixed", "design_flow_c": ...}, 'slope = 0.9 says nothing with flow = "fixed"'),
        ({"slope": 0.9, "design_flow_from_rooms": True, "design_flow_c": ...}, "contradicts design_flow_from_rooms"),
    ],
)
def test_faults_of_slopes(keys: dict[str, Any], words: str) -> None:
    stated = home()
    for key, value in keys.items():
        if value is ...:
            stated["controls"].pop(key, None)
        else:
            stated = with_path(f"controls.{key}", value, stated)
    found = sentences(stated)
    assert any(words in sentence for sentence in found), found
