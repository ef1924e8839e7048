"""A year in; the share of the machine's heat that was made at lifts nobody tested, and a note of it, out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.machine import MachineMap, machine_map, through_one_point
from simkit.case.heating.heat_pump import THROUGH_ONE, HeatPump
from simkit.physics.heat_pump import reference_cops

if TYPE_CHECKING:
    from simkit.year.year import Year

TESTED_COLD_C, COLD_TOO_GOOD = -7.0, 0.1  # EN 14511 rates air machines at −7 °C too; own: by how much they are worse
LEAST_SAID = 0.005  # own: less of the heat rounds to nothing


def untested_share(year: Year) -> float:
    """Share of the heat pump's heat, rooms and water, made outside the lifts of its points or regression [-]."""
    machine = year.case.heat_pump
    if machine is None or year.case.heat_source == "boiler":
        return 0.0
    made, source = machine_map(machine), year.inputs.series["source_c"]
    flows = (year.flow("flow_c") + year.case.controls.mixing_penalty_k, year.flow("water_flow_c"))
    heats = (year.flow("heat_pump_space_heat"), year.flow("heat_pump_water_heat"))
    outside = [(flow - source < made.known_from_k) | (flow - source > made.known_to_k) for flow in flows]
    whole = float(np.sum(heats))
    return float(sum(heat[out].sum() for heat, out in zip(heats, outside, strict=True))) / whole if whole > 0 else 0.0


def cold_points_kwh(year: Year) -> float:
    """What a year's electricity may be more because no point was tested at −7 °C [kWh]; 0 where one was.

    Below the coldest tested air a machine is taken to keep its share of Carnot's coefficient. Machines that were
    tested at −7 °C too take about a tenth more there than their warmer points say (own); between, in proportion.
    """
    machine = year.case.heat_pump
    if machine is None or machine.point is None or machine.source != "air" or year.case.heat_source == "boiler":
        return 0.0
    coldest = min(point.source_c for point in machine.point)
    if coldest <= TESTED_COLD_C:
        return 0.0
    colder = np.clip((coldest - year.inputs.series["source_c"]) / (coldest - TESTED_COLD_C), 0.0, 1.0)
    used = year.flow("heat_pump_space") + year.flow("heat_pump_water")
    return float(used @ colder) * COLD_TOO_GOOD * year.axis.hours


def other_law_kwh(year: Year) -> float:
    """What a machine of one test point would take more by the other published regression through it [kWh]; else 0."""
    machine = year.case.heat_pump
    if machine is None or machine.point is None or len(machine.point) != 1 or year.case.heat_source == "boiler":
        return 0.0
    source, more = year.inputs.series["source_c"], 0.0
    flows = (year.flow("flow_c") + year.case.controls.mixing_penalty_k, year.flow("water_flow_c"))
    used = (year.flow("heat_pump_space"), year.flow("heat_pump_water"))
    laid = [through_one_point(machine, name) for name in THROUGH_ONE[machine.source]]
    for flow, kw in zip(flows, used, strict=True):
        ours, other = (_cops(made, flow, source) for made in laid)
        more += float(kw @ (ours / other - 1.0)) * year.axis.hours
    return more


def _cops(made: MachineMap, flow_c: Floats, source_c: Floats) -> Floats:
    """COP of a machine drawn by a regression, whose efficiency goes with the flow alone, (steps,) [-]."""
    worked = np.maximum(flow_c, source_c + made.lift.least_lift_k)
    return np.interp(worked, made.flows_c, made.efficiency[0]) * reference_cops(flow_c, source_c, made.lift)


def _one_point(year: Year, machine: HeatPump) -> Iterator[str]:
    """Yield what is taken of a machine of which one point is known, and how much that may be off."""
    taken, other = THROUGH_ONE[machine.source]
    more, notation = other_law_kwh(year), year.case.notation
    yield (
        f"Only one test point of the heat pump is known: away from it COP goes as in the published regression {taken}; "
        f"by {other} this year would take {notation.number(abs(more))} kWh {'more' if more > 0.0 else 'less'}, and "
        "machines differ by more than the two. Ask for its points at −7 °C and at a flow of 55 °C."
    )


def untested_notes(year: Year) -> Iterator[str]:
    """Yield how much of the heat was made there, and by what its COP is known; and what a cold point that lacks may."""
    missing, machine = cold_points_kwh(year), year.case.heat_pump
    if machine is None:
        return
    if missing >= 1.0 and machine.point is not None:
        coldest, number = min(point.source_c for point in machine.point), year.case.notation.number
        yield (
            f"No test point of the heat pump is colder than {number(coldest)} °C: below it the machine may take up to "
            f"a tenth more than is counted here, about {number(missing)} kWh in this year. Ask for its point at −7 °C."
        )
    if machine.point is not None and len(machine.point) == 1:
        yield from _one_point(year, machine)
        return
    share = untested_share(year)
    if share >= LEAST_SAID:
        made = machine_map(machine)
        yield (
            f"{year.case.notation.share(share)} of the heat pump's heat is made at lifts from source to flow outside "
            f"the {made.known_from_k:.0f} to {made.known_to_k:.0f} K that its COP is known at: below them COP rises as "
            "published regressions do and is held from 15 K down, above them its share of Carnot's is held."
        )
