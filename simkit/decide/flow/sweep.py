"""A case, design flow temperatures and sets of emitters in; cost, performance and comfort of every combination out.

Every combination is a whole simulated year, all of them on the kernel's lanes in one call. Only the curve and the
emitters differ, so that the series of weather, prices, people and machine are shared.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from math import ceil, floor

import numpy as np
import pandas as pd

from simkit.answered import Answered
from simkit.arrays import Floats
from simkit.assemble.heat_loss import loss_w_per_k
from simkit.assemble.home import home_inputs
from simkit.assemble.rooms import NEEDED, design_flow_c, highest_flow_c, room_set
from simkit.assemble.setting import setting_for
from simkit.billing.charge import charge_fuel
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.decide.variants import run_variants
from simkit.errors import CaseError, Fault
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.room_pass import steady_rooms_c
from simkit.performance.boundaries import performance
from simkit.year.comfort import FELT_K, YearComfort, lane_comforts

LEAST_C, MOST_C = 30.0, 60.0
ELECTRICITY = ("heat_pump_space", "heat_pump_water", "backup_heater", "immersion", "pumps_space", "pumps_water",
               "standby")  # fmt: skip


@dataclass(frozen=True, eq=False, repr=False)
class FlowSweep(Answered):
    """A home at many design flows.

    Attributes
    ----------
    case
        The home.
    table
        One row for each set of emitters and flow, in this order: `emitters` (name of the case), `design_flow_c`,
        `year_cost` [currency], `electricity_kwh` of heating and hot water, `spf_h4`, `space_h4` [-], `below_kh` [K·h],
        `cool_h`, `below_18_h` [h] and `min_room_c` [°C] of the house; with rooms also `design_room_c` and
        `design_short_k`: temperature of the coldest room, and the largest shortfall of any, on the design day; `held`:
        whether the year is as comfortable as needed, each room too.
    comforts
        The verdict of each row.
    now_c
        Design flow of the case itself [°C]; None where its curve is led by a slope.
    """

    case: Case
    table: pd.DataFrame
    comforts: tuple[YearComfort, ...]
    now_c: float | None
    answered_by = "simkit.answers.flow:flow_answer"

    def __repr__(self) -> str:
        return self.case.notation.frame(self.table)


def usual_flows_c(case: Case) -> list[float]:
    """Design flows worth looking at, kelvin by kelvin [°C]: own, from 30 or just above the rooms to 60 or today's."""
    warmest = max(case.controls.warmest_c, case.comfort.warmest_c)
    low, high = (
        max(LEAST_C, floor(warmest) + 2.0),
        min(max(MOST_C, ceil(case.controls.design_flow_c)), floor(highest_flow_c(case))),
    )
    return [float(flow) for flow in np.arange(low, max(low, high) + 0.5)]


def at_design_flow(home: HomeInputs, flow_c: float) -> HomeInputs:
    """The same home with its curve led through another design flow [°C]; its emitters stay."""
    held = home.home
    excess = held.design_excess_k + flow_c - held.design_flow_c
    return HomeInputs(held._replace(design_flow_c=flow_c, design_excess_k=excess), home.start, home.series)


def sweep_flow(case: Case, flows_c: Sequence[float] | None = None, *, sets: Sequence[Case] | None = None) -> FlowSweep:
    """Simulate a case at every design flow with every set of emitters.

    Parameters
    ----------
    case
        The home.
    flows_c
        Design flow temperatures, (flows,) [°C]; a usual range where left out.
    sets
        The home with other emitters, one case each, (sets,); the case itself when left out. They may differ from it in
        their emitters and rooms only.

    Returns
    -------
    FlowSweep
        One row for each set and flow.

    Raises
    ------
    CaseError
        Where a flow is above what can be sent or not above the rooms, or the curve isn't led by a design flow.
    """
    several = list(sets) if sets is not None else [case]
    flows = np.asarray(usual_flows_c(case) if flows_c is None else flows_c, dtype=np.float64)
    for one in several:
        _refuse(one, flows)
    setting = setting_for(case)
    losses = [loss_w_per_k(one) for one in several]
    bases = [
        home_inputs(vary(one, {"controls.design_flow_from_rooms": False}), setting, loss)
        for one, loss in zip(several, losses, strict=True)
    ]
    homes = [at_design_flow(base, float(flow)) for base, flow in product(bases, flows)]
    made = run_variants(case, setting, homes)
    cost, spf = made.cost, performance(made.totals, None)
    if case.fuel is not None:
        burnt = np.zeros(setting.axis.steps)
        cost = cost + charge_fuel(case.fuel, setting.axis, burnt, currency=case.currency, keeps_supply=False).total
    cost = cost + (case.lit.cost if case.lit is not None else 0.0)
    comforts = lane_comforts(made.totals, made.after)
    columns = {
        "emitters": np.repeat([one.name for one in several], len(flows)),
        "design_flow_c": np.tile(flows, len(several)), "year_cost": cost,
        "electricity_kwh": np.sum([getattr(made.totals, name) for name in ELECTRICITY], axis=0), "spf_h4": spf.h4,
        "space_h4": spf.space_h4, "below_kh": made.totals.below_k, "cool_h": made.totals.cool,
        "below_18_h": made.totals.below_18, "min_room_c": made.after.coldest_room_c,
    }  # fmt: skip
    table = pd.DataFrame(columns)
    if all(one.room for one in several):
        coldest = [_on_the_design_day(one, loss, flows) for one, loss in zip(several, losses, strict=True)]
        table[["design_room_c", "design_short_k"]] = np.concatenate(coldest)
    short = table.get("design_short_k", 0.0)
    table["held"] = np.array([one.held for one in comforts]) & (short <= FELT_K)
    now = None if case.controls.slope is not None else design_flow_c(case, loss_w_per_k(case))
    return FlowSweep(case, table, tuple(comforts), now)


def _on_the_design_day(case: Case, loss_w_per_k_: float, flows: Floats) -> Floats:
    """Coldest room and largest shortfall of any room on the design day, (flows, 2) [°C, K]."""
    rooms = room_set(case, loss_w_per_k_)
    found = steady_rooms_c(flows, np.full(len(flows), rooms.design_outdoor_c), rooms.table)
    return np.column_stack([found.min(axis=0), (rooms.table[:, NEEDED, None] - found).max(axis=0)])


def _refuse(case: Case, flows: Floats) -> None:
    most, warmest = highest_flow_c(case), max(case.controls.warmest_c, case.comfort.warmest_c)
    where = f"{case.label}: flow temperatures"
    faults = []
    if case.heat_source != "heat_pump" or case.heat_pump is None:
        remedy = 'Choose an option with heat_source = "heat_pump"'
        faults.append(Fault(where, f'heat_source = "{case.heat_source}"', "has no curve of a heat pump alone", remedy))
    if case.controls.flow == "least":
        remedy = 'Write flow = "compensated" or "fixed"'
        faults.append(Fault(where, 'flow = "least"', "follows the load, whatever the design flow", remedy))
    if flows.max() > most:
        remedy = f"Stay at {most:g} or below"
        faults.append(Fault(where, f"{flows.max():g} °C", f"is above what can be sent, {most:g} °C", remedy))
    if flows.min() <= warmest:
        remedy = f"Stay above {warmest:g}"
        allowed = f"is not above the warmest room, {warmest:g} °C"
        faults.append(Fault(where, f"{flows.min():g} °C", allowed, remedy))
    if faults:
        raise CaseError(faults)
