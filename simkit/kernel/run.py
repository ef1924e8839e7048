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

from simkit.kernel.balance import constants_of, say_unclosed
from simkit.kernel.inputs import HomeInputs, Packed, pack, pack_one
from simkit.kernel.kernel import EXTREMES, LANES, flat, many_homes, one_home, reset_extremes
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
    homes, state = flat([home.home], 1), flat([home.start], 1)
    trace = np.empty((steps, len(COLUMNS)))

    def year(first: int, keep: bool) -> None:
        one_home()(table, homes, state, totals, trace, hours, steps, first, keep)

    before = _settled(year, state, totals, steps, hours, run_in)
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
        Whether the last `RUN_IN_DAYS` of the year are run before it. A home that doesn't end its year in the state in
        which it began it is run once more, from the end: after a year and three weeks of run-in.
    """
    packed = pack(homes, steps, LANES)
    blocks = range(len(packed.homes))
    workers = min(threads or os.cpu_count() or 1, len(blocks))
    if workers == 1:
        done = [_block(packed, b, hours, run_in) for b in blocks]
    else:
        many_homes()  # made before the threads start, so that they don't race to compile it
        with ThreadPoolExecutor(workers) as pool:
            done = list(pool.map(lambda b: _block(packed, b, hours, run_in), blocks))
    totals, before, after, grid = (np.concatenate(part, axis=-1)[..., : len(homes)] for part in zip(*done, strict=True))
    steps_of = {"grid_import": grid[:, 0], "grid_export": grid[:, 1]}
    made = ManyYears(Flows(*totals * hours), State(*before), State(*after), steps_of)
    say_unclosed(constants_of([one.home for one in homes]), made.totals, made.before, made.after)
    return made


def _block(packed: Packed, b: int, hours: float, run_in: bool) -> tuple[np.ndarray, ...]:
    """Run one block of lanes: totals and states of shape (items, lanes), grid of shape (steps, 2, lanes)."""
    state, steps = packed.state[b].copy(), packed.steps
    totals, grid = np.zeros(len(Flows._fields) * LANES), np.empty(steps * 2 * LANES)

    def year(first: int, keep: bool) -> None:
        starts = packed.starts + first * packed.widths
        many_homes()(
            packed.table, starts, packed.widths, packed.rows[b], packed.homes[b], state, totals, grid, hours,
            steps - first, keep,
        )  # fmt: skip

    before = _settled(year, state, totals, steps, hours, run_in, grid)
    parts = (totals.reshape(-1, LANES), before.reshape(-1, LANES), state.reshape(-1, LANES))
    return *parts, grid.reshape(steps, 2, LANES)


def _settled(
    year: Callable[[int, bool], None], state: np.ndarray, totals: np.ndarray, steps: int, hours: float, run_in: bool,
    *recorded: np.ndarray,
) -> np.ndarray:  # fmt: skip
    """Run homes in and through their year, and those that did not end as they began once more; the state before.

    Everything is written in place. Lanes that had ended as they began keep what they had: what stands beside a home
    shows nowhere.
    """
    lanes = len(state) // len(State._fields)
    first = steps - min(steps, round(RUN_IN_DAYS * 24 / hours)) if run_in else 0
    if run_in:
        year(first, False)
    reset_extremes(state, lanes)
    before = state.copy()
    year(0, True)
    if first == 0 or (ended := _as_it_began(before, state, lanes)).all():
        return before
    kept = (before, state, totals, *recorded)
    first_time = [part.reshape(-1, lanes)[:, ended] for part in kept]
    reset_extremes(state, lanes)
    before[:] = state
    totals[:] = 0.0
    year(0, True)
    for part, was in zip(kept, first_time, strict=True):
        part.reshape(-1, lanes)[:, ended] = was
    return before


def _as_it_began(before: np.ndarray, after: np.ndarray, lanes: int) -> np.ndarray:
    """Whether each home's nodes, cylinder and battery are where they were: within 1e-6 kWh for 100 kWh/K of mass."""
    moved = np.abs(after - before).reshape(-1, lanes)
    return np.asarray((moved[CARRIED] <= SETTLED).all(axis=0))
