"""Homes in, years out: packs, runs each home in for a whole year, runs the year, and spreads blocks over threads."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from simkit.kernel.inputs import HomeInputs, Packed, pack, pack_one
from simkit.kernel.kernel import LANES, flat, many_homes, one_home, reset_extremes
from simkit.physics.records import Flows, Levels, State


@dataclass(frozen=True, eq=False)
class HomeYear:
    """One home's year with every step recorded.

    Attributes
    ----------
    trace
        Shape (steps, flows + levels): means over each step, columns in the order of `Flows` and then `Levels`.
    totals
        Shape (flows,): sums over the year times the step's hours [kWh, K·h, h].
    before, after
        State at the start (after the run-in) and at the end of the year.
    """

    trace: np.ndarray
    totals: Flows
    before: State
    after: State


@dataclass(frozen=True, eq=False)
class ManyYears:
    """Many homes' years: totals and end states by home, import and export by step and home.

    Attributes
    ----------
    totals
        Shape (homes, flows), as `HomeYear.totals`.
    before, after
        Shape (homes, states).
    import_kw, export_kw
        Shape (steps, homes), means over each step [kW].
    """

    totals: np.ndarray
    before: np.ndarray
    after: np.ndarray
    import_kw: np.ndarray
    export_kw: np.ndarray

    def total(self, name: str) -> np.ndarray:
        """One flow's totals, shape (homes,)."""
        found: np.ndarray = self.totals[:, Flows._fields.index(name)]
        return found


def run_home(home: HomeInputs, steps: int, hours: float, *, run_in: bool = True) -> HomeYear:
    """Simulate one home, recording every step; the year is run once before, unless `run_in` is False."""
    run = one_home()
    homes, state = flat([home.home], 1), flat([home.start], 1)
    totals = np.zeros(len(Flows._fields))
    trace = np.empty((steps, len(Flows._fields) + len(Levels._fields)))
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
    count = len(homes)
    totals, before, after, grid = (np.concatenate(part, axis=-1) for part in zip(*done, strict=True))
    return ManyYears(
        totals[:, :count].T * hours, before[:, :count].T, after[:, :count].T, grid[:, 0, :count], grid[:, 1, :count]
    )


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
