"""A year in; the share of the machine's heat that was made at lifts nobody tested, and a note of it, out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from simkit.assemble.machine import machine_map

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


def untested_notes(year: Year) -> Iterator[str]:
    """Yield how much of the heat was made there, and by what its COP is known; and what a cold point that lacks may."""
    missing = cold_points_kwh(year)
    if missing >= 1.0 and year.case.heat_pump is not None and year.case.heat_pump.point is not None:
        coldest, number = min(point.source_c for point in year.case.heat_pump.point), year.case.notation.number
        yield (
            f"No test point of the heat pump is colder than {number(coldest)} °C: below it the machine may take up to "
            f"a tenth more than is counted here, about {number(missing)} kWh in this year. Ask for its point at −7 °C."
        )
    share = untested_share(year)
    if year.case.heat_pump is not None and share >= LEAST_SAID:
        made = machine_map(year.case.heat_pump)
        yield (
            f"{year.case.notation.share(share)} of the heat pump's heat is made at lifts from source to flow outside "
            f"the {made.known_from_k:.0f} to {made.known_to_k:.0f} K that its COP is known at: below them COP rises as "
            "published regressions do and is held from 15 K down, above them its share of Carnot's is held."
        )
