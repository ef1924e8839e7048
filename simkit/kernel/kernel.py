"""Packed homes in; totals, end states and time series out. Holds order and state, and no formula of its own.

Homes are lanes. A block of 16 homes (or one) goes through the year step by step; everything read through an index is
gathered into a buffer before the lane loop, which is then pure arithmetic on flat blocks (item × lanes + lane) and
vectorises. No lane reads another's values, so that a home's result is the same, bit for bit, whoever stands beside it.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any, NamedTuple

import numpy as np
from numba.extending import register_jitable

from simkit.kernel.compiled import compiled, widest_vectors
from simkit.physics.records import Flows, Home, Levels, Now, State
from simkit.physics.space_step import NOTHING, Given, Wanted, heat_space, pass_on, wanted_heat
from simkit.physics.step import Stages, closed, step, to_rooms_kw
from simkit.physics.water_step import Reheat, Stood, heat_water, left_alone, stand_water

LANES = 16
NEAR = 32  # steps whose import and export are held before they are put down
EXTREMES = {"coldest_room_c": np.inf, "peak_import_kw": 0.0, "longest_cold_h": 0.0, "most_below_k": 0.0}


class Grid(NamedTuple):
    """A step's import and export, means [kW]."""

    bought: float
    sold: float


def _spelled(source: str, **names: Any) -> Callable[..., Any]:
    """Make a function from written-out source; the source holds field numbers only, nothing from outside."""
    # with a module's name: without one, keying the cache looks through every module for it, a third of a second
    scope: dict[str, Any] = {"__name__": __name__, **names}
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
        table: Any, homes: Any, state: Any, totals: Any, trace: Any, hours: float, steps: int, first: int, keep: bool
    ) -> None:
        home = home_of(homes, 0)
        for k in range(first, steps):
            after, flows, levels = step(home, state_of(state, 0), now_of(table, k, steps), hours)
            put_state(state, 0, after)
            if keep:
                add_flows(totals, 0, flows)
                record(trace, k, flows, levels)

    return compiled(run_one)


@cache
def many_homes() -> Callable[..., Any]:
    """The kernel for a block of 16 homes, which keeps totals and each step's import and export.

    It reads a table (rows, steps) by the row of each series and lane, (series, 16), and whether all lanes share it.
    What it records goes to each lane's place in the grid, (2, homes, steps), some steps at a time: sixteen places far
    apart in every step cost a seventh of the whole.

    Everything that the lane loops touch lies in one block: state, totals, the step's import and export, the step's
    series, the homes' constants, what the stages found. With several, the compiler must check at run time that they
    don't overlap, gives up where that takes too many checks, and does not vectorise (seen when three constants were
    added: 3 times slower). The stages are those of `step`, a loop each: where no lane wants water or rooms heated, as
    in most steps of a summer, that stage is left out; it would have changed nothing. (One loop for all: 0.40 against
    0.25 ms a home-year.)
    """
    kinds = (State, Flows, Grid, Now, Home, Stood, Reheat, Wanted, Given)
    starts_at = dict(zip(kinds, np.cumsum([0, *(len(kind._fields) for kind in kinds)]).tolist(), strict=False))
    read = {kind: _reader(kind, LANES, starts_at[kind]) for kind in kinds}
    put = {kind: _writer(len(kind._fields), LANES, "=", starts_at[kind]) for kind in kinds}
    home_of, now_of, state_of, stood_of, reheat_of, wanted_of, given_of = (
        read[kind] for kind in (Home, Now, State, Stood, Reheat, Wanted, Given)
    )
    put_stood, put_reheat, put_wanted, put_given, put_state, put_grid = (
        put[kind] for kind in (Stood, Reheat, Wanted, Given, State, Grid)
    )
    # the mean of the step is only recorded for one home
    put_passed = _writer(2, LANES, "=", starts_at[Given] + Given._fields.index("emitted_kw"))
    add_flows = _writer(len(Flows._fields), LANES, "+=", starts_at[Flows])
    flows_at, grid_at, now_at, homes_at, rest_at = (starts_at[kind] * LANES for kind in (Flows, Grid, Now, Home, Stood))
    called_at, rate_at, held_at, stores_at = (
        (starts_at[kind] + kind._fields.index(name)) * LANES
        for kind, name in (
            (Stood, "called"), (Wanted, "rate_kw"), (State, "emitter_k"), (Home, "emitter_kw_per_k_of_step")
        )
    )  # fmt: skip
    size = (starts_at[Given] + len(Given._fields)) * LANES

    def run_many(  # noqa: PLR0912 (a step's stages, each a loop over lanes)
        table: Any, rows: Any, shared: Any, homes: Any, state: Any, totals: Any, grid: Any, places: Any,
        hours: float, first: int, keep: bool,
    ) -> None:  # fmt: skip
        widest_vectors()
        steps = table.shape[1]
        work = np.zeros(size)
        work[:flows_at] = state
        work[homes_at:rest_at] = homes
        stores = _any_above(work, stores_at, 0.0)
        near = np.empty(2 * LANES * NEAR)
        for k in range(first, steps):
            _read_step(work, now_at, table, rows, shared, k)
            for j in range(LANES):
                stood = stand_water(home_of(work, j), state_of(work, j), now_of(work, j), hours)
                put_stood(work, j, stood)
                put_reheat(work, j, left_alone(stood))
            if _any_above(work, called_at, 0.5):
                for j in range(LANES):
                    put_reheat(work, j, heat_water(home_of(work, j), now_of(work, j), stood_of(work, j), hours))
            for j in range(LANES):
                home = home_of(work, j)
                loss, share = to_rooms_kw(home, stood_of(work, j), hours), reheat_of(work, j).share
                put_wanted(work, j, wanted_heat(home, state_of(work, j), now_of(work, j), loss, share))
            heats = _any_above(work, rate_at, 0.0)
            if heats:
                for j in range(LANES):
                    held = state_of(work, j).emitter_k
                    put_given(work, j, heat_space(home_of(work, j), now_of(work, j), wanted_of(work, j), held))
            else:
                for j in range(LANES):
                    put_given(work, j, NOTHING)
            if stores and (heats or _any_above(work, held_at, 0.0)):
                for j in range(LANES):
                    fed, held = given_of(work, j).heat_kw, state_of(work, j).emitter_k
                    put_passed(work, j, pass_on(home_of(work, j), fed, held))
            for j in range(LANES):
                did = Stages(stood_of(work, j), reheat_of(work, j), wanted_of(work, j), given_of(work, j))
                after, flows, _ = closed(home_of(work, j), state_of(work, j), now_of(work, j), did, hours)
                put_state(work, j, after)
                add_flows(work, j, flows)
                put_grid(work, j, Grid(flows.grid_import, flows.grid_export))
            held_steps = (k - first) % NEAR
            for j in range(2 * LANES):
                near[held_steps * 2 * LANES + j] = work[grid_at + j]
            if held_steps == NEAR - 1 or k == steps - 1:
                _put_down(near, grid, places, k - held_steps, k + 1)
        state[:] = work[:flows_at]
        if keep:
            totals[:] = work[flows_at:grid_at]

    return compiled(run_many)


@register_jitable(forceinline=True)
def _read_step(work: Any, now_at: Any, table: Any, rows: Any, shared: Any, k: Any) -> None:
    """Gather a step's series: one value for all lanes where they share it, else each lane's own."""
    for c in range(len(rows)):
        to = now_at + c * LANES
        if shared[c]:
            value = table[rows[c, 0], k]
            for j in range(LANES):
                work[to + j] = value
        else:
            for j in range(LANES):
                work[to + j] = table[rows[c, j], k]


@register_jitable
def _put_down(near: Any, grid: Any, places: Any, begin: Any, end: Any) -> None:
    """Write import and export of some steps where each lane's lie in one piece."""
    for item in range(2):
        for j in range(LANES):
            for k in range(begin, end):
                grid[item, places[j], k] = near[(k - begin) * 2 * LANES + item * LANES + j]


@register_jitable(forceinline=True)
def _any_above(work: Any, at: int, threshold: float) -> bool:
    """Whether any lane's item is above a threshold."""
    found = False
    for j in range(LANES):
        found |= work[at + j] > threshold
    return found


def reset_extremes(state: np.ndarray) -> None:
    """Forget the coldest room, the highest import and the longest cold of the run-in, in place; state (fields, …)."""
    for name, least in EXTREMES.items():
        state[State._fields.index(name)] = least
