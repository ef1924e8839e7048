"""Sample homes with some lines changed in; their case and their year out, each computed once."""

from __future__ import annotations

from functools import cache
from typing import Any

from simkit.assemble.machine import MachineMap, machine_map, worked_flow_c
from simkit.case.build import Case, vary
from simkit.case.heating.heat_pump import HeatPump
from simkit.case.load import read_case
from simkit.case.sample_homes import sample_file
from simkit.physics.heat_pump import working_cop
from simkit.year.simulate import simulate
from simkit.year.year import Year

NAMES = ("estuary_bungalow", "canal_terrace", "moor_cottage", "harbour_flat")
STATED_W_PER_K = 250.0  # for the estuary home, whose own loss is found from its fuel


@cache
def home(name: str, *changes: tuple[str, Any]) -> Case:
    """A sample home without its other options, some values changed."""
    loss = {"home.loss.w_per_k": STATED_W_PER_K} if name == NAMES[0] else {}
    return vary(read_case(sample_file(name)), {**loss, **dict(changes), "option": None, "baseline": None})


@cache
def year(name: str, *changes: tuple[str, Any]) -> Year:
    """Its year by the hour."""
    return simulate(home(name, *changes), step_minutes=60)


@cache
def by_regression(name: str) -> MachineMap:
    """The canal home's machine, its COP by a published regression."""
    source = {} if name.endswith("air") else {"source": "constant", "source_c": 8.0}
    base = home("canal_terrace").heat_pump
    keys = {"point": None, "points_hold": None, "regression": name, "capacity_7_35_kw": 8.0, **source}
    table = {} if base is None else base.model_dump(by_alias=True, exclude_none=True)
    kept = {key: value for key, value in (table | keys).items() if value is not None}
    return machine_map(HeatPump.model_validate(kept))


def cop(made: MachineMap, source_c: float, flow_c: float) -> float:
    """COP of a machine at full load [-]."""
    efficiency = made.at(made.efficiency, source_c, worked_flow_c(flow_c, source_c, made.lift.least_lift_k))
    return working_cop(efficiency, flow_c, source_c, made.lift, 1.0, 1.0)
