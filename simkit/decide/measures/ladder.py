"""A home and what could be done to it in; a ladder of it, overlaps removed, and the best set for each budget, out.

Every saving is the difference of two simulated homes; none is ever added to another. Money spent already is in no digit
of it. Sets that leave the home colder than it is, or short of hot water, are shown and never advised.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf

import numpy as np
import pandas as pd

from simkit.answered import Answered
from simkit.arrays import Bools, Floats
from simkit.case.case import Case
from simkit.case.money.money import Measure
from simkit.decide.measures.combinations import Combined, combined
from simkit.errors import CaseError, Fault
from simkit.finance.cash import even_amount
from simkit.tariff.tariff import Tariff
from simkit.year.comfort import SHORT_SHARE

BUDGETS = (500.0, 2000.0, 8000.0)
SHORT_SLACK_KH, SHORT_SLACK_SHARE = 5.0, 0.05  # own: more missing warmth than today's that nobody feels


@dataclass(frozen=True)
class Rung:
    """One measure of the ladder.

    Attributes
    ----------
    measure
        What is done.
    adds
        What it saves a year after the rungs before it [currency]; `alone` by itself, `last` after all the others.
    pays_back
        Its cost over what it adds [years]: 0 for a free one, infinite where it adds nothing.
    cost_so_far, saved_so_far
        Of this rung and all before it [currency, currency a year].
    row
        Number of the combination of this rung and all before it.
    """

    measure: Measure
    alone: float
    last: float
    adds: float
    pays_back: float
    cost_so_far: float
    saved_so_far: float
    row: int


@dataclass(frozen=True)
class BestSet:
    """The best that a budget buys.

    Attributes
    ----------
    budget
        What may be spent [currency].
    names
        The measures; empty where none is worth its cost.
    cost, saved, net
        What they cost, what they save a year, and that less their even cost a year over their lives [currency].
    tariff
        The tariff that suits the set best.
    """

    budget: float
    names: tuple[str, ...]
    cost: float
    saved: float
    net: float
    tariff: str


@dataclass(frozen=True, eq=False, repr=False)
class Ladder(Answered):
    """Measures for one home, in every combination.

    Attributes
    ----------
    combined
        All combinations, simulated.
    discount_rate
        For the even cost a year of what is bought [share].
    currency
        ISO 4217 code.
    tariffs
        Further tariffs at which every combination was charged.
    """

    answered_by = "simkit.answers.money.measures:measures_answer"
    combined: Combined
    discount_rate: float
    currency: str
    tariffs: tuple[Tariff, ...] = ()

    @cached_property
    def saved(self) -> Floats:
        """Saving of each combination against the home as it is, (combinations,) [currency a year].

        Both at the tariff that suits them best: what the mere change of tariff saves is `switch`, and in no rung.
        """
        costs = self.combined.best_costs
        return np.asarray(costs[0] - costs)

    @property
    def switch(self) -> tuple[str, float]:
        """The tariff that suits the home as it is best, and what changing to it saves by itself [currency a year]."""
        first = self.combined.costs[0]
        return self.combined.tariffs[int(first.argmin())], float(first[0] - first.min())

    @cached_property
    def cost(self) -> Floats:
        """Price of each combination, (combinations,) [currency]."""
        return np.asarray(self.combined.chosen @ np.array([measure.cost for measure in self.combined.measures]))

    @cached_property
    def cost_a_year(self) -> Floats:
        """Price of each combination as an even amount a year over the lives of its measures, (combinations,)."""
        each = [even_amount(self.discount_rate, m.life_years, m.cost) for m in self.combined.measures]
        return np.asarray(self.combined.chosen @ np.array(each))

    @cached_property
    def advisable(self) -> Bools:
        """Combinations that leave the home no colder than it is and not short of hot water, (combinations,)."""
        now = self.combined.comforts[0]
        most = now.degree_hours_below + max(SHORT_SLACK_KH, SHORT_SLACK_SHARE * now.degree_hours_below)
        unmet = max(SHORT_SHARE * now.wanted_kwh, now.unmet_kwh)
        return np.array(
            [
                one.no_worse_than(now) and one.degree_hours_below <= most and one.unmet_kwh <= unmet
                for one in self.combined.comforts
            ]
        )

    @cached_property
    def rungs(self) -> tuple[Rung, ...]:
        """The order in which to do things: free ones first, then by saving per money after what is done before.

        A rung is only taken where the set so far stays advisable; what can't be taken at all is left out, see
        `left_out`.
        """
        c, found, here = self.combined, list[Rung](), 0
        while True:
            rows = {k: c.with_measure(here, k) for k in np.flatnonzero(~c.chosen[here]).tolist()}
            adds = {k: float(self.saved[row] - self.saved[here]) for k, row in rows.items() if self.advisable[row]}
            good = [k for k, more in adds.items() if more > 0.005]
            if not good:
                return tuple(found)
            free = [k for k in good if c.measures[k].cost == 0.0]
            k = max(free or good, key=lambda k: adds[k] / max(c.measures[k].cost, 1e-9))
            here, measure = rows[k], c.measures[k]
            found.append(
                Rung(measure, self.alone(measure.name), self.last(measure.name), adds[k], measure.cost / adds[k],
                     float(self.cost[here]), float(self.saved[here]), here)
            )  # fmt: skip

    def alone(self, name: str) -> float:
        """What a measure saves by itself [currency a year]."""
        return float(self.saved[self.combined.row([name])])

    def last(self, name: str) -> float:
        """What a measure saves after all the others [currency a year]."""
        names = [measure.name for measure in self.combined.measures]
        others = self.combined.row([other for other in names if other != name])
        return float(self.saved[-1] - self.saved[others])

    @property
    def left_out(self) -> tuple[Measure, ...]:
        """Measures on no rung: not advisable by themselves, or saving nothing after the others."""
        taken = [rung.measure.name for rung in self.rungs]
        return tuple(measure for measure in self.combined.measures if measure.name not in taken)

    def table(self) -> pd.DataFrame:
        """The ladder, one row a rung, money in the currency of the case."""
        columns = ["cost", "saves_alone", "saves_last", "adds", "pays_back_years", "cost_so_far", "saved_so_far",
                   "bother", "who", "heed"]  # fmt: skip
        rows = [
            (r.measure.cost, r.alone, r.last, r.adds, r.pays_back, r.cost_so_far, r.saved_so_far, r.measure.bother,
             r.measure.who, r.measure.safety or "")
            for r in self.rungs
        ]  # fmt: skip
        names = pd.Index([rung.measure.name for rung in self.rungs], name="measure")
        return pd.DataFrame(rows, columns=columns, index=names)

    def best(self, budget: float) -> BestSet:
        """The set that saves most a year, its own even cost taken off, within a budget [currency]."""
        within = self.advisable & (self.cost <= budget + 1e-9)
        within[0] = True
        net = np.where(within, self.saved - self.cost_a_year, -inf)
        top = np.flatnonzero(net >= net.max() - 0.005)
        row = int(top[np.argmin(self.cost[top] + 1e-6 * self.combined.chosen[top].sum(axis=1))])
        names = self.combined.names(row)
        tariff = self.combined.tariffs[int(self.combined.costs[row].argmin())]
        return BestSet(budget, names, float(self.cost[row]), float(self.saved[row]), float(net[row]), tariff)

    def nearly(self, budget: float) -> tuple[Measure, float] | None:
        """Of the bought measures within a budget the one that saves most a year after the free ones, and how much.

        For a budget that buys nothing worth its cost; None where nothing costs so little.
        """
        c, here = self.combined, self.combined.row(self.best(0.0).names)
        rows = {k: c.with_measure(here, k) for k, m in enumerate(c.measures) if 0.0 < m.cost <= budget}
        adds = {k: float(self.saved[row] - self.saved[here]) for k, row in rows.items() if self.advisable[row]}
        most = max(adds, key=lambda k: adds[k], default=None)
        return None if most is None else (c.measures[most], adds[most])

    def budgets(self, budgets: Sequence[float] = BUDGETS) -> pd.DataFrame:
        """What each budget buys, one row each."""
        rows = [("; ".join(row.names) or "nothing", row.cost, row.saved, row.net, row.tariff)
                for row in map(self.best, budgets)]  # fmt: skip
        index = pd.Index(budgets, name="budget")
        return pd.DataFrame(rows, columns=["buys", "cost", "saved", "net", "tariff"], index=index)

    def frontier(self) -> pd.DataFrame:
        """Most that can be saved a year by what is spent: the sets that no cheaper set beats [currency]."""
        order = np.lexsort((-self.saved, self.cost))
        rows, most = [], -inf
        for row in order[self.advisable[order]]:
            if self.saved[row] > most + 0.005:
                most = float(self.saved[row])
                held = "; ".join(self.combined.names(row)) or "nothing"
                rows.append({"cost": float(self.cost[row]), "saved": most, "measures": held})
        return pd.DataFrame(rows)

    def __repr__(self) -> str:
        return self.table().round(1).to_string()


def rank_measures(case: Case, measures: Sequence[Measure] | None = None, *, tariffs: Sequence[Tariff] = ()) -> Ladder:
    """Rank things that could be done to a home by what they save for their money, overlaps removed.

    Parameters
    ----------
    case
        The home as it is; one of its options where it lists some.
    measures
        What could be done; None takes ``[[money.measure]]`` of the case.
    tariffs
        Further tariffs at which every combination is charged; each set is judged at the one that suits it best.

    Returns
    -------
    Ladder
        Every combination simulated, 2^n homes.

    Raises
    ------
    CaseError
        Where there are no measures, or one can't be laid over the home.
    """
    listed = measures if measures is not None else (case.money.measure or () if case.money else ())
    if not listed:
        remedy = "Add [[money.measure]] with name, changes, cost, life_years, bother and who"
        raise CaseError(Fault(case.label, "no measure", "is listed that could be ranked", remedy))
    rate = case.money.discount_rate if case.money else 0.0
    return Ladder(combined(case, listed, tariffs=tariffs), rate, case.currency, tuple(tariffs))
