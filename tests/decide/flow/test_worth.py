"""A kelvin of design flow beside a kelvin of actual flow, each against the rule it is known by; slope and shift."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from references import Reference

from simkit.answers.year import flow_words
from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.decide.flow.worth import flow_worth, sent_flow
from simkit.errors import CaseError
from simkit.notation import Notation
from simkit.year.simulate import simulate

SAMPLE = Path(__file__).parents[3] / "sample_data" / "estuary_bungalow" / "rooms.toml"


@cache
def home(**changes: object) -> Case:
    case = vary(read_case(SAMPLE), {"home.loss.w_per_k": 250.0, "option": None, "baseline": None})
    return vary(case, {key.replace("__", "."): value for key, value in changes.items()})


def test_a_kelvin_of_design_flow_is_worth_about_half() -> None:
    found = flow_worth(home())
    rule = Reference(
        0.012, "own: about 1.2 % per kelvin of design flow on a compensated curve", 0.004, "one small model"
    )
    rule.check(found.per_design_k)
    assert found.per_design_k < 0.75 * found.per_actual_k
    assert found.sent.mean_flow_c < found.sent.design_flow_c - 5.0
    assert found.saved_per_design_k > 0.0


def test_design_flow_and_actual_flow_stand_side_by_side() -> None:
    year = simulate(home())
    found, worth = sent_flow(year), flow_worth(home())
    assert found is not None
    assert found.mean_flow_c == pytest.approx(worth.sent.mean_flow_c)
    rows = year.hourly[year.hourly["space_heat_kw"] > 0]
    by_hand = (rows["flow_c"] * rows["space_heat_kw"]).sum() / rows["space_heat_kw"].sum()
    Reference(by_hand, "own: mean over the heat, of the hourly frame", 1e-9, "same").check(found.mean_flow_c)
    german = Notation("de_DE", "EUR")
    assert flow_words(found, german) == f"55 °C on the coldest day, {by_hand:.0f} °C on average"
    least = sent_flow(simulate(home(controls__flow="least")))
    assert least is not None
    assert least.design_flow_c is None
    assert flow_words(least, german).startswith("follows the load, ")
    assert flow_words(None, german) == ""
    assert sent_flow(simulate(home(heat_source="boiler"))) is None


def test_on_a_fixed_flow_both_are_the_same() -> None:
    found = flow_worth(home(controls__flow="fixed", controls__design_flow_c=48.0))
    assert found.sent.mean_flow_c == pytest.approx(48.0)
    assert found.per_design_k == pytest.approx(found.per_actual_k, abs=0.003)


def test_what_is_led_by_no_design_flow_is_refused() -> None:
    with pytest.raises(CaseError, match="has no design flow to move"):
        flow_worth(home(controls__flow="least"))


def test_slope_and_shift_of_the_case_come_back() -> None:
    set_so = vary(home(), {"controls.design_flow_c": None, "controls.slope": 1.2, "controls.shift_k": 3.0})
    hourly = simulate(set_so).hourly
    day = hourly[(hourly["flow_c"] > 26) & (hourly["set_point_c"] == hourly["set_point_c"].max())]
    # the curve moves with the set-point, kelvin for kelvin; without recovery it is the line itself
    lifted = day["flow_c"] - day["set_point_c"] - 3.0 - 1.2 * (set_so.comfort.warmest_c - day["outdoor_c"])
    assert lifted.median() == pytest.approx(0.0, abs=0.05)


def test_a_straight_curve_is_too_cool_in_between() -> None:
    shaped, straight = simulate(home()), simulate(home(controls__straight=True))
    assert straight.comfort.degree_hours_below >= shaped.comfort.degree_hours_below


def test_a_room_correction_lifts_the_flow_of_a_cool_room() -> None:
    plain, corrected = simulate(home()), simulate(home(controls__room_influence=4.0))
    cool = plain.hourly["air_c"] < plain.hourly["set_point_c"] - 0.5
    heated = cool & (plain.hourly["flow_c"] > 0) & (corrected.hourly["flow_c"] > 0)
    assert (corrected.hourly.loc[heated, "flow_c"] - plain.hourly.loc[heated, "flow_c"]).mean() > 0.5
    assert corrected.comfort.degree_hours_below <= plain.comfort.degree_hours_below


def test_a_second_pump_and_mixing_cost_what_they_take() -> None:
    plain = simulate(home())
    pumped = simulate(home(controls__buffer_pump_w=40.0))
    runs = plain.run.totals.pumps_space / (home().heat_pump.pump_w / 1000.0)
    more = pumped.run.totals.pumps_space - plain.run.totals.pumps_space
    Reference(0.040 * runs, "own: 40 W while the circuit runs", 1e-6, "arithmetic").check(more)
    mixed = simulate(home(controls__mixing_penalty_k=4.0))
    rise = mixed.run.totals.heat_pump_space / plain.run.totals.heat_pump_space - 1.0
    Reference(0.08, "own: 3 to 5 K of mixing cost 6 to 10 %", 0.03, "one small model").check(rise)


def test_a_cooler_limit_for_hot_water_keeps_the_rooms_flow() -> None:
    plain, cooler = simulate(home()), simulate(home(hot_water__highest_flow_c=54.0))
    assert cooler.hourly["water_flow_c"].max() <= 54.0 + 1e-9 < plain.hourly["water_flow_c"].max()
    assert cooler.hourly["flow_c"].max() == pytest.approx(plain.hourly["flow_c"].max(), abs=0.5)


def test_a_machine_at_the_end_of_its_reach_is_answered_too() -> None:
    """A kelvin more can't be asked of it: what is below it tells what a kelvin is worth."""
    reach = {"heat_pump__highest_flow_c": 55.0, "controls__design_flow_c": 55.0}
    at_the_end, short_of_it = flow_worth(home(**reach)), flow_worth(home(**reach | {"controls__design_flow_c": 54.0}))
    assert at_the_end.per_design_k == pytest.approx(short_of_it.per_design_k, rel=0.1)
    assert at_the_end.saved_per_design_k > 0.0
