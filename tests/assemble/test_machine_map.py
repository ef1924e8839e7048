"""Maps of machines: no point of any passes Carnot, rated points lie in a sensible band, a real cycle bounds them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from references import Reference

from simkit.assemble.machine import MachineMap, machine_map
from simkit.case.heating.heat_pump import REGRESSIONS, HeatPump, Point
from simkit.case.load import read_case
from simkit.physics.heat_pump import carnot, worked_flow_c, working_cop

SAMPLES = sorted((Path(__file__).parents[2] / "sample_data").glob("*/*.toml"))
SAMPLES = [path for path in SAMPLES if path.parent.name != "tariffs"]


def machine(points: tuple[Point, ...] | None, regression: str | None = None) -> HeatPump:
    return HeatPump(
        name="made for a test", point=points, regression=regression,  # type: ignore[arg-type]
        points_hold=("defrost", "fan") if points else None, capacity_7_35_kw=7.0 if regression else None, source="air",
        minimum_share=0.3, highest_flow_c=65.0, lowest_outdoor_c=-25.0, cycling_degradation=0.9, standby_w=10.0, pump_w=50.0,
        backup_kw=0.0, backup_below_c=0.0, efficiency_scale=1.0, efficiency_boundary="h4", minimum_run_min=0.0,
        glycol_share=0.0,
    )  # fmt: skip


def cop_at(made: MachineMap, source_c: float, flow_c: float, part: float = 1.0) -> float:
    efficiency = made.at(made.efficiency, source_c, worked_flow_c(flow_c, source_c, made.lift.least_lift_k))
    return working_cop(efficiency, flow_c, source_c, made.lift, 1.0, part)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_rated_points_of_the_samples_lie_in_a_sensible_band(path: Path) -> None:
    for point in (read_case(path).heat_pump.point or ()) if read_case(path).heat_pump else ():
        if point.part_load is None:
            found = point.cop / point.carnot_cop
            source = "own band from published ranges of test points (A2/W35, A7/W55, A-7/W55)"
            Reference(0.425, source, 0.125, "0.30 to 0.55 at rating points").check(found)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(0.25, 0.6), min_size=4, max_size=4), st.floats(-25.0, 20.0), st.floats(22.0, 65.0),
    st.floats(0.8, 1.3),
)  # fmt: skip
def test_no_point_of_any_map_passes_carnot(shares: list[float], source: float, flow: float, part: float) -> None:
    pairs = [(-7.0, 35.0), (-7.0, 55.0), (7.0, 35.0), (7.0, 55.0)]
    points = tuple(
        Point(source_c=s, flow_c=f, capacity_kw=7.0, cop=max(share * (f + 273.15) / (f - s), 1.0))
        for share, (s, f) in zip(shares, pairs, strict=True)
    )
    assert (
        cop_at(machine_map(machine(points)), source, flow, part)
        <= carnot(max(flow, source + 15.0), max(flow - source, 15.0)) + 1e-12
    )


EVERY_FLOW = np.arange(20.0, 80.0, 1.25)


@pytest.mark.parametrize("name", sorted(REGRESSIONS))
def test_a_lower_flow_never_lowers_cop_and_a_warmer_source_neither(name: str) -> None:
    made = machine_map(machine(None, name))
    for source in np.arange(-30.0, 36.0, 1.5):
        cops = [cop_at(made, float(source), float(flow)) for flow in EVERY_FLOW]
        assert (np.diff(cops) <= 1e-9).all(), source
    for flow in (35.0, 55.0):
        cops = [cop_at(made, float(source), flow) for source in np.arange(-20.0, 16.0, 1.0)]
        assert (np.diff(cops) >= -1e-9).all()


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_a_lower_flow_never_lowers_the_cop_of_a_sample(path: Path) -> None:
    unit = read_case(path).heat_pump
    if unit is None:
        return
    for source in np.arange(-35.0, 35.0, 2.5):
        cops = [cop_at(machine_map(unit), float(source), float(flow)) for flow in EVERY_FLOW]
        assert (np.diff(cops) <= 1e-9).all(), source


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0.28, 0.55), min_size=6, max_size=6), st.floats(-35.0, 30.0))
def test_a_lower_flow_never_lowers_the_cop_of_any_map(shares: list[float], source: float) -> None:
    """Random points that a case would take: of one source the hotter flow is never the easier, by 5 % at least."""
    rows = []
    for (s, f), share in zip([(s, f) for s in (-7.0, 7.0) for f in (35.0, 45.0, 55.0)], shares, strict=True):
        cop = max(share * (f + 273.15) / (f - s), 1.0)
        rows.append([s, f, cop if f == 35.0 else min(cop, 0.95 * rows[-1][2])])
    if any(cop < 1.0 for _, _, cop in rows):
        return
    made = machine_map(machine(tuple(Point(source_c=s, flow_c=f, capacity_kw=7.0, cop=c) for s, f, c in rows)))
    cops = [cop_at(made, source, float(flow)) for flow in EVERY_FLOW]
    assert (np.diff(cops) <= 1e-9).all()


def test_rated_points_stay_under_a_real_cycle_without_any_loss() -> None:
    """A propane cycle with an isentropic compressor, no subcooling, no superheat and no temperature difference to source
    and water is what no machine on propane passes; Carnot lies above it.
    """
    props = pytest.importorskip("CoolProp.CoolProp", reason="CoolProp is not installed").PropsSI
    points = read_case(SAMPLES[0]).heat_pump.point or ()
    for point in points:
        cold, hot = point.source_c + 273.15, point.flow_c + 273.15
        h1, s1 = (props(what, "T", cold, "Q", 1, "Propane") for what in ("H", "S"))
        pressure = props("P", "T", hot, "Q", 0, "Propane")
        h2, h3 = props("H", "P", pressure, "S", s1, "Propane"), props("H", "T", hot, "Q", 0, "Propane")
        bound = (h2 - h3) / (h2 - h1)
        assert point.cop < bound < point.carnot_cop * 1.005, (point, bound)
