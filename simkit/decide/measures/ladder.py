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
from simkit.decide.measures.rungs import BestSet, Rung
from simkit.decide.measures.warming import warming
from simkit.errors import CaseError, Fault
from simkit.finance.cash import even_amount
from simkit.tariff.tariff import Tariff
from simkit.year.comfort import TOO_COLD, YearComfort

BUDGETS = (500.0, 2000.0, 8000.0)
SHORT_SLACK_KH, SHORT_SLACK_SHARE = 5.0, 0.05  # own: more missing warmth than today's that nobody feels
ROUNDING = 0.01  # own: in a home that is too cold nothing more may be missing


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
        return np.array([leaves_as_warm(now, then) for then in self.combined.comforts])

    @cached_property
    def held(self) -> Bools:
        """Combinations with which rooms are warm enough and hot water comes, (combinations,)."""
        return np.array([one.held for one in self.combined.comforts])

    @property
    def lacks(self) -> bool:
        """Whether the home as it is lacks some of the needed comfort."""
        return not self.held[0]

    @cached_property
    def warming(self) -> int | None:
        """Of a home that lacks comfort, the combination to begin with: the cheapest to buy that gives all of it.

        Where none does, the one that comes nearest; None where that is no great step, and of a home that lacks nothing.
        """
        return warming(self.combined.comforts, self.combined.chosen, self.cost, self.saved)

    @cached_property
    def rungs(self) -> tuple[Rung, ...]:
        """The order in which to do things: free ones first, then by saving per money after what is done before.

        A home that lacks comfort gets that first, see `warming`. A rung is only taken where the set so far stays
        advisable, and never gives back a comfort that was reached, nor warmth in a home that still lacks some; what
        can't be taken at all is left out, see `left_out`.
        """
        c, found, here = self.combined, list[Rung](), 0
        first = np.flatnonzero(c.chosen[self.warming]).tolist() if self.warming is not None else []
        while first:
            k = min(first, key=lambda k: c.comforts[c.with_measure(here, k)].how_far)
            first.remove(k)
            found.append(self._rung(here, k, for_comfort=True))
            here = found[-1].row
        while True:
            rows = {k: c.with_measure(here, k) for k in np.flatnonzero(~c.chosen[here]).tolist()}
            least = c.comforts[here]
            kept = {k: row for k, row in rows.items() if self.advisable[row] and _keeps(c.comforts[row], least)}
            adds = {k: float(self.saved[row] - self.saved[here]) for k, row in kept.items()}
            good = [k for k, more in adds.items() if more > 0.005]
            if not good:
                return tuple(found)
            free = [k for k in good if c.measures[k].cost == 0.0]
            k = max(free or good, key=lambda k: adds[k] / max(c.measures[k].cost, 1e-9))
            found.append(self._rung(here, k))
            here = found[-1].row

    def _rung(self, here: int, k: int, *, for_comfort: bool = False) -> Rung:
        """One measure after a combination."""
        measure, row = self.combined.measures[k], self.combined.with_measure(here, k)
        adds = float(self.saved[row] - self.saved[here])
        pays_back = measure.cost / adds if adds > 0.0 else inf
        alone, last = self.alone(measure.name), self.last(measure.name)
        so_far = float(self.cost[row]), float(self.saved[row])
        return Rung(measure, alone, last, adds, pays_back, *so_far, row, for_comfort)

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
        """The set that saves most a year, its own even cost taken off, within a budget [currency].

        Where a budget can give all of the needed comfort, only sets that do are looked at.
        """
        within = self.advisable & (self.cost <= budget + 1e-9)
        within[0] = True
        within = within & self.held if (within & self.held).any() else within
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
        order, among = np.lexsort((-self.saved, self.cost)), self.advisable & self.held
        rows, most = [], -inf
        for row in order[(among if among.any() else self.advisable)[order]]:
            if self.saved[row] > most + 0.005:
                most = float(self.saved[row])
                held = "; ".join(self.combined.names(row)) or "nothing"
                rows.append({"cost": float(self.cost[row]), "saved": most, "measures": held})
        return pd.DataFrame(rows)

    def __repr__(self) -> str:
        return self.combined.cases[0].notation.frame(self.table(), 1)


def leaves_as_warm(now: YearComfort, then: YearComfort) -> bool:
    """Whether a home is left no colder than it is, but for what nobody feels, and not short of hot water."""
    slack = max(SHORT_SLACK_KH, SHORT_SLACK_SHARE * now.degree_hours_below) if now.level < TOO_COLD else ROUNDING
    under = now.hours_below_18 + (ROUNDING if now.level == TOO_COLD else inf)
    return (
        then.no_worse_than(now) and then.degree_hours_below <= now.degree_hours_below + slack
        and then.hours_below_18 <= under and then.gives_water_of(now)
    )  # fmt: skip


def _keeps(then: YearComfort, so_far: YearComfort) -> bool:
    """Whether a further measure leaves what was reached: the verdict, and in a home that lacks some all its warmth."""
    return then.no_worse_than(so_far) if so_far.held else then.as_warm_as(so_far)


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
