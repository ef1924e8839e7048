"""A home's machine over a year in; electricity that no way of running it can undercut, as straight pieces, out.

For the rooms: least electricity by heat rate in each step, over every flow temperature that can give that heat to a
room no cooler than comfort asks for. For hot water: least electricity for a kWh put into a layer of the cylinder.
Both are under-estimates on whole cells of flow and load, so that nothing the kernel can do lies below them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from simkit.arrays import Floats
from simkit.physics.emitters import excess_for_k, relative_output
from simkit.physics.heat_pump import KNOTS, MOST_SECOND_LAW, reference_cops
from simkit.physics.records import Home
from simkit.physics.running import lift_of

LOADS = np.linspace(0.0, 1.0, 81)  # of the most heat; the least output joins them
PIECES = 5
FLOW_GRID_K = 6.0
HOTTEST_C = 85.0
EMITTERS_MAY_ERR = 1.003  # the kernel's emitter law is within 0.2 % of the exact one
HALVINGS = 24  # to a millionth of the excess
MARGIN = 0.998  # between the flows of a grid


@dataclass(frozen=True, eq=False)
class Pieces:
    """A convex piecewise straight line from the origin in each step.

    Attributes
    ----------
    width_kw
        Length of each piece, (pieces, steps) [kW of heat].
    slope
        Electricity per heat along it, rising, (pieces, steps) [-].
    per_cool_k
        What a kelvin of missing warmth can save at most, (steps,) [kW/K].
    """

    width_kw: Floats
    slope: Floats
    per_cool_k: Floats


@dataclass(frozen=True, eq=False)
class Machine:
    """What a machine does in each step on a grid of flow temperatures.

    Attributes
    ----------
    flow_c
        The grid, (flows,) [°C].
    efficiency, capacity_kw, minimum_modulation
        Second-law efficiency with its scale, most heat, and least output by it, (flows, steps).
    source_c
        (steps,) [°C].
    """

    flow_c: Floats
    efficiency: Floats
    capacity_kw: Floats
    minimum_modulation: Floats
    source_c: Floats
    home: Home

    @classmethod
    def of(cls, home: Home, series: Mapping[str, Floats]) -> Machine:
        """Lay the kernel's knots out on a grid that holds them; those beyond the last span repeat it."""
        spans = np.array([home.per_span_0, home.per_span_1, home.per_span_2, home.per_span_3])
        wide = np.divide(1.0, spans, out=np.zeros(KNOTS - 1), where=spans > 0)
        knots = np.cumsum([home.knot_0_c, *wide])
        grid = np.unique(np.concatenate([knots, np.arange(15.0, HOTTEST_C + 1.0, FLOW_GRID_K)]))
        known, at = np.unique(knots, return_index=True)
        share = np.array([np.interp(grid, known, np.eye(len(known))[k]) for k in range(len(known))]).T
        efficiency = share @ np.array([series[f"efficiency_{k}"] for k in at]) * home.efficiency_scale
        capacity = share @ np.array([series[f"capacity_{k}_kw"] for k in at])
        least = share @ np.array([series[f"minimum_modulation_{k}"] for k in at])
        return cls(grid, efficiency, capacity, least, series["source_c"], home)

    @property
    def most_kw(self) -> Floats:
        """Most heat at any flow, (steps,) [kW]."""
        return np.asarray(self.capacity_kw.max(axis=0))

    def inverse_reference(self, flow_c: Floats | float) -> Floats:
        """Electricity for a unit of heat at efficiency 1 and this flow, (steps,) [-]; rises with the flow."""
        return 1.0 / reference_cops(flow_c, self.source_c, lift_of(self.home))

    def part_load(self, share: Floats, minimum_modulation: Floats) -> Floats:
        """Factor on efficiency of a load share, falling in both [-]."""
        held = np.clip(np.maximum(share, minimum_modulation), 0.0, 1.0)
        return 1.0 + self.home.part_load_gain * (1.0 - held)

    def cycling(self, share: Floats, minimum_modulation: Floats) -> Floats:
        """Factor on efficiency below the least output, rising in the one and falling in the other [-]."""
        ratio = np.clip(share / minimum_modulation, 1e-6, 1.0)
        return np.asarray(ratio / (self.home.cycling_degradation * ratio + 1.0 - self.home.cycling_degradation))


def least_for_rooms(machine: Machine, room_c: Floats) -> Pieces:
    """Under-estimate the electricity for the rooms by the mean heat of a step.

    Parameters
    ----------
    machine
        What it does.
    room_c
        Temperature that the room does not fall below, (steps,) [°C].

    Returns
    -------
    Pieces
        Valid for any flow that gives the heat, any share of the step in which it is given, back-up heater left out.
    """
    most = np.maximum(machine.most_kw, 1e-6)
    lowest = machine.minimum_modulation.min(axis=0)
    shares = np.unique(np.array([*LOADS, lowest.min(), lowest.max()]))
    cells = len(shares) - 1
    each = np.array([_least_in_cell(machine, room_c, shares[k] * most, shares[k + 1] * most) for k in range(cells)])
    least = np.minimum.accumulate(each[::-1], axis=0)[::-1]  # heat may be given faster in less time
    heat = shares[1:, None] * most
    width, slope = _hull(heat, heat * least)
    held = np.maximum(np.minimum(machine.efficiency, MOST_SECOND_LAW), 1e-3)
    by_flow = np.array([machine.inverse_reference(float(flow)) for flow in machine.flow_c]) / held
    steepest = (np.diff(by_flow, axis=0) / np.diff(machine.flow_c)[:, None]).max(axis=0)
    return Pieces(width, slope, np.asarray(2.0 * most * np.maximum(steepest, 0.0)))


def _least_in_cell(machine: Machine, room_c: Floats, low_kw: Floats, high_kw: Floats) -> Floats:
    """Least electricity per heat while heat is given at a rate between two bounds, its pump included, (steps,) [-]."""
    home, grid = machine.home, machine.flow_c
    excess, steady = _least_excess_k(home, low_kw)
    flow = np.maximum(room_c + excess + 0.5 * home.per_water_kw_per_k * steady, home.floor_c) + home.mixing_penalty_k
    flow = np.minimum(flow, home.highest_flow_c)
    best = np.full(len(room_c), np.inf)
    for j in range(len(grid)):
        last = j == len(grid) - 1
        top = grid[j] if last else grid[j + 1]
        inside = flow <= top + (1e9 if last else 0.0)
        at = np.maximum(flow, grid[j])
        span = max(float(top - grid[j]), 1e-9)
        share = np.clip((at - grid[j]) / span, 0.0, 1.0)
        following = machine.efficiency[j if last else j + 1]
        upper = np.maximum(machine.efficiency[j] + share * (following - machine.efficiency[j]), following)
        capacity = machine.capacity_kw[[j] if last else [j, j + 1]]
        low_share = low_kw / np.maximum(capacity.max(axis=0), 1e-9)
        high_share = high_kw / np.maximum(capacity.min(axis=0), 1e-9)
        least = machine.minimum_modulation[[j] if last else [j, j + 1]].min(axis=0)
        running = np.minimum(upper * machine.part_load(low_share, least), MOST_SECOND_LAW)
        held = running * machine.cycling(high_share, least)
        best = np.where(inside, np.minimum(best, machine.inverse_reference(at) / np.maximum(held, 1e-6)), best)
    # the pump runs for as long as heat is given
    return best + home.pump_kw / np.maximum(high_kw, 1e-9)


def _least_excess_k(home: Home, heat_kw: Floats) -> tuple[Floats, Floats]:
    """Least mean water over the room at which emitters take this heat [K], and what they pass on for good there [kW].

    Cold ones take more than they pass on: what warms their store over the step, from nothing at the most.
    """
    most = excess_for_k(np.maximum(heat_kw * home.per_rated_kw / EMITTERS_MAY_ERR, 0.0), home.exponent)
    if home.emitter_fill_kw_per_k <= 0.0:
        return most, heat_kw
    low, high = np.zeros_like(most), most
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        steady = EMITTERS_MAY_ERR * relative_output(middle, home.exponent) / home.per_rated_kw
        enough = steady + home.emitter_fill_kw_per_k * middle >= heat_kw
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
    return low, relative_output(low, home.exponent) / home.per_rated_kw


def _hull(heat: Floats, electric: Floats) -> tuple[Floats, Floats]:
    """Lower convex hull of the origin and these points in each step, as at most `PIECES` pieces, (pieces, steps) each.

    A hull with more pieces loses the inner ones: the lines kept still lie under it.
    """
    steps = heat.shape[1]
    width, slope = np.zeros((PIECES, steps)), np.zeros((PIECES, steps))
    for t in range(steps):
        lines = _lower_lines([0.0, *heat[:, t].tolist()], [0.0, *electric[:, t].tolist()])
        if len(lines) > PIECES:
            lines = [lines[round(k * (len(lines) - 1) / (PIECES - 1))] for k in range(PIECES)]
        edges = [0.0]
        for (m0, b0), (m1, b1) in pairwise(lines):
            edges.append((b0 - b1) / max(m1 - m0, 1e-12))
        edges.append(float(heat[-1, t]))
        for k, (m, _) in enumerate(lines):
            width[k, t], slope[k, t] = max(edges[k + 1] - edges[k], 0.0), m
    return width, slope


def _lower_lines(x: list[float], y: list[float]) -> list[tuple[float, float]]:
    """Slope and intercept of each side of the lower convex hull of points with rising x."""
    kept: list[tuple[float, float]] = []
    for px, py in zip(x, y, strict=True):
        while len(kept) >= 2:
            (ax, ay), (bx, by) = kept[-2:]
            if (bx - ax) * (py - ay) > (by - ay) * (px - ax):
                break
            kept.pop()
        kept.append((px, py))
    lines = []
    for (x0, y0), (x1, y1) in pairwise(kept):
        m = (y1 - y0) / max(x1 - x0, 1e-12)
        lines.append((m, y0 - m * x0))
    return lines


def least_for_water(machine: Machine, edges_c: Floats) -> Floats:
    """Under-estimate the electricity for a kWh put into each layer of the cylinder, (layers, steps) [-].

    Parameters
    ----------
    edges_c
        Lower edges of the layers, rising, (layers,) [°C].

    Notes
    -----
    The coil is fed at the machine's full capacity until it limits, then at the hottest flow: the flow is at least the
    water's temperature, the capacity's fall across the coil and half of the water's difference. A straight line under
    the electricity by flow makes a mean over a charge as good as its parts.
    """
    home = machine.home
    hottest = home.water_highest_flow_c
    least_kw = machine.capacity_kw.min(axis=0)
    best_part = 1.0 + home.part_load_gain * (1.0 - machine.minimum_modulation.min(axis=0))
    coolest = np.minimum(edges_c[0] + least_kw * home.per_coil_kw_per_k + 0.5 * home.water_difference_k, hottest)
    grid = coolest + np.linspace(0.0, 1.0, 9)[:, None] * (hottest - coolest)
    held = np.array([_efficiency_at(machine, row) for row in grid])
    each = np.array([machine.inverse_reference(row) for row in grid]) / np.minimum(held * best_part, MOST_SECOND_LAW)
    slope = np.maximum(each[-1] - each[0], 0.0) / np.maximum(hottest - coolest, 1e-9)
    start = (each - slope * (grid - coolest)).min(axis=0) * MARGIN
    pumped = home.pump_kw / np.maximum(machine.most_kw, 1e-6)
    found = []
    for edge in edges_c:
        flow = np.minimum(edge + least_kw * home.per_coil_kw_per_k + 0.5 * home.water_difference_k, hottest)
        found.append(start + MARGIN * slope * (flow - coolest) + pumped)
    return np.array(found)


def _efficiency_at(machine: Machine, flow_c: Floats) -> Floats:
    """Second-law efficiency at a flow of each step's own, (steps,) [-]."""
    place = np.clip(np.searchsorted(machine.flow_c, flow_c) - 1, 0, len(machine.flow_c) - 2)
    low, high = machine.flow_c[place], machine.flow_c[place + 1]
    share = np.clip((flow_c - low) / (high - low), 0.0, 1.0)
    steps = np.arange(len(flow_c))
    found = machine.efficiency[place, steps] * (1.0 - share) + machine.efficiency[place + 1, steps] * share
    return np.asarray(np.maximum(found, 1e-6))
