"""A machine, one step's weather, flow and load in; what it can make and what it takes for it, or a boiler, out.

The five values that a step holds for efficiency, capacity and least output are read here at a flow temperature, and
joined with what the home's constants say of part load, cycling and installation.
"""

from __future__ import annotations

from typing import NamedTuple

from simkit.physics.heat_pump import (
    Lift,
    electricity_per_heat,
    held_efficiency,
    part_load_factor,
    worked_flow_c,
)
from simkit.physics.law import law, pick
from simkit.physics.records import Home, Now


class Places(NamedTuple):
    """Where a flow temperature lies between the knots: how far along each of the four segments [0 to 1]."""

    p0: float
    p1: float
    p2: float
    p3: float


@law
def along_segment(flow_c: float, start_c: float, per_span: float) -> float:
    """How far `flow_c` is along a segment from `start_c` on, `per_span` = 1 / length (0 where it has none) [-].

    Parameters
    ----------
    flow_c
        Flow temperature [°C].
    start_c
        Where the segment begins [°C].
    per_span
        1 / its length, 0 where it has none [1/K].
    """
    return max(0.0, min((flow_c - start_c) * per_span, 1.0))


@law
def between_knots(p: Places, v0: float, v1: float, v2: float, v3: float, v4: float) -> float:
    """Piecewise straight line through the knots' values, held outside; no index and no branch in the lane loop.

    Parameters
    ----------
    p
        Place of the flow on each segment.
    v0
        Value at the first knot.
    v1
        At the second.
    v2
        At the third.
    v3
        At the fourth.
    v4
        At the fifth.
    """
    return v0 + p.p0 * (v1 - v0) + p.p1 * (v2 - v1) + p.p2 * (v3 - v2) + p.p3 * (v4 - v3)


@law
def places_at(home: Home, flow_c: float) -> Places:
    """Where this flow lies between the machine's knots."""
    return Places(
        along_segment(flow_c, home.knot_0_c, home.per_span_0),
        along_segment(flow_c, home.knot_1_c, home.per_span_1),
        along_segment(flow_c, home.knot_2_c, home.per_span_2),
        along_segment(flow_c, home.knot_3_c, home.per_span_3),
    )


@law
def lift_of(home: Home) -> Lift:
    """How this home's COP goes with the lift."""
    return Lift(home.least_lift_k, home.tested_lift_k, home.knot_0_c, home.rise_per_k, home.rise_per_k2)


@law
def efficiency_at(now: Now, places: Places) -> float:
    """Second-law efficiency of the machine in this step [-]."""
    return between_knots(
        places, now.efficiency_0, now.efficiency_1, now.efficiency_2, now.efficiency_3, now.efficiency_4
    )


@law
def capacity_at(now: Now, places: Places) -> float:
    """Most heat the machine makes in this step [kW]."""
    return between_knots(
        places, now.capacity_0_kw, now.capacity_1_kw, now.capacity_2_kw, now.capacity_3_kw, now.capacity_4_kw
    )


@law
def minimum_modulation_at(now: Now, places: Places) -> float:
    """Least heat the machine gives without stopping in this step, by its capacity at the same flow [-]."""
    return between_knots(
        places,
        now.minimum_modulation_0,
        now.minimum_modulation_1,
        now.minimum_modulation_2,
        now.minimum_modulation_3,
        now.minimum_modulation_4,
    )


@law
def electricity_at(home: Home, now: Now, flow_c: float, load_share: float, minimum_modulation: float) -> float:
    """Electricity for one unit of heat at the flow that was commanded [-], part load and cycling included.

    `load_share` is the load while it runs, `minimum_modulation` the least output, over the capacity at this flow [-].
    """
    part = part_load_factor(load_share, minimum_modulation, home.part_load_gain)
    places = places_at(home, worked_flow_c(flow_c, now.source_c, home.least_lift_k))
    held = held_efficiency(efficiency_at(now, places), home.efficiency_scale, part)
    return electricity_per_heat(
        held, flow_c, now.source_c, lift_of(home), load_share, minimum_modulation, home.cycling_degradation
    )


@law
def fuel_kw(space_kw: float, water_kw: float, per_space_efficiency: float, per_water_efficiency: float) -> float:
    """Fuel burnt, gross calorific value [kW]; efficiencies given as 1 / η.

    Parameters
    ----------
    space_kw
        Heat for the rooms [kW].
    water_kw
        Heat for hot water [kW].
    per_space_efficiency
        1 / gross efficiency for the rooms [-].
    per_water_efficiency
        1 / gross efficiency for hot water [-].
    """
    return space_kw * per_space_efficiency + water_kw * per_water_efficiency


@law
def boiler_cheaper(electricity_price: float, cop: float, boiler_heat_price: float) -> float:
    """1 where a kWh of heat from fuel costs less than one from the heat pump at this COP, else 0 (hybrid by price).

    Parameters
    ----------
    electricity_price
        Price of electricity [currency/kWh].
    cop
        COP of the heat pump in the step [-].
    boiler_heat_price
        Price of the boiler's heat, its efficiency counted [currency/kWh].
    """
    return pick(boiler_heat_price * cop < electricity_price, 1.0, 0.0)
