"""How much of a year's heat is made where nobody tested the machine."""

from __future__ import annotations

import numpy as np
import pytest
from homes import changed

from simkit import simulate
from simkit.arrays import Floats
from simkit.year.untested import cold_points_kwh, other_law_kwh, untested_share


def test_heat_made_outside_the_points_is_a_note_with_its_share() -> None:
    year = simulate(changed("estuary_bungalow"))
    hours = year.hourly
    source = year.inputs.series["source_c"]
    space, water = year.flow("heat_pump_space_heat"), year.flow("heat_pump_water_heat")
    low_space, low_water = hours["flow_c"] - source < 28.0, hours["water_flow_c"] - source < 28.0  # A7/W35
    high_space, high_water = hours["flow_c"] - source > 62.0, hours["water_flow_c"] - source > 62.0  # A-7/W55
    outside = space[low_space | high_space].sum() + water[low_water | high_water].sum()
    share = outside / (space.sum() + water.sum())
    assert untested_share(year) == pytest.approx(share, rel=1e-12, abs=0.0)
    assert share > 0.1
    (said,) = [note for note in year.notes if "outside the 28 to 62 K" in note]
    assert said.startswith(f"{100 * share:.0f}\u00a0% of the heat pump's heat")


def test_part_load_points_at_small_lifts_leave_less_heat_untested() -> None:
    case = changed("estuary_bungalow")
    assert case.heat_pump is not None
    points = [point.model_dump(exclude_none=True) for point in case.heat_pump.point or ()]
    more = [*points, {"source_c": 12.0, "flow_c": 24.0, "capacity_kw": 3.0, "cop": 6.5, "part_load": 0.3}]
    few, many = simulate(case), simulate(changed("estuary_bungalow", {"heat_pump.point": more}))
    assert untested_share(many) < 0.5 * untested_share(few)


def test_a_boiler_and_a_home_within_the_fit_have_no_such_note() -> None:
    boiler = simulate(changed("estuary_bungalow", {"heat_source": "boiler"}))
    assert untested_share(boiler) == 0.0
    assert not any("that its COP is known at" in note for note in boiler.notes)


def test_the_pump_is_counted_whatever_the_points_hold() -> None:
    """EN 14511's correction is for the machine's own resistance: a home's circuit takes the stated power beside it."""
    with_pump, without = (
        simulate(changed("canal_terrace", {"heat_pump.points_hold": hold}))
        for hold in (["defrost", "fan", "pump"], ["defrost", "fan"])
    )
    assert with_pump.spf.h4 == without.spf.h4
    hours_run = (with_pump.flow("heating") * (1.0 - with_pump.flow("water_share"))).sum() * with_pump.axis.hours
    assert np.isclose(with_pump.run.totals.pumps_space, 0.05 * hours_run, rtol=0.02)


def test_a_field_factor_is_counted_once_in_the_year() -> None:
    """Ruhnau 2019 holds 0.85 for field conditions: 0.9 on top of it would cost a tenth of the performance again."""
    by = {
        "heat_pump.point": None, "heat_pump.points_hold": None, "heat_pump.regression": "ruhnau2019_air",
        "heat_pump.capacity_7_35_kw": 8.0,
    }  # fmt: skip
    left_open, once, twice = (
        simulate(changed("canal_terrace", {**by, "heat_pump.efficiency_scale": scale})).spf.h2
        for scale in (None, 1.0, 0.9)
    )
    assert left_open == once
    assert twice / once == pytest.approx(0.9, rel=0.01)


def test_points_without_a_cold_one_say_what_that_may_cost() -> None:
    """Own: a tenth of what is taken at −7 °C and below, in proportion between there and the coldest point, 2 °C."""
    case = changed("estuary_bungalow")
    assert case.heat_pump is not None
    warm = [point.model_dump(exclude_none=True) for point in case.heat_pump.point or () if point.source_c >= 2.0]
    year = simulate(changed("estuary_bungalow", {"heat_pump.point": warm}))
    used = year.flow("heat_pump_space") + year.flow("heat_pump_water")
    below = np.clip((2.0 - year.inputs.series["outdoor_c"]) / 9.0, 0.0, 1.0)
    assert cold_points_kwh(year) == pytest.approx(0.1 * float(used @ below) * year.axis.hours)
    assert 1.0 < cold_points_kwh(year) < 0.05 * float(used.sum()) * year.axis.hours
    (said,) = [note for note in year.notes if note.startswith("No test point of the heat pump is colder than 2 °C")]
    assert f"about {cold_points_kwh(year):.0f} kWh in this year" in said
    assert cold_points_kwh(simulate(case)) == 0.0


def test_antifreeze_takes_its_share_of_the_efficiency() -> None:
    """Own: 3 % at a share of 0.3, of the compressor's electricity, with the same heat."""
    plain, mixed = (simulate(changed("estuary_bungalow", {"heat_pump.glycol_share": share})) for share in (0.0, 0.3))
    assert mixed.totals["space_heat"] == pytest.approx(plain.totals["space_heat"], rel=1e-3)
    ratio = mixed.totals["heat_pump_electricity"] / plain.totals["heat_pump_electricity"]
    assert ratio == pytest.approx(1.0 / 0.97, rel=2e-3)


def test_a_single_point_says_what_the_other_published_law_would_make_of_the_year() -> None:
    """By hand: the parabolas of Staffell 2012 and Ruhnau 2019, each through the point at 28 K."""
    one = [{"source_c": 7.0, "flow_c": 35.0, "capacity_kw": 9.0, "cop": 4.5}]
    year = simulate(changed("estuary_bungalow", {"heat_pump.point": one}))

    def falls(lift: Floats, a: float, b: float, c: float) -> Floats:
        return (a + b * lift + c * lift**2) / (a + b * 28.0 + c * 28.0**2)

    source, more = year.inputs.series["source_c"], 0.0
    for flow, used in (("flow_c", "heat_pump_space"), ("water_flow_c", "heat_pump_water")):
        lift = np.clip(year.flow(flow) - source, 15.0, 60.0)
        ratio = falls(lift, 6.81, -0.121, 0.000630) / falls(lift, 6.08, -0.0941, 0.000464)
        more += float(year.flow(used) @ (ratio - 1.0)) * year.axis.hours
    assert other_law_kwh(year) == pytest.approx(more, abs=0.01 * year.totals["heat_pump_electricity"])
    (said,) = [note for note in year.notes if note.startswith("Only one test point of the heat pump is known")]
    assert f"would take {abs(other_law_kwh(year)):.0f} kWh" in said
    assert any(note.startswith("No test point of the heat pump is colder than 7 °C") for note in year.notes)
    assert not any("that its COP is known at" in note for note in year.notes)
    assert other_law_kwh(simulate(changed("estuary_bungalow"))) == 0.0
