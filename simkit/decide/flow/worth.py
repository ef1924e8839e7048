"""A case in; what a kelvin of actual and of design flow are worth, and the flow that was sent, out.

Two things bear the name of flow temperature. The design flow is a setting: on a compensated curve it is sent only on
the coldest day. The actual flow is what is sent hour by hour. A kelvin of one is not worth a kelvin of the other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from simkit.assemble.rooms import design_flow_c, highest_flow_c
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.errors import CaseError, Fault
from simkit.year.simulate import simulate
from simkit.year.year import Year

STEP_K = 1.0


@dataclass(frozen=True)
class SentFlow:
    """The flow that a year was designed for beside the one that was sent.

    Attributes
    ----------
    design_flow_c
        On the design day [°C]; None where the controller follows the load, whatever the design flow.
    mean_flow_c, hottest_flow_c
        Sent to the rooms, mean over the heat given and hottest [°C].
    """

    design_flow_c: float | None
    mean_flow_c: float
    hottest_flow_c: float


@dataclass(frozen=True)
class FlowWorth:
    """What a kelvin is worth.

    Attributes
    ----------
    sent
        Flow that the curve is led through on the design day, and what was sent [°C].
    per_design_k, per_actual_k
        Share of the electricity for a kWh of space heat that falls away with a design flow one kelvin lower, and with
        water one kelvin cooler in every hour [1/K].
    saved_per_design_k
        What one kelvin of design flow saves a year, all in [currency/K]; less heat included where rooms get cooler.
    """

    sent: SentFlow
    per_design_k: float
    per_actual_k: float
    saved_per_design_k: float


def sent_flow(year: Year) -> SentFlow | None:
    """Read design flow and actual flow off a year; None where no heat pump heated the rooms."""
    case, heat, flow = year.case, year.flow("space_heat"), year.flow("flow_c")
    by_machine = (heat > 0) & (flow > 0) & (year.inputs.series["by_boiler"] < 0.5)
    if case.heat_pump is None or not by_machine.any():
        return None
    led = None if case.controls.flow == "least" else design_flow_c(case, year.loss_w_per_k)
    mean = float(np.average(flow[by_machine], weights=heat[by_machine]))
    return SentFlow(led, mean, float(flow[by_machine].max()))


def flow_worth(case: Case) -> FlowWorth:
    """Work out what a kelvin of design flow and of actual flow are worth in this home.

    The design flow is moved one kelvin up (as far as the machine reaches) and down, the emitters staying; for the
    actual flow the machine is made to run one kelvin hotter in every hour, the rooms getting what they got (a kelvin of
    mixing does just that).

    Raises
    ------
    CaseError
        Where the flow isn't led by a design flow, or no heat pump runs.
    """
    if case.heat_source != "heat_pump" or case.controls.flow == "least" or case.controls.slope is not None:
        given = f'heat_source = "{case.heat_source}", flow = "{case.controls.flow}"'
        remedy = 'Choose heat_source = "heat_pump" with flow = "compensated" and a design_flow_c'
        raise CaseError(Fault(case.label, given, "has no design flow to move", remedy))
    year = simulate(case)
    sent, flow = sent_flow(year), design_flow_c(case, year.loss_w_per_k)
    assert sent is not None  # a heat pump heats the rooms
    mixed = case.controls.mixing_penalty_k
    high, low = min(flow + STEP_K, highest_flow_c(case)), flow - STEP_K
    changes = ((low, mixed), (high, mixed), (flow, mixed + STEP_K))
    keys = ("controls.design_flow_from_rooms", "controls.design_flow_c", "controls.mixing_penalty_k")
    below, above, hotter = (simulate(vary(case, dict(zip(keys, (False, *values), strict=True)))) for values in changes)
    here = per_heat(year)
    return FlowWorth(
        sent,
        (per_heat(above) - per_heat(below)) / (high - low) / here,
        (per_heat(hotter) - here) / STEP_K / here,
        (above.bill.total - below.bill.total) / (high - low),
    )


def per_heat(year: Year) -> float:
    """Electricity of the machine for a kWh of its space heat [-]."""
    return year.run.totals.heat_pump_space / max(year.run.totals.heat_pump_space_heat, 1e-9)
