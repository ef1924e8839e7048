"""Homes in, years out: packs, runs each home in, runs the year, and spreads blocks over threads.

A year is to end as it began, so that nothing is paid for by what was stored before. The last days of the year, run
before it, bring most homes there; a home whose year still ends otherwise is run again from where it ended.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

import numpy as np

from simkit.arrays import Floats, Ints
from simkit.kernel.balance import constants_of, say_unclosed
from simkit.kernel.inputs import HomeInputs, Packed, pack, pack_courses, pack_one
from simkit.kernel.kernel import EXTREMES, LANES, many_homes, one_home, reset_extremes
from simkit.physics.records import Flows, Levels, State

RUN_IN_DAYS = 21  # what a year that heats to a set-point forgets; own: see tests/bench/README.md for how many homes
SETTLED = 1e-8  # K, kWh, h
CARRIED = [place for place, name in enumerate(State._fields) if name not in EXTREMES]
COLUMNS = {name: place for place, name in enumerate(Flows._fields + Levels._fields)}


@dataclass(frozen=True, eq=False)
class HomeYear:
    """One home's year with every step recorded.

    Attributes
    ----------
    trace
        Shape (steps, flows + levels): means over each step, columns in the order of `Flows` and then `Levels`. A row
        a step: written so, a year takes a sixth less than with each flow in one piece.
    totals
        Sums over the year times the step's hours [kWh, K·h, h].
    before, after
        State at the start (after the run-in) and at the end of the year.
    """

    trace: np.ndarray
    totals: Flows
    before: State
    after: State

    def flow(self, name: str) -> np.ndarray:
        """One flow (or level) in each step, (steps,): a view."""
        return self.trace[:, COLUMNS[name]]


@dataclass(frozen=True, eq=False)
class ManyYears:
    """Many homes' years: totals and end states by home, import and export by step and home.

    Attributes
    ----------
    totals
        `Flows` of arrays, (homes,) each: as `HomeYear.totals`.
    before, after
        `State` of arrays, (homes,) each.
    steps
        By name of the flow, those that were recorded, (steps, homes) [kW]: import and export.
    """

    totals: Any
    before: Any
    after: Any
    steps: Mapping[str, np.ndarray]

    @classmethod
    def of(cls, years: Sequence[HomeYear], flows: Sequence[str]) -> ManyYears:
        """Put years that were run one by one side by side, and keep these of their flows."""
        totals, before, after = (
            kind(*np.transpose([getattr(year, name) for year in years]))
            for kind, name in ((Flows, "totals"), (State, "before"), (State, "after"))
        )
        return cls(totals, before, after, {name: np.stack([y.flow(name) for y in years], axis=1) for name in flows})

    def flow(self, name: str) -> np.ndarray:
        """One of the recorded flows in each step of each home, (steps, homes) [kW]: a view."""
        return self.steps[name]


def run_home(home: HomeInputs, steps: int, hours: float, *, run_in: bool = True) -> HomeYear:
    """Simulate one home, recording every step; run in before, unless `run_in` is False (`run_homes` says how)."""
    table, totals = pack_one(home, steps), np.zeros(len(Flows._fields))
    constants, state = np.array(home.home, dtype=np.float64), np.array(home.start, dtype=np.float64)
    trace = np.empty((steps, len(COLUMNS)))
    begin = _run_in_from(steps, hours) if run_in else 0
    if run_in:
        one_home()(table, constants, state, totals, trace, hours, steps, begin, False)
    for settled in (begin == 0, True):
        reset_extremes(state)
        before = state.copy()
        totals[:] = 0.0
        one_home()(table, constants, state, totals, trace, hours, steps, 0, True)
        if settled or _as_it_began(before, state):
            break
    made = HomeYear(trace, Flows(*(totals * hours).tolist()), State(*before.tolist()), State(*state.tolist()))
    say_unclosed(home.home, made.totals, made.before, made.after)
    return made


def run_homes(
    homes: Sequence[HomeInputs], steps: int, hours: float, *, threads: int | None = None, run_in: bool = True
) -> ManyYears:
    """Simulate many homes on lanes, blocks spread over threads; results do not depend on how they were grouped.

    Parameters
    ----------
    homes, steps, hours
        Inputs of each home; steps of the year, and their length [h].
    threads
        How many work at once; all cores if None.
    run_in
        Whether the last `RUN_IN_DAYS` of the year are run before it. Homes that don't end their year in the state in
        which they began it are run once more, from the end: after a year and three weeks of run-in.
    """
    packed = pack(homes, steps)
    state, totals = packed.state.copy(), np.zeros((len(Flows._fields), len(homes)))
    before, grid = np.empty_like(state), np.empty((2, len(homes), steps))
    begin = _run_in_from(steps, hours) if run_in else 0

    def run(lanes: Ints, first: int, keep: bool) -> None:
        _on_lanes(packed, lanes, packed.table, state, totals, grid, hours=hours, first=first, keep=keep)

    def year(lanes: Ints) -> None:
        of_lanes = state[:, lanes]
        reset_extremes(of_lanes)
        state[:, lanes] = before[:, lanes] = of_lanes
        run(lanes, 0, True)

    def run_in_and_year(lanes: Ints) -> None:
        run(lanes, begin, False)
        year(lanes)

    _spread(run_in_and_year if run_in else year, packed.order, threads)
    if begin:
        _spread(year, packed.order[~_as_it_began(before, state)[packed.order]], threads)
    made = ManyYears(
        Flows(*totals * hours), State(*before), State(*state), {"grid_import": grid[0].T, "grid_export": grid[1].T}
    )
    say_unclosed(constants_of([one.home for one in homes]), made.totals, made.before, made.after)
    return made


def run_courses(home: HomeInputs, courses: Sequence[dict[str, np.ndarray]], steps: int, hours: float) -> ManyYears:
    """Simulate one home under many courses of some of its series, from its start on, without a run-in, on one thread.

    Parameters
    ----------
    home, courses, steps
        As for `simkit.kernel.inputs.pack_courses`.
    hours
        Length of a step [h].
    """
    packed = pack_courses(home, courses, steps)
    state, totals = packed.state.copy(), np.zeros((len(Flows._fields), len(courses)))
    grid = np.empty((2, len(courses), steps))
    for first in range(0, len(courses), LANES):
        lanes = packed.order[first : first + LANES]
        _on_lanes(packed, lanes, packed.table, state, totals, grid, hours=hours, first=0, keep=True)
    made = ManyYears(
        Flows(*totals * hours), State(*packed.state), State(*state),
        {"grid_import": grid[0].T, "grid_export": grid[1].T},
    )  # fmt: skip
    say_unclosed(constants_of([home.home] * len(courses)), made.totals, made.before, made.after)
    return made


def run_spans(homes: Sequence[HomeInputs], edges: Ints, hours: float) -> Any:
    """Simulate many homes through spans, each from where the one before ended, without a run-in.

    Parameters
    ----------
    homes, hours
        Inputs of each home; length of a step [h].
    edges
        Steps at which spans begin and end, from 0 to the length of the series, (spans + 1,).

    Returns
    -------
    Flows
        Totals of each span, arrays of (homes, spans).
    """
    packed = pack(homes, int(edges[-1]))
    state, totals = packed.state.copy(), np.zeros((len(edges) - 1, len(Flows._fields), len(homes)))
    for sums, a, b in zip(totals, edges[:-1], edges[1:], strict=True):
        table, grid = np.ascontiguousarray(packed.table[:, a:b]), np.empty((2, len(homes), b - a))

        def run(lanes: Ints, sums: Floats = sums, table: Floats = table, grid: Floats = grid) -> None:
            _on_lanes(packed, lanes, table, state, sums, grid, hours=hours, first=0, keep=True)

        _spread(run, packed.order, 1)
    made, whole = (Flows(*part * hours) for part in (np.moveaxis(totals, 0, -1), totals.sum(axis=0)))
    say_unclosed(constants_of([one.home for one in homes]), whole, State(*packed.state), State(*state))
    return made


def _on_lanes(
    packed: Packed, lanes: Ints, table: Floats, state: Floats, totals: Floats, grid: Floats, *, hours: float,
    first: int, keep: bool,
) -> None:  # fmt: skip
    """Run one block of homes through a table of series, in place."""
    at = np.concatenate([lanes, np.repeat(lanes[:1], LANES - len(lanes))])  # spare lanes repeat the first
    rows = packed.rows.take(at, axis=1)
    block, sums = state[:, at].ravel(), np.zeros(len(totals) * LANES)
    many_homes()(
        table, rows, (rows == rows[:, :1]).all(axis=1), packed.constants[:, at].ravel(), block, sums, grid, at, hours,
        first, keep,
    )  # fmt: skip
    state[:, at], totals[:, at] = block.reshape(-1, LANES), sums.reshape(-1, LANES)


def _spread(run: Callable[[Ints], None], homes: Ints, threads: int | None) -> None:
    """Run homes by blocks of lanes, so many at once."""
    blocks = [homes[start : start + LANES] for start in range(0, len(homes), LANES)]
    workers = min(threads or os.cpu_count() or 1, len(blocks))
    many_homes()  # made before the threads start, so that they don't race to compile it
    if workers > 1:
        with ThreadPoolExecutor(workers) as pool:
            list(pool.map(run, blocks))
    else:
        for block in blocks:
            run(block)


def _run_in_from(steps: int, hours: float) -> int:
    """The step of the year at which its run-in begins."""
    return steps - min(steps, round(RUN_IN_DAYS * 24 / hours))


def _as_it_began(before: np.ndarray, after: np.ndarray) -> Any:
    """Whether nodes, cylinder and battery of homes are where they were: within 1e-6 kWh for 100 kWh/K of mass."""
    return (np.abs(after - before)[CARRIED] <= SETTLED).all(axis=0)
