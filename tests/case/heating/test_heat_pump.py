"""Test points of a heat pump: what nature forbids is refused, what rated machines do is let through."""

from __future__ import annotations

from typing import Any

import pytest
from references import Reference

from case.stated import only, with_path
from simkit.case.heating.heat_pump import HeatPump, Point
from simkit.schema.messages import checked
from simkit.validation.published import published


def point(source_c: float, flow_c: float, capacity_kw: float = 7.0, cop: float = 3.0, **more: float) -> dict[str, Any]:
    return {"source_c": source_c, "flow_c": flow_c, "capacity_kw": capacity_kw, "cop": cop, **more}


SLIPS = [
    ([point(7, 35, cop=4.5), point(7, 55, cop=0.9)], "[heat_pump] point no. 2: cop = 0.9 is outside 1 to 12 (heat "
     "given over "
     "electricity taken). Write a value within these bounds, such as 4.5."),
    ([point(7, 35, cop=11.5), point(7, 55, cop=3)], "[heat_pump] point no. 1: cop = 11.5 is above 11.01, the most "
     "that nature "
     "allows from 7 to 35 °C (Carnot). Look up the point again: rated machines reach about a third to a half of that."),
    ([point(7, 35, cop=3.0), point(7, 55, cop=4.0)], "[heat_pump] point source_c = 7, flow_c = 55: cop = 4 is above "
     "the cop = "
     "3 of the cooler flow at 35 °C, and a higher lift can't be easier. Look whether the two were exchanged."),
    ([point(-7, 35, cop=3.4), point(7, 35, cop=3.0)], "[heat_pump] point source_c = 7, flow_c = 35: cop = 3 is below "
     "the cop = 3.4 of the colder source at -7 °C, and a higher lift can't be easier. Look whether the two were "
     "exchanged."),
    ([point(7, 35, part_load=0.5)], "[heat_pump] part_load = 0.5 is that of the only test point: what the machine gives "
     "at most is not known. Add a [[heat_pump.point]] at full load."),
    ([point(7, 35), point(7, 35)], "[heat_pump] point source_c = 7, flow_c = 35 stands twice. Keep one of the two."),
    ([point(35, 30, cop=4), point(7, 55)], "[heat_pump] point no. 1: flow_c = 30 is not above source_c = 35, and a "
     "heat pump "
     "lifts heat. Look whether the two were exchanged."),
    ([{"source_c": 7, "flow_c": 35, "cop": 4.5}, point(7, 55)], "[heat_pump] point no. 1: capacity_kw is missing "
     "(heat given). "
     "Add a line such as: capacity_kw = 7."),
    ([point(7, 35, cop=4.5, minimum_kw=8.0), point(7, 55, minimum_kw=2.0)], "[heat_pump] point no. 1: minimum_kw = 8 is above "
     "capacity_kw = 7, "
     "so that the machine could not run at all. Write the least heat it gives at this point, or leave minimum_kw out."),
    ([point(7, 35, cop=4.5, minimum_kw=2.0), point(7, 55)], "[heat_pump] minimum_kw of 1 of 2 full-load test points "
     "leaves the others open, and the least output differs with source and flow temperature. Write minimum_kw for every "
     "point, or for none and minimum_share instead."),
]  # fmt: skip


@pytest.mark.parametrize(("points", "sentence"), SLIPS, ids=[sentence[12:50] for _, sentence in SLIPS])
def test_points_that_are_refused(points: list[dict[str, Any]], sentence: str) -> None:
    assert only(with_path("heat_pump.point", points)) == f"case.toml: {sentence}"


def test_no_points_at_all() -> None:
    assert only(with_path("heat_pump", {"name": "x"}, with_path("option", [], with_path("baseline", ...)))) == (
        "case.toml: [heat_pump] point and regression are both missing, and exactly one is needed. Add the one you "
        "know, such "
        "as point = [{ source_c = 7, flow_c = 35, capacity_kw = 7, cop = 4.5 }]."
    )


def test_a_source_with_a_temperature_of_its_own_needs_it() -> None:
    weather = {"degree_days": [300.0] * 12, "degree_day_base_c": 15.5}  # of which no mean of the ground follows
    assert only(with_path("heat_pump.source", "ground", with_path("weather", weather))) == (
        'case.toml: [heat_pump] source_c is missing, and source = "ground" has a temperature of its own. '
        "Add its mean temperature in °C, such as source_c = 10."
    )


def test_part_load_points_are_a_row_of_their_own() -> None:
    points = [point(7, 35, cop=4.0), point(7, 55, cop=2.8), point(7, 55, cop=4.2, part_load=0.5)]
    table = {"point": points, "name": "x", "points_hold": ["defrost"], "source": "air", "minimum_share": 0.3}
    table |= {"highest_flow_c": 60, "lowest_outdoor_c": -20, "minimum_run_min": 0, "glycol_share": 0}
    table |= {"cycling_degradation": 0.9, "standby_w": 10, "pump_w": 50}
    table |= {"backup_kw": 0, "backup_below_c": 0, "efficiency_scale": 1, "efficiency_boundary": "h4"}
    found, faults = checked(HeatPump, table, "heat_pump")
    assert not faults
    assert found is not None
    assert found.point is not None
    assert found.point[2].part_load == 0.5


CARNOT, CARNOT_ROWS = published("carnot_en14511_points_DERIVED")


@pytest.mark.parametrize("row", CARNOT_ROWS, ids=[row["point"] for row in CARNOT_ROWS])
def test_carnot_at_the_rating_points(row: dict[str, str]) -> None:
    source_c, flow_c, carnot = float(row["Ts_C"]), float(row["Tw_C"]), float(row["COP_carnot"])
    found, faults = checked(Point, point(source_c, flow_c, cop=2.0), "")
    assert found is not None
    assert not faults
    Reference(carnot, CARNOT, 5e-5, "the table has four decimals").check(found.carnot_cop)
    refused, _ = checked(Point, point(source_c, flow_c, cop=min(12.0, carnot + 0.01)), "")
    assert (refused is None) == (carnot < 11.99)
    for cop in filter(None, (row["COP_low_or_min"], row["COP_high"])):
        rated, _ = checked(Point, point(source_c, flow_c, cop=float(cop)), "")
        assert rated is not None, "what rated machines reach is never refused"
