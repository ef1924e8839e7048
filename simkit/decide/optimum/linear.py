"""A linear programme put together piece by piece in; its least cost, its variables and its duals, by HiGHS, out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from scipy import sparse

from simkit.arrays import Floats, Ints
from simkit.errors import CaseError, Fault

Term = tuple[Ints, "Floats | float"]

INF = np.inf
WAYS = ("ipm", "simplex")  # an interior point is faster; its first basis can come out singular, simplex's never did


@dataclass(eq=False)
class Programme:
    """A linear programme being put together: minimise cost·x, row bounds on A·x, bounds on x.

    Attributes
    ----------
    steps
        Steps of time that a series has.
    at, totals
        First column of each series and state, and the column of each single variable.
    links
        First row of the rows that carry a state on.
    """

    steps: int
    cost: list[Floats] = field(default_factory=list)
    low: list[Floats] = field(default_factory=list)
    high: list[Floats] = field(default_factory=list)
    at: dict[str, int] = field(default_factory=dict)
    links: dict[str, int] = field(default_factory=dict)
    entries: list[tuple[Ints, Ints, Floats]] = field(default_factory=list)
    row_low: list[Floats] = field(default_factory=list)
    row_high: list[Floats] = field(default_factory=list)
    columns: int = 0
    rows: int = 0
    totals: dict[str, int] = field(default_factory=dict)

    def _variables(self, count: int, low: Floats | float, high: Floats | float, cost: Floats | float) -> int:
        """Add so many variables; the column of the first."""
        for store, value in ((self.cost, cost), (self.low, low), (self.high, high)):
            store.append(np.broadcast_to(np.asarray(value, dtype=np.float64), (count,)))
        self.columns += count
        return self.columns - count

    def total(self, name: str, high: float, cost: float) -> Ints:
        """Add a single variable from 0 on."""
        self.totals[name] = self._variables(1, 0.0, high, cost)
        return np.array([self.totals[name]])

    def series(self, name: str, low: Floats | float, high: Floats | float, cost: Floats | float = 0.0) -> None:
        """Add one variable for each step."""
        self.at[name] = self._variables(self.steps, low, high, cost)

    def states(self, name: str, low: float, high: Floats | float) -> None:
        """Add a state: a variable at the start of each step and one at the end of the last."""
        self.at[name] = self._variables(self.steps + 1, low, high, 0.0)

    def named(self, start: str) -> tuple[str, ...]:
        """Names that begin so, in the order in which they were added."""
        return tuple(name for name in self.at if name.startswith(start))

    def of(self, name: str, *, following: bool = False) -> Ints:
        """Columns of a series by step; `following` is the state after the step."""
        return self.at[name] + np.arange(self.steps) + int(following)

    def several(
        self, terms: Sequence[Term], low: Floats | float, high: Floats | float, *, count: int = 1, to: Ints | int = 0
    ) -> None:
        """Add `count` rows, Σ factor·column between bounds; `to` says to which of them the terms' columns belong."""
        for columns, factor in terms:
            rows = np.broadcast_to(self.rows + np.asarray(to), columns.shape)
            self.entries.append((rows, columns, np.broadcast_to(np.asarray(factor, dtype=np.float64), columns.shape)))
        for store, value in ((self.row_low, low), (self.row_high, high)):
            store.append(np.broadcast_to(np.asarray(value, dtype=np.float64), (count,)))
        self.rows += count

    def each_step(self, terms: Sequence[Term], low: Floats | float, high: Floats | float) -> None:
        """Add one row for each step: Σ factor·column between bounds."""
        self.several(terms, low, high, count=self.steps, to=np.arange(self.steps))

    def link(self, state: str, terms: Sequence[Term], constant: Floats | float) -> None:
        """Add the rows that carry a state on: Σ terms − state after the step = constant. Their dual is its value."""
        self.links[state] = self.rows
        self.each_step([*terms, (self.of(state, following=True), -1.0)], constant, constant)

    def matrix(self) -> sparse.csc_matrix:
        """The constraint matrix, columns compressed."""
        rows, columns, values = (np.concatenate(part) for part in zip(*self.entries, strict=True))
        kept = values != 0.0
        return sparse.csc_matrix((values[kept], (rows[kept], columns[kept])), shape=(self.rows, self.columns))


@dataclass(frozen=True, eq=False)
class Solved:
    """Answer of a programme."""

    programme: Programme
    x: Floats
    dual: Floats
    objective: float

    def state(self, name: str) -> Floats:
        """A state at the start of each step and at the end of the last, (steps + 1,)."""
        first = self.programme.at[name]
        return self.x[first : first + self.programme.steps + 1]

    def values(self, name: str) -> Floats:
        """A series, (steps,); of a state, its values after each step."""
        return self.x[self.programme.of(name, following=name in self.programme.links)]


def solve(
    made: Programme, *, fixed: dict[str, float] | None = None, ends: dict[str, float] | None = None,
    buy: dict[str, float] | None = None, sell: dict[str, float] | None = None,
) -> Solved:  # fmt: skip
    """Solve a programme by HiGHS.

    Parameters
    ----------
    fixed, ends
        Values of the states at the start and at the end.
    buy, sell
        What a unit of each state costs at the start and earns at the end.
    """
    import highspy

    cost, low, high = (np.concatenate(part) for part in (made.cost, made.low, made.high))
    for name, value in (fixed or {}).items():
        first = made.at[name]
        low[first] = high[first] = min(max(value, low[first]), high[first])
    for name, value in (ends or {}).items():
        low[made.at[name] + made.steps] = high[made.at[name] + made.steps] = value
    for name in made.links:
        first, last = made.at[name], made.at[name] + made.steps
        cost[first] += (buy or {}).get(name, 0.0)
        cost[last] -= (sell or {}).get(name, 0.0)
    matrix = made.matrix()
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = made.columns, made.rows
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = cost, low, high
    lp.row_lower_, lp.row_upper_ = np.concatenate(made.row_low), np.concatenate(made.row_high)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = matrix.indptr, matrix.indices, matrix.data
    plain: Any = vars(highspy)["_Highs"]  # the class around it prints a banner into the answer
    solver = plain()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    for way in WAYS:
        solver.setOptionValue("solver", way)
        solver.passModel(lp)
        solver.run()
        if solver.getModelStatus() == highspy.HighsModelStatus.kOptimal:
            break
    else:
        given = f"the programme of {made.steps} steps"
        allowed = f"was not solved ({solver.modelStatusToString(solver.getModelStatus())})"
        raise CaseError(
            Fault("optimum", given, allowed, "Look whether machine and radiators can keep the home at 18 °C")
        )
    answer = solver.getSolution()
    return Solved(
        made, np.array(answer.col_value), np.array(answer.row_dual), float(solver.getInfo().objective_function_value)
    )
