"""Packed homes in; totals, end states and time series out. Holds order and state, and no formula of its own.

Homes are lanes. A block of 16 homes (or one) goes through the year step by step; everything read through an index is
gathered into a buffer before the lane loop, which is then pure arithmetic on flat blocks (item × lanes + lane) and
vectorises. No lane reads another's values, so that a home's result is the same, bit for bit, whoever stands beside it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from typing import Any

import numpy as np
from numba.extending import register_jitable

from simkit.kernel.compiled import compiled, widest_vectors
from simkit.physics.records import Flows, Home, Levels, Now, State
from simkit.physics.step import step

LANES = 16
IMPORT, EXPORT = Flows._fields.index("grid_import"), Flows._fields.index("grid_export")
COLDEST, PEAK = State._fields.index("coldest_room_c"), State._fields.index("peak_import_kw")


def _spelled(source: str, **names: Any) -> Callable[..., Any]:
    """Make a function from written-out source; the source holds field numbers only, nothing from outside."""
    scope: dict[str, Any] = dict(names)
    exec(source, scope)
    made: Callable[..., Any] = register_jitable(forceinline=True)(scope["f"])
    return made


def _reader(kind: Any, lanes: int, first: int = 0) -> Callable[..., Any]:
    """A function that reads lane j of a flat block as a named tuple, from item `first` on."""
    fields = ", ".join(f"block[{(first + i) * lanes} + j]" for i in range(len(kind._fields)))
    return _spelled(f"def f(block, j):\n    return {kind.__name__}({fields})", **{kind.__name__: kind})


def _series_reader() -> Callable[..., Any]:
    """A function that reads step k of a single home's series, which lie one after the other."""
    fields = ", ".join(f"table[{i} * steps + k]" for i in range(len(Now._fields)))
    return _spelled(f"def f(table, k, steps):\n    return Now({fields})", Now=Now)


def _writer(count: int, lanes: int, sign: str, first: int = 0) -> Callable[..., Any]:
    """A function that writes (or adds) a tuple into lane j of a flat block, from item `first` on."""
    body = "".join(f"    block[{(first + i) * lanes} + j] {sign} value[{i}]\n" for i in range(count))
    return _spelled(f"def f(block, j, value):\n{body}")


def _recorder() -> Callable[..., Any]:
    """A function that writes flows and levels into row k of the trace."""
    flows, levels = len(Flows._fields), len(Levels._fields)
    body = "".join(f"    trace[k, {i}] = flows[{i}]\n" for i in range(flows))
    body += "".join(f"    trace[k, {flows + i}] = levels[{i}]\n" for i in range(levels))
    return _spelled(f"def f(trace, k, flows, levels):\n{body}")


@cache
def one_home() -> Callable[..., Any]:
    """The kernel for a single home, which records every flow and level of every step.

    Its series lie one after the other (item × steps + step).
    """
    home_of, state_of, now_of = _reader(Home, 1), _reader(State, 1), _series_reader()
    put_state, add_flows = _writer(len(State._fields), 1, "="), _writer(len(Flows._fields), 1, "+=")
    record = _recorder()

    def run_one(
        table: Any, homes: Any, state: Any, totals: Any, trace: Any, hours: float, steps: int, keep: bool
    ) -> None:
        home = home_of(homes, 0)
        for k in range(steps):
            after, flows, levels = step(home, state_of(state, 0), now_of(table, k, steps), hours)
            put_state(state, 0, after)
            if keep:
                add_flows(totals, 0, flows)
                record(trace, k, flows, levels)

    return compiled(run_one)


@cache
def many_homes() -> Callable[..., Any]:
    """The kernel for a block of 16 homes, which keeps totals and each step's import and export.

    Everything that the lane loop touches lies in one block: state, totals, the step's import and export, the step's
    series, the homes' constants. With several, the compiler must check at run time that they don't overlap, gives up
    where that takes too many checks, and does not vectorise (seen when three constants were added: 3 times slower).
    """
    counts = [len(State._fields), len(Flows._fields), 2, len(Now._fields), len(Home._fields)]
    flows_from, grid_from, now_from, homes_from, items = np.cumsum(counts).tolist()
    home_of, now_of = _reader(Home, LANES, homes_from), _reader(Now, LANES, now_from)
    state_of, put_state = _reader(State, LANES), _writer(len(State._fields), LANES, "=")
    add_flows = _writer(len(Flows._fields), LANES, "+=", first=flows_from)
    put_grid = _writer(2, LANES, "=", first=grid_from)
    series, flows_at, grid_at, now_at = len(Now._fields), flows_from * LANES, grid_from * LANES, now_from * LANES
    homes_at, size = homes_from * LANES, items * LANES

    def run_many(
        table: Any, starts: Any, widths: Any, rows: Any, homes: Any, state: Any, totals: Any, grid: Any, hours: float,
        steps: int, keep: bool,
    ) -> None:  # fmt: skip
        widest_vectors()
        work = np.zeros(size)
        work[:flows_at] = state
        work[homes_at:] = homes
        for k in range(steps):
            for c in range(series):
                start, to = starts[c] + k * widths[c], now_at + c * LANES
                if widths[c] == 1:
                    value = table[start]
                    for j in range(LANES):
                        work[to + j] = value
                else:
                    for j in range(LANES):
                        work[to + j] = table[start + rows[c * LANES + j]]
            for j in range(LANES):
                after, flows, _ = step(home_of(work, j), state_of(work, j), now_of(work, j), hours)
                put_state(work, j, after)
                add_flows(work, j, flows)
                put_grid(work, j, (flows[IMPORT], flows[EXPORT]))
            for j in range(2 * LANES):
                grid[k * 2 * LANES + j] = work[grid_at + j]
        state[:] = work[:flows_at]
        if keep:
            totals[:] = work[flows_at:grid_at]

    return compiled(run_many)


def reset_extremes(state: np.ndarray, lanes: int) -> None:
    """Forget the coldest room and the highest import of the run-in, in place."""
    state[COLDEST * lanes : (COLDEST + 1) * lanes] = np.inf
    state[PEAK * lanes : (PEAK + 1) * lanes] = 0.0


def flat(kinds: Sequence[Any], lanes: int) -> np.ndarray:
    """Lay named tuples of floats out as one flat block, item × lanes + lane; spare lanes repeat the first."""
    block = np.array([*kinds, *[kinds[0]] * (lanes - len(kinds))], dtype=np.float64)
    return np.ascontiguousarray(block.T).ravel()
