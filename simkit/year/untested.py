"""A year in; the share of the machine's heat that was made at lifts nobody tested, and a note of it, out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from simkit.assemble.machine import machine_map

if TYPE_CHECKING:
    from simkit.year.year import Year

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


def untested_notes(year: Year) -> Iterator[str]:
    """Yield how much of the heat was made there, and by what its COP is known."""
    share = untested_share(year)
    if year.case.heat_pump is not None and share >= LEAST_SAID:
        made = machine_map(year.case.heat_pump)
        yield (
            f"{year.case.notation.share(share)} of the heat pump's heat is made at lifts from source to flow outside "
            f"the {made.known_from_k:.0f} to {made.known_to_k:.0f} K that its COP is known at: below them COP rises as "
            "published regressions do and is held from 15 K down, above them its share of Carnot's is held."
        )
