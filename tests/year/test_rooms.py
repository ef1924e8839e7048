"""Rooms and the house they make up: agreement where alike, one radiator changed, rooms that fall short."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from references import Reference

from simkit.assemble.rooms import room_set
from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.errors import CaseError
from simkit.physics.emitters import emitter_kw
from simkit.year.rooms import rooms_of
from simkit.year.simulate import simulate
from simkit.year.year import Year

SAMPLE = Path(__file__).parents[2] / "sample_data" / "estuary_bungalow" / "rooms.toml"


@cache
def home() -> Case:
    """The sample with its loss stated, so that no year of fuel is simulated."""
    return vary(read_case(SAMPLE), {"home.loss.w_per_k": 250.0, "option": None, "baseline": None})


@cache
def year(*changes: tuple[str, object]) -> Year:
    return simulate(vary(home(), dict(changes)))


def alike() -> Case:
    """Five rooms with equal loss, warmth and emitter that add up to 250 W/K."""
    case = home()
    span = case.comfort.warmest_c - case.site.design_outdoor_c
    rooms = [
        {"name": f"room {k}", "loss_kw": round(0.05 * span, 6), "rated_kw": 2.0, "rated_at_k": 50.0} for k in range(5)
    ]
    return vary(case, {"room": rooms})


def test_house_and_rooms_agree_where_rooms_are_alike() -> None:
    """Five equal rooms of 2 kW are one house of 10 kW: flow needed, temperatures and bill."""
    rooms = alike()
    as_one = vary(rooms, {"room": None, "emitters.sized_for_flow_c": None, "emitters.rated_kw": 10.0})
    one, many = simulate(as_one), simulate(rooms)
    Reference(one.bill.total, "own: the same house in one piece", 0.005, "nothing may differ").check(many.bill.total)
    found = rooms_of(many)
    load = 0.25 * (rooms.comfort.warmest_c - rooms.site.design_outdoor_c)
    by_hand = rooms.comfort.warmest_c + 50.0 * (load / 10.0) ** (1 / 1.3) + 2.5
    np.testing.assert_allclose(found.table["flow_needed_c"], by_hand, atol=1e-9)
    assert found.table["design_c"].nunique() == 1
    for flow in ("least", "compensated"):
        pair = [simulate(vary(c, {"controls.flow": flow})).bill.total for c in (as_one, rooms)]
        assert pair[0] == pytest.approx(pair[1], abs=0.005), flow


def test_a_design_flow_from_rooms_is_that_of_the_limiting_room() -> None:
    found = rooms_of(year(("controls.design_flow_from_rooms", True)))
    assert found.limiting == "study"
    assert found.design_flow_c == pytest.approx(found.table["flow_needed_c"].max())
    assert found.table["design_c"].tolist() == pytest.approx(found.table["needed_c"].tolist(), abs=1e-4)


def test_one_radiator_changes_its_room_the_flow_and_the_bill_in_one_run() -> None:
    fixed = year()
    bigger = year(("room.study.rated_kw", 1.4))
    before, after = rooms_of(fixed).table, rooms_of(bigger).table
    assert after.loc["study", "flow_needed_c"] < before.loc["study", "flow_needed_c"] - 5.0
    others = before.index != "study"
    np.testing.assert_allclose(after.loc[others, "flow_needed_c"], before.loc[others, "flow_needed_c"], atol=1e-9)
    follows, follows_too = (
        year(("controls.design_flow_from_rooms", True), *more) for more in ((), (("room.study.rated_kw", 1.4),))
    )
    assert rooms_of(follows_too).design_flow_c < rooms_of(follows).design_flow_c - 1.0
    assert follows_too.bill.total < follows.bill.total - 10.0
    assert follows_too.spf.h4 > follows.spf.h4


def test_the_bill_leaves_out_what_a_room_cannot_take() -> None:
    """A bath with too small an emitter takes less heat; the cooler the water, the more of it the house lacks."""
    mend, lacking = ("room.study.rated_kw", 2.1), []
    for flow in (60.0, 54.0, 48.0):
        cool = ("controls.design_flow_c", flow)
        short, mended = year(cool), year(cool, mend)
        assert mended.bill.total > short.bill.total
        lacking.append(1.0 - short.totals["space_heat"] / mended.totals["space_heat"])
    assert 0.0 < lacking[0] < 0.003, "water hot enough: short at most while the house warms up in the morning"
    assert lacking[0] < lacking[1] < lacking[2]
    # of a bath with 9 % of the losses, φ = 0.43 of what its emitter misses at 48 °C on the design day
    assert 0.002 < lacking[2] < 0.43 * 0.09


def test_the_least_flow_serves_the_limiting_room() -> None:
    least = year(("controls.flow", "least"))
    mended = year(("controls.flow", "least"), ("room.study.rated_kw", 1.4), ("room.living room.rated_kw", 4.2))
    assert mended.bill.total < least.bill.total - 5.0


def test_a_flow_too_cool_leaves_some_rooms_cold_and_throttles_others() -> None:
    found = rooms_of(year(("controls.design_flow_c", 46.0)))
    table = found.table
    assert table.loc["study", "design_c"] < table.loc["study", "needed_c"] - 1.0
    assert table.loc["bath", "design_c"] == pytest.approx(table.loc["bath", "needed_c"])
    assert table.loc["bath", "throttled_share"] > 0.1
    assert table.loc["study", "short_share"] > 0.5 > table.loc["bath", "short_share"]
    # the cold rooms' own balance closes: emitter = loss + exchange with the middle of the home
    rooms = room_set(home(), 250.0)
    middle = np.average(table["design_c"], weights=rooms.table[:, 2])
    i = list(table.index).index("study")
    _, loss, exchange, rated, exponent, per_water = rooms.table[i]
    room = table.loc["study", "design_c"]
    heat = loss * (room - home().site.design_outdoor_c) + exchange * (room - middle)
    given = emitter_kw(rated, exponent, 46.0 - 0.5 * per_water * heat - room)
    Reference(heat, "own: steady balance of the room", 1e-5, "rounds end at 1e-7 K").check(given)
    warmer = rooms_of(year(("controls.design_flow_c", 50.0))).table
    assert (warmer["design_c"] >= table["design_c"] - 1e-9).all()


def test_flow_needed_over_the_outdoor_range_falls_with_warmth() -> None:
    flows = rooms_of(year()).flows(np.arange(-8.0, 15.0))
    assert next(iter(flows.columns)) == "living room"
    assert (flows.diff().dropna() < 0).all().all()


def test_rooms_are_brought_to_the_loss_of_the_house_and_say_so() -> None:
    found = rooms_of(year())
    assert found.table["loss_w_per_k"].sum() == pytest.approx(250.0)
    assert any("each room was multiplied by" in note for note in found.notes)
    assert found.notes[-1].startswith("The house gets what its single rooms can take: where one falls short")
    assert found.next_flow_c < found.table["flow_needed_c"].max()


def test_rooms_far_from_what_was_burnt_are_refused_with_both_figures() -> None:
    burnt = vary(read_case(SAMPLE), {"home.loss.fuel_amount": 5200.0})
    with pytest.raises(
        CaseError, match=r"losses of the rooms, \d+ W/K together, are far from the \d+ W/K of the house"
    ):
        simulate(burnt.options()[0][2])


def test_a_flow_above_what_the_unit_makes_names_the_room() -> None:
    with pytest.raises(
        CaseError, match=r'"study" needs water at \d+\.\d °C on the design day, above the 62 °C that can be sent'
    ):
        year(("controls.design_flow_from_rooms", True), ("room.study.rated_kw", 0.6))


def test_a_case_without_rooms_says_so() -> None:
    with pytest.raises(CaseError, match=r"rooms: are not described|rooms are not described"):
        rooms_of(year(("room", None)))


def test_a_year_with_rooms_says_what_was_assumed_and_has_a_range() -> None:
    led = year(("controls.design_flow_from_rooms", True), ("uncertainty.lanes", 16))
    assert any("The emitters of the house are those of its rooms" in note for note in led.notes)
    assert led.range().low < led.bill.total < led.range().high
    assert led.sizing is not None
    # capacity is read at the flow that the rooms ask for, not at the design_flow_c that stands in the file
    mended = (("room.study.rated_kw", 1.4), ("room.living room.rated_kw", 4.2))
    cooler = year(("controls.design_flow_from_rooms", True), *mended)
    assert cooler.sizing.design_capacity_kw > year(*mended).sizing.design_capacity_kw
    kept = year(("heat_source", "boiler"))
    assert not any("emitters of the house are those of its rooms" in note for note in kept.notes)
