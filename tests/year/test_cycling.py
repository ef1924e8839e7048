"""Cycling: starts by hand, sums that close against the year, and an oversized machine that shows."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from references import Reference

from simkit.case.build import vary
from simkit.case.load import read_case
from simkit.errors import CaseError
from simkit.notation import Notation
from simkit.year.cycling import cycling_of, least_output_kw, overshoot_k, starts_per_hour
from simkit.year.simulate import simulate
from simkit.year.year import Year

SAMPLE = Path(__file__).parents[2] / "sample_data" / "estuary_bungalow" / "rooms.toml"


@cache
def year(*changes: tuple[str, object]) -> Year:
    case = vary(read_case(SAMPLE), {"home.loss.w_per_k": 250.0, "option": None, "baseline": None})
    return simulate(vary(case, dict(changes)))


def test_starts_by_hand() -> None:
    """100 litres, 5 K: 0.5815 kWh between the ends. Least output 3 kW, load 1 kW: 2 kW fill it in 17.4 minutes, 1 kW
    empties it in 34.9 minutes: a start every 52.3 minutes, 1.146 an hour.
    """
    held = 100 * 1.163e-3 * 5.0
    want = 1.0 / (held / (3.0 - 1.0) + held / 1.0)
    Reference(want, "own: time running plus time standing", 1e-9, "same times, summed").check(
        float(starts_per_hour(np.array([1.0]), np.array([3.0]), 100.0, 5.0)[0])
    )
    assert want == pytest.approx(1.146, abs=5e-4)
    np.testing.assert_array_equal(starts_per_hour(np.array([0.0, 3.0, 4.0]), np.full(3, 3.0), 100.0, 5.0), np.zeros(3))


def test_a_shortest_run_leaves_fewer_starts() -> None:
    """3 kW for 20 minutes at least make 1 kWh, which 1 kW takes in an hour: one start an hour in place of 1.146."""
    one, three = np.array([1.0]), np.array([3.0])
    assert starts_per_hour(one, three, 100.0, 5.0, 20 / 60)[0] == pytest.approx(1.0)
    assert starts_per_hour(one, three, 100.0, 5.0, 10 / 60)[0] == starts_per_hour(one, three, 100.0, 5.0)[0]
    long = cycling_of(year(("heat_pump.minimum_run_min", 30.0)))
    assert long.starts_a_day < cycling_of(year()).starts_a_day


def test_a_shortest_run_warms_the_water_past_the_hysteresis() -> None:
    """3 kW less 1 kW for half an hour make 1 kWh; 100 litres take 0.1163 kWh a kelvin: 8.6 K, 3.6 over the 5."""
    one, three = np.array([1.0]), np.array([3.0])
    Reference(1.0 / 0.1163 - 5.0, "own: heat made and not taken, by the water's heat", 1e-9, "exact").check(
        float(overshoot_k(one, three, 100.0, 5.0, 0.5)[0])
    )
    assert overshoot_k(one, three, 100.0, 5.0, 5 / 60)[0] == 0.0
    little = year(("heat_pump.minimum_run_min", 20.0))
    short, free = cycling_of(little, water_l=40.0), cycling_of(year(), water_l=40.0)
    assert (free.overshoot_k, free.overshoot_kwh) == (0.0, 0.0)
    assert "shortest run" not in free.worded()
    assert short.overshoot_kwh > 0.0
    assert f"up to {short.overshoot_k:.1f} K past the hysteresis" in short.worded()
    assert cycling_of(little, water_l=400.0).overshoot_kwh < 0.1 * short.overshoot_kwh


def test_a_buffer_is_water_of_the_circuit() -> None:
    """It spaces starts, and what it holds above the room comes back: the balance closes with it."""
    buffered = year(("controls.buffer_l", 200.0))
    assert cycling_of(buffered).water_l == pytest.approx(cycling_of(year()).water_l + 200.0)
    more = buffered.inputs.home.emitter_kwh_per_k - year().inputs.home.emitter_kwh_per_k
    assert more == pytest.approx(200.0 * 1.163e-3)
    assert max(map(abs, buffered.balance().values())) < 1e-6


def test_most_starts_at_half_the_least_output() -> None:
    load = np.linspace(0.01, 2.99, 299)
    found = starts_per_hour(load, np.full(299, 3.0), 100.0, 5.0)
    assert load[found.argmax()] == pytest.approx(1.5, abs=0.011)


def test_hours_and_heat_close_against_the_year() -> None:
    found = cycling_of(year())
    table = found.by_outdoor
    assert table["hours"].sum() == pytest.approx(found.hours_heated)
    assert table["heat_kwh"].sum() == pytest.approx(year().run.totals.heat_pump_space_heat, rel=1e-6)
    assert table["heat_below_kwh"].sum() / table["heat_kwh"].sum() == pytest.approx(found.heat_below_share)
    assert found.hours_below == pytest.approx(year().run.totals.cycling, rel=1e-6)
    assert found.heat_below_share == pytest.approx(year().sizing.share_below_minimum, abs=0.02)


def test_without_degradation_cycling_costs_nothing() -> None:
    free = year(("heat_pump.cycling_degradation", 1.0))
    assert cycling_of(free).lost_kwh == pytest.approx(0.0, abs=1e-6)
    lost = cycling_of(year())
    cheaper = year().run.totals.heat_pump_space - free.run.totals.heat_pump_space
    Reference(
        cheaper,
        "own: the same year with a cycling_degradation coefficient of 1",
        0.02 * lost.lost_kwh + 0.5,
        "room moves",
    ).check(lost.lost_kwh)
    assert 0 < lost.lost_cost < lost.lost_kwh


def test_an_oversized_machine_shows() -> None:
    small, big = cycling_of(year(("heat_pump.minimum_share", 0.2))), cycling_of(year(("heat_pump.minimum_share", 0.6)))
    assert big.hours_share > small.hours_share
    assert big.heat_below_share > small.heat_below_share
    assert big.lost_kwh > small.lost_kwh
    assert "In " in big.worded()
    assert "below the least output" in big.worded()
    assert re.search(r"\(\d,\d kW in mild weather", big.worded(Notation("de_DE", "")))


def test_more_water_starts_less_often() -> None:
    little, much = cycling_of(year(), water_l=40.0), cycling_of(year(), water_l=240.0)
    assert much.starts_a_day == pytest.approx(little.starts_a_day / 6.0)
    assert "more water or a wider hysteresis" in little.worded()


def test_least_output_by_outdoor_and_flow() -> None:
    table = least_output_kw(year().case.heat_pump, [-7.0, 7.0], [35.0, 55.0])
    # the sample's points at 7 °C: 8.3 kW at 35, 7.8 kW at 55, a third of either without stopping
    assert table.loc[7.0].tolist() == pytest.approx([0.33 * 8.3, 0.33 * 7.8])
    assert (table.loc[-7.0] < table.loc[7.0]).all()


def test_a_least_output_that_grows_with_the_flow_makes_a_hot_flow_cycle_more() -> None:
    """Two machines alike but in what they give at least at 55 °C: on a hot curve the one stops and starts more."""

    def of(least_at_55: float) -> Year:
        points = [point.model_dump() for point in year().case.heat_pump.point if point.part_load in (None, 1.0)]
        shares = {55.0: least_at_55}
        rows = [{**p, "minimum_kw": shares.get(p["flow_c"], 0.2) * p["capacity_kw"]} for p in points]
        return simulate(vary(year().case, {"heat_pump.point": rows, "controls.design_flow_c": 55.0}))

    hot = of(0.5)
    same, growing = cycling_of(of(0.2)), cycling_of(hot)
    assert growing.heat_below_share > same.heat_below_share + 0.02
    assert growing.lost_kwh > same.lost_kwh
    table = least_output_kw(hot.case.heat_pump, [7.0], [35.0, 55.0])
    assert table.loc[7.0, 55.0] > 2.0 * table.loc[7.0, 35.0]


def test_a_machine_that_never_cycles_and_a_boiler() -> None:
    never = cycling_of(year(("heat_pump.minimum_share", 0.05)))
    assert never.hours_share < 0.2
    with pytest.raises(CaseError, match='heat_source = "boiler" has no heat pump that cycles'):
        cycling_of(year(("heat_source", "boiler")))
