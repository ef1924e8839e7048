"""Homes in, years out: packs, runs each home in for a whole year, runs the year, and spreads blocks over threads."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

import numpy as np

from simkit.kernel.inputs import HomeInputs, Packed, pack, pack_one
from simkit.kernel.kernel import LANES, flat, many_homes, one_home, reset_extremes
from simkit.physics.records import Flows, Levels, State

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
    """Simulate one home, recording every step; the year is run once before, unless `run_in` is False."""
    run = one_home()
    homes, state = flat([home.home], 1), flat([home.start], 1)
    totals = np.zeros(len(Flows._fields))
    trace = np.empty((steps, len(COLUMNS)))
    shared = (pack_one(home, steps), homes, state, totals, trace, hours, steps)
    if run_in:
        run(*shared, False)
    reset_extremes(state, 1)
    before = State(*state.tolist())
    run(*shared, True)
    return HomeYear(trace, Flows(*(totals * hours).tolist()), before, State(*state.tolist()))


def run_homes(
    homes: Sequence[HomeInputs], steps: int, hours: float, *, threads: int | None = None, run_in: bool = True
) -> ManyYears:
    """Simulate many homes on lanes, blocks spread over threads; results do not depend on how they were grouped."""
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
    return ManyYears(Flows(*totals * hours), State(*before), State(*after), steps_of)


def _block(packed: Packed, b: int, hours: float, run_in: bool) -> tuple[np.ndarray, ...]:
    """Run one block of lanes: totals and states of shape (items, lanes), grid of shape (steps, 2, lanes)."""
    run = many_homes()
    state = packed.state[b].copy()
    totals = np.zeros(len(Flows._fields) * LANES)
    grid = np.empty(packed.steps * 2 * LANES)
    shared = (packed.table, packed.starts, packed.widths, packed.rows[b], packed.homes[b], state, totals, grid, hours)
    if run_in:
        run(*shared, packed.steps, False)
    reset_extremes(state, LANES)
    before = state.copy()
    run(*shared, packed.steps, True)
    return (
        totals.reshape(-1, LANES),
        before.reshape(-1, LANES),
        state.reshape(-1, LANES),
        grid.reshape(packed.steps, 2, LANES),
    )
