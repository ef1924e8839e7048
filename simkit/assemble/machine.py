"""A heat pump as the user describes it in; its efficiency, capacity and least output by source and flow
temperature out.

Test points become second-law efficiencies (COP over Carnot at the point's own temperatures) on a grid of the tested
source and flow temperatures, run straight between points and held outside. Below the least tested lift COP rises as
part-load points there say, or else as published regressions do. A regression is taken as it is: at the greatest lift
that it was fitted on it gives the efficiency, and below it COP rises by its own parabola.

Capacity is held above the warmest tested source, and falls below the coldest one by 2 % of the capacity at 7 °C for
each kelvin (own; units give 60 to 70 % at −10 °C of what they give at 7 °C). The least output is a share of the
capacity: that of the points, run straight between them and held outside.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from simkit.arrays import Floats
from simkit.case.heating.heat_pump import BELOW_POINTS, REGRESSIONS, THROUGH_ONE, HeatPump, Point
from simkit.kept.memory import memo
from simkit.physics.heat_pump import (
    KNOTS,
    LEAST_LIFT_K,
    Lift,
    carnot,
    part_load_factor,
    worked_flow_c,
    working_cop,
)
from simkit.physics.hot_water import TINY

CAPACITY_FALL_PER_K = 0.02  # own, of the capacity at 7 °C source
CAPACITY_RISE_PER_K = 0.01  # own, above 7 °C, for regressions only
CAPACITY_FALL_PER_FLOW_K = 0.003  # own, above 35 °C flow, for regressions only
COLDER_STEP_K = 5.0  # own: rows below the coldest tested source
LEAST_FALL = 0.995  # own
HOT_SIDE_PER_K = 1.0 / 288.15  # COP rises so with the hot side, at 15 °C or above
RISE_MARGIN = 1.1  # own: a parabola is less steep at its end, by its value
# own: second-law efficiency of the regressions is level from here to 60 K, so that points at no lesser lift hold so far
LEVEL_FROM_K = 45.0
# Efficiency falls with the hot side alone there: COP comes back within 0.2 % between these flows (tested)
REGRESSION_FLOWS_C = (15.0, 25.0, 35.0, 55.0, 85.0)
REGRESSION_SOURCES_C = np.arange(-30.0, 36.0, 1.0)


@dataclass(frozen=True, eq=False)
class MachineMap:
    """What a machine does by source and flow temperature.

    Attributes
    ----------
    sources_c
        Source temperatures, rising, shape (sources,) [°C].
    flows_c
        Flow temperatures at the knots, rising (equal where there are fewer than five), shape (5,) [°C].
    efficiency
        Second-law efficiency, shape (sources, 5) [-].
    capacity_kw
        Most heat, shape (sources, 5) [kW].
    lift
        How COP goes with the lift.
    known_from_k, known_to_k
        Least and greatest lift that was tested, at full or part load, or that the regression was fitted on [K].
    part_load_gain
        Rise of COP for running at part load, by (1 − share) [-]; 0 where no part-load point is known.
    minimum_modulation
        Least output without stopping, by capacity at the same source and flow, shape (sources, 5) [-].
    notes
        What was assumed of it.
    """

    sources_c: Floats
    flows_c: Floats
    efficiency: Floats
    capacity_kw: Floats
    lift: Lift
    known_from_k: float
    known_to_k: float
    part_load_gain: float
    minimum_modulation: Floats
    notes: tuple[str, ...]

    def at(self, table: Floats, source_c: float, flow_c: float) -> float:
        """Read one of the tables at a source and a flow temperature, held outside."""
        row = [np.interp(source_c, self.sources_c, column) for column in table.T]
        return float(np.interp(flow_c, self.flows_c, row))

    def full_load_cop(self, point: Point) -> float:
        """COP at full load where a point was tested [-]."""
        worked = worked_flow_c(point.flow_c, point.source_c, self.lift.least_lift_k)
        efficiency = self.at(self.efficiency, point.source_c, worked)
        return working_cop(efficiency, point.flow_c, point.source_c, self.lift, 1.0, 1.0)


def rise_below(lift_k: float, *regressions: str) -> tuple[float, float]:
    """How COP rises below a lift, by the mean of published regressions: by `rise_per_k`·d + `rise_per_k2`·d² of it.

    From 28 to 15 K: by 0.31 (Staffell 2012) and 0.25 (Ruhnau 2019), where Carnot's would rise by 0.87.

    Parameters
    ----------
    lift_k
        The lift that d [K] is counted down from.
    regressions
        Their names.
    """
    a, b, c = np.array([REGRESSIONS[name][:3] for name in regressions]).T
    cop = a + b * lift_k + c * lift_k * lift_k
    return float(np.mean(-(b + 2.0 * c * lift_k) / cop)), float(np.mean(c / cop))


@memo
def machine_map(machine: HeatPump) -> MachineMap:
    """Lay the machine's points or regression on a grid."""
    if not machine.point:
        return _from_regression(str(machine.regression), float(machine.capacity_7_35_kw or 0.0), machine.minimum_share)
    if len(machine.point) == 1:
        return through_one_point(machine, THROUGH_ONE[machine.source][0])
    return _with_fan(machine, _from_points(machine))


def through_one_point(machine: HeatPump, regression: str) -> MachineMap:
    """Lay a machine of one test point on a grid: COP goes with the lift as a regression does, through that point."""
    (point,) = machine.point or ()
    share = point.minimum_kw / point.capacity_kw if point.minimum_kw is not None else machine.minimum_share
    laid, lift = _from_regression(regression, 1.0, share), point.flow_c - point.source_c
    efficiency = laid.efficiency * (point.cop / laid.full_load_cop(point))
    capacity = laid.capacity_kw * (point.capacity_kw / laid.at(laid.capacity_kw, point.source_c, point.flow_c))
    made = replace(laid, efficiency=efficiency, capacity_kw=capacity, known_from_k=lift, known_to_k=lift, notes=())
    return _with_fan(machine, made)


def _with_fan(machine: HeatPump, laid: MachineMap) -> MachineMap:
    """Count the source fan where the points leave it out; it comes last, for part-load points leave it out as well."""
    if machine.points_hold is None or "fan" in machine.points_hold or not machine.fan_share:
        return laid
    note = "The points leave out the source fan: its share was added to the electricity."
    return replace(laid, efficiency=laid.efficiency * (1.0 - machine.fan_share), notes=(*laid.notes, note))


def _from_regression(name: str, capacity_7_35_kw: float, minimum_share: float) -> MachineMap:
    a, b, c, least, fitted, field = REGRESSIONS[name]
    flows, sources = np.array(REGRESSION_FLOWS_C), REGRESSION_SOURCES_C
    # past what it was fitted on, and past the parabola's lowest point where COP would rise again, efficiency is held
    greatest = min(fitted, -b / (2.0 * c))
    cop = max(field * (a + b * greatest + c * greatest * greatest), 1.0)
    efficiency = np.broadcast_to(cop / carnot(flows, np.full(KNOTS, greatest)), (len(sources), KNOTS))
    lift = Lift(least, greatest, REGRESSION_FLOWS_C[0], *rise_below(greatest, name))
    warm = np.minimum(sources - 7.0, 13.0)
    by_source = 1.0 + np.where(warm < 0, CAPACITY_FALL_PER_K, CAPACITY_RISE_PER_K) * warm
    by_flow = 1.0 - CAPACITY_FALL_PER_FLOW_K * np.maximum(flows - 35.0, 0.0)
    capacity = capacity_7_35_kw * np.maximum(by_source, 0.2)[:, None] * by_flow[None, :]
    note = (
        f"The heat pump is drawn from the published regression {name}, "
        "full load and part load alike; its capacity away from the stated point is our own estimate."
    )
    shares = np.full(capacity.shape, minimum_share)
    return MachineMap(sources, flows, efficiency, capacity, lift, least, greatest, 0.0, shares, (note,))


def _from_points(machine: HeatPump) -> MachineMap:
    points = machine.point or ()
    full = [p for p in points if p.part_load is None or p.part_load >= 1.0]
    notes: list[str] = []
    if len(full) < 2:
        full = list(points)
        notes.append("All test points of the heat pump are part-load points: they are used as they stand.")
    flows = np.array(sorted({p.flow_c for p in full}))
    sources = np.array(sorted({p.source_c for p in full}))
    efficiency = _grid(full, sources, flows, [p.cop / p.carnot_cop for p in full])
    capacity = _grid(full, sources, flows, [p.capacity_kw for p in full])
    shares = _minimum_modulations(machine, full, sources, flows)
    colder, efficiency, capacity = _colder(sources, efficiency, capacity, flows)
    shares = np.vstack([np.repeat(shares[:1], len(colder) - len(sources), axis=0), shares])
    sources = colder
    knots = _knots(flows)
    if len(flows) > KNOTS:
        notes.append(f"The test points have {len(flows)} flow temperatures; five evenly chosen ones are used.")
    efficiency = np.array([np.interp(knots, flows, row) for row in efficiency])
    capacity = np.array([np.interp(knots, flows, row) for row in capacity])
    shares = np.array([np.interp(knots, flows, row) for row in shares])
    lifts, known = [p.flow_c - p.source_c for p in full], [p.flow_c - p.source_c for p in points]
    tested = min(*lifts, LEVEL_FROM_K)
    lift = Lift(min(LEAST_LIFT_K, *known), tested, float(knots[0]), *rise_below(tested, *BELOW_POINTS))
    laid = MachineMap(sources, knots, efficiency, capacity, lift, min(known), max(known), 0.0, shares, ())
    laid = _with_part_load(laid, [p for p in points if p not in full])
    least = _least_rise(laid)
    if laid.lift.rise_per_k < least:
        steeper = laid.lift._replace(rise_per_k=least, rise_per_k2=max(laid.lift.rise_per_k2, 0.5 * least**2))
        laid = replace(laid, lift=steeper)
    notes.append(
        "Part-load test points are used: COP rises as the machine runs below full load."
        if laid.part_load_gain
        else "Only full-load test points are known, which understate inverter machines by about a tenth in mild "
        "weather (common practice)."
    )
    return replace(laid, notes=tuple(notes))


def _minimum_modulations(machine: HeatPump, full: list[Point], sources: Floats, flows: Floats) -> Floats:
    """Least output by capacity on the grid of the points: theirs, or one share for all where they state none.

    Part-load points alone can't tell how it differs with source and flow: their mean holds everywhere.
    """
    if all(p.minimum_kw is not None for p in full):
        return _grid(full, sources, flows, [float(p.minimum_kw or 0.0) / p.capacity_kw for p in full])
    stated = [
        p.minimum_kw * (p.part_load or 1.0) / p.capacity_kw for p in machine.point or () if p.minimum_kw is not None
    ]
    return np.full((len(sources), len(flows)), float(np.mean(stated)) if stated else machine.minimum_share)


def _knots(flows: Floats) -> Floats:
    """Five flow temperatures: the tested ones, the last repeated; of more than five, evenly chosen ones."""
    if len(flows) <= KNOTS:
        return np.concatenate([flows, np.repeat(flows[-1:], KNOTS - len(flows))])
    return flows[np.linspace(0, len(flows) - 1, KNOTS).round().astype(int)]


def _grid(points: list[Point], sources: Floats, flows: Floats, values: list[float]) -> Floats:
    """Fill the grid: along the source at each tested flow first, then along the flow where a flow lacks points."""
    grid = np.full((len(sources), len(flows)), np.nan)
    for j, flow in enumerate(flows):
        known = sorted((p.source_c, v) for p, v in zip(points, values, strict=True) if p.flow_c == flow)
        x, y = np.array([k[0] for k in known]), np.array([k[1] for k in known])
        inside = (sources >= x[0]) & (sources <= x[-1])
        grid[inside, j] = np.interp(sources[inside], x, y)
    for i in range(len(sources)):
        known_here = ~np.isnan(grid[i])
        grid[i] = np.interp(flows, flows[known_here], grid[i, known_here])
    return grid


def _colder(sources: Floats, efficiency: Floats, capacity: Floats, flows: Floats) -> tuple[Floats, Floats, Floats]:
    """Add rows down to 30 K below the coldest tested source: efficiency held, capacity falling, never under a fifth.

    Carnot's coefficient falls less with the flow the colder the source is: efficiency that rises with the flow is held
    back where COP would rise with it.
    """
    at_7 = np.array([np.interp(7.0, sources, column) for column in capacity.T])
    lowest = np.maximum(capacity[0] - 30.0 * CAPACITY_FALL_PER_K * at_7, 0.2 * capacity[0])
    below = np.arange(30.0, 0.0, -COLDER_STEP_K)
    falling = LEAST_FALL ** np.arange(len(flows))  # of COP from flow to flow, so that it falls between them too
    held = []
    for kelvins in below:
        most = carnot(flows, flows - sources[0] + kelvins)
        held.append(np.minimum.accumulate(efficiency[0] * most / falling) * falling / most)
    return (
        np.concatenate([sources[0] - below, sources]),
        np.vstack([*held, efficiency]),
        np.vstack([*[capacity[0] + (lowest - capacity[0]) * kelvins / 30.0 for kelvins in below], capacity]),
    )


def _least_rise(laid: MachineMap) -> float:
    """Least rise of COP for each kelvin of smaller lift, at which it never falls with a falling flow [1/K].

    Efficiency that rises with the flow, and the hot side, both pull the other way where the lift is under the tested.
    """
    slopes = np.diff(laid.efficiency, axis=1) / (laid.efficiency[:, :-1] * np.maximum(np.diff(laid.flows_c), TINY))
    low = laid.flows_c[None, :-1] - laid.sources_c[:, None] < laid.lift.tested_lift_k
    low[-1] = True  # what is warmer is held at it
    return RISE_MARGIN * (max(0.0, float(slopes[low].max())) + HOT_SIDE_PER_K)


def _with_part_load(laid: MachineMap, points: list[Point]) -> MachineMap:
    """Take up the part-load points: the gain from those at tested lifts (or from all), and the lifts below from theirs.

    COP ratio − 1 = gain·(1 − share) through the former by least squares, never below 0. The rise of COP below the least
    tested lift then passes through the latter: the regressions' own rise, made larger or smaller, through those at one
    lift; a parabola that never falls through those at several, by least squares.
    """
    if not points:
        return laid
    lift, lifts = laid.lift, np.array([p.flow_c - p.source_c for p in points])
    below = np.maximum(lift.tested_lift_k - lifts, 0.0)
    shares = np.array([float(p.part_load or 1.0) for p in points])
    ratio = np.array([p.cop / laid.full_load_cop(p) for p in points])
    at_tested = below == 0.0 if np.any(below == 0.0) else np.full(len(points), True)
    less = 1.0 - shares[at_tested]
    gain = max(0.0, float(np.sum(less * (ratio[at_tested] - 1.0)) / np.sum(less * less)))
    laid = replace(laid, part_load_gain=gain)
    if not below.any():
        return laid
    least = [laid.at(laid.minimum_modulation, p.source_c, p.flow_c) for p in points]
    part = np.array([part_load_factor(s, m, gain) for s, m in zip(shares.tolist(), least, strict=True)])
    usual = below * (lift.rise_per_k + below * lift.rise_per_k2)
    risen = (1.0 + usual) * ratio / part - 1.0
    low = below > 0.0
    if np.ptp(below[low]) < TINY:
        stretch = max(0.0, float(np.mean(risen[low] / usual[low])))
        per_k, per_k2 = stretch * lift.rise_per_k, stretch * lift.rise_per_k2
    else:
        # scipy.optimize takes a fifth of a second to load: not for a machine without such points
        from scipy.optimize import nnls

        (per_k, per_k2), _ = nnls(np.stack([below[low], below[low] ** 2], axis=1), risen[low])
    return replace(laid, lift=lift._replace(rise_per_k=float(per_k), rise_per_k2=float(per_k2)))
