"""A heat pump as the user describes it in; its efficiency, capacity and least output by source and flow
temperature out.

Test points become second-law efficiencies (COP over Carnot at the point's own temperatures) on a grid of the tested
source and flow temperatures, run straight between points and held outside. A published regression is laid on a grid of
its own. Capacity is held above the warmest tested source, and falls below the coldest one by 2 % of the capacity at
7 °C for each kelvin (own; units give 60 to 70 % at −10 °C of what they give at 7 °C). The least output is a share of
the capacity: that of the points, run straight between them and held outside.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from simkit.arrays import Floats
from simkit.case.heating.heat_pump import HeatPump, Point
from simkit.kernel.prepare import defrost
from simkit.physics.heat_pump import KNOTS, LEAST_LIFT_K, carnot
from simkit.weather.record import Weather

CAPACITY_FALL_PER_K = 0.02  # own, of the capacity at 7 °C source
CAPACITY_RISE_PER_K = 0.01  # own, above 7 °C, for regressions only
CAPACITY_FALL_PER_FLOW_K = 0.003  # own, above 35 °C flow, for regressions only
COLDER_STEP_K = 5.0  # own: rows below the coldest tested source
LEAST_FALL = 0.995  # own
DEFROST_DEPTH = 0.16  # own: 3.5 to 6 % of a season in damp maritime climates
# COP = a + b·ΔT + c·ΔT², least and greatest lift it was fitted on [K], factor for field conditions
REGRESSIONS = {
    # Staffell, Brett, Brandon, Hawkes 2012, Energy Environ. Sci. 5, 9291, doi 10.1039/C2EE22653G
    "staffell2012_air": (6.81, -0.121, 0.000630, 15.0, 60.0, 1.0),
    "staffell2012_ground": (8.77, -0.150, 0.000734, 20.0, 60.0, 1.0),
    # Ruhnau, Hirth, Praktiknjo 2019, Scientific Data 6:189, doi 10.1038/s41597-019-0199-y: the authors' revised file,
    # lift at least 15 K, × 0.85 for field conditions
    "ruhnau2019_air": (6.08, -0.0941, 0.000464, 15.0, 100.0, 0.85),
    "ruhnau2019_ground": (10.29, -0.2084, 0.001322, 15.0, 75.0, 0.85),
    "ruhnau2019_groundwater": (9.99, -0.2049, 0.001249, 15.0, 75.0, 0.85),
}
# Five flows between which efficiency is nearest to straight: the curves of REGRESSIONS come back within 3.5 %, and
# within 1 % on the mean, at lifts from 20 K up (tested)
REGRESSION_FLOWS_C = (25.0, 30.0, 35.0, 46.0, 60.0)
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
    least_lift_k
        Lift below which COP rises no further [K].
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
    least_lift_k: float
    part_load_gain: float
    minimum_modulation: Floats
    notes: tuple[str, ...]


@lru_cache(maxsize=256)
def machine_map(machine: HeatPump) -> MachineMap:
    """Lay the machine's points or regression on a grid."""
    return _from_points(machine) if machine.point else _from_regression(machine)


def _from_regression(machine: HeatPump) -> MachineMap:
    a, b, c, least, greatest, field = REGRESSIONS[str(machine.regression)]
    flows, sources = np.array(REGRESSION_FLOWS_C), REGRESSION_SOURCES_C
    # past what it was fitted on, and past the parabola's lowest point where COP would rise again, efficiency is held
    lift = np.clip(flows[None, :] - sources[:, None], least, min(greatest, -b / (2.0 * c)))
    cop = np.maximum(field * (a + b * lift + c * lift * lift), 1.0)
    warm = np.minimum(sources - 7.0, 13.0)
    by_source = 1.0 + np.where(warm < 0, CAPACITY_FALL_PER_K, CAPACITY_RISE_PER_K) * warm
    by_flow = 1.0 - CAPACITY_FALL_PER_FLOW_K * np.maximum(flows - 35.0, 0.0)
    capacity = float(machine.capacity_7_35_kw or 0.0) * np.maximum(by_source, 0.2)[:, None] * by_flow[None, :]
    note = (
        f"The heat pump is drawn from the published regression {machine.regression}, "
        "full load and part load alike; its capacity away from the stated point is our own estimate."
    )
    shares = np.full(capacity.shape, machine.minimum_share)
    return MachineMap(sources, flows, cop / carnot(flows[None, :], lift), capacity, least, 0.0, shares, (note,))


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
    # the gain before the fan is added: part-load points leave it out as well
    gain = _part_load_gain(points, sources, knots, efficiency) if len(full) < len(points) else 0.0
    if machine.points_hold is not None and "fan" not in machine.points_hold and machine.fan_share:
        efficiency = efficiency * (1.0 - machine.fan_share)
        notes.append("The points leave out the source fan: its share was added to the electricity.")
    least = min(LEAST_LIFT_K, *(p.flow_c - p.source_c for p in full))
    notes.append(
        "Part-load test points are used: COP rises as the machine runs below full load."
        if gain
        else "Only full-load test points are known, which understate inverter machines by about a tenth in mild "
        "weather (common practice)."
    )
    return MachineMap(sources, knots, efficiency, capacity, least, gain, shares, tuple(notes))


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


def _part_load_gain(points: tuple[Point, ...], sources: Floats, knots: Floats, efficiency: Floats) -> float:
    """Fit COP ratio − 1 = gain·(1 − share) through the part-load points by least squares, never below 0."""
    above, below = 0.0, 0.0
    for p in points:
        if p.part_load is None or p.part_load >= 1.0:
            continue
        rows = np.array([np.interp(p.source_c, sources, column) for column in efficiency.T])
        ratio = (p.cop / p.carnot_cop) / float(np.interp(p.flow_c, knots, rows))
        above += (1.0 - p.part_load) * (ratio - 1.0)
        below += (1.0 - p.part_load) ** 2
    return max(0.0, above / below) if below else 0.0


@lru_cache(maxsize=64)
def machine_series(machine: HeatPump, weather: Weather) -> dict[str, Floats]:
    """Efficiency and capacity at the five knots, and the source temperature, in each step of this weather.

    Returns
    -------
    dict
        ``source_c`` [°C], ``efficiency_0`` to ``efficiency_4`` [-], ``capacity_0_kw`` to ``capacity_4_kw`` [kW],
        ``minimum_modulation_0`` to ``minimum_modulation_4`` [-], (steps,) each.
    """
    made = machine_map(machine)
    outdoor = weather.frame["outdoor_c"].to_numpy()
    source = outdoor if machine.source == "air" else _other_source(machine, outdoor)
    factor = np.ones(len(outdoor))
    if machine.source == "air" and machine.points_hold is not None and "defrost" not in machine.points_hold:
        factor = defrost(outdoor, weather.frame["humidity"].to_numpy(), DEFROST_DEPTH)
    runs = outdoor >= machine.lowest_outdoor_c if machine.source == "air" else np.ones(len(outdoor), dtype=bool)
    series: dict[str, Floats] = {"source_c": np.ascontiguousarray(source)}
    for k in range(KNOTS):
        series[f"efficiency_{k}"] = np.interp(source, made.sources_c, made.efficiency[:, k]) * factor
        series[f"capacity_{k}_kw"] = np.interp(source, made.sources_c, made.capacity_kw[:, k]) * factor * runs
        series[f"minimum_modulation_{k}"] = np.interp(source, made.sources_c, made.minimum_modulation[:, k])
    return series


def _other_source(machine: HeatPump, outdoor: Floats) -> Floats:
    """Ground or constant source: the stated mean; ground follows a fifth of the outdoor year, smoothed over 60 days."""
    mean = float(machine.source_c or 0.0)
    if machine.source == "constant":
        return np.full(len(outdoor), mean)
    window = max(1, round(len(outdoor) * 60 / 365))
    wrapped = np.concatenate([outdoor[-window:], outdoor])
    smooth = np.convolve(wrapped, np.full(window, 1.0 / window), mode="valid")[: len(outdoor)]
    return mean + 0.2 * (smooth - outdoor.mean())
