"""A home and what could be done to it in; a ladder of it, overlaps removed, and the best set for each budget, out.

Every saving is the difference of two simulated homes; none is ever added to another. Money spent already is in no digit
of it. Sets that leave the home colder than it is, or short of hot water, are shown and never advised.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import inf

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Floats
from simkit.case.build import Case
from simkit.case.money.money import Measure
from simkit.decide.measures.combinations import Combined, at_tariff, combined
from simkit.errors import CaseError, Fault
from simkit.finance.cash import even_amount
from simkit.tariff.tariff import Tariff
from simkit.uncertainty.distributions import distributions_of, drawn
from simkit.uncertainty.ranges import Range
from simkit.uncertainty.sampled_homes import sampled_home
from simkit.year.comfort import COLD_DEGREE_HOURS

BUDGETS = (500.0, 2000.0, 8000.0)
WATER_SLACK_KWH = 15.0  # own: about a shower a month less, which nobody would notice or could measure
COLD_HOURS_SLACK = 5.0  # own: hours under 18 °C beyond those the home has already


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
    """

    measure: Measure
    alone: float
    last: float
    adds: float
    pays_back: float
    cost_so_far: float
    saved_so_far: float


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
class Ladder:
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
        c = self.combined
        warm = c.below_kh <= max(COLD_DEGREE_HOURS, float(c.below_kh[0]) + 1.0)
        safe = c.hours_under_18 <= c.hours_under_18[0] + COLD_HOURS_SLACK
        return np.asarray(warm & safe & (c.unmet_kwh <= c.unmet_kwh[0] + WATER_SLACK_KWH))

    @cached_property
    def rungs(self) -> tuple[Rung, ...]:
        """The order in which to do things: free ones first, then by saving per money after what is done before.

        A rung is only taken where the set so far stays advisable; what can't be taken at all is left out, see
        `left_out`.
        """
        c, count = self.combined, len(self.combined.measures)
        held = np.zeros(count, dtype=bool)
        found: list[Rung] = []
        while True:
            steps = [self._step(held, k) for k in range(count) if not held[k]]
            good = [step for step in steps if step is not None and step[1] > 0.005]
            if not good:
                return tuple(found)
            free = [step for step in good if c.measures[step[0]].cost == 0.0]
            k, adds = max(free or good, key=lambda step: step[1] / max(c.measures[step[0]].cost, 1e-9))
            held = held | (np.arange(count) == k)
            row = self._row(held)
            measure = c.measures[k]
            found.append(
                Rung(measure, self.alone(measure.name), self.last(measure.name), adds, measure.cost / adds,
                     float(self.cost[row]), float(self.saved[row]))
            )  # fmt: skip

    def _step(self, held: Bools, k: int) -> tuple[int, float] | None:
        """What a further measure adds; None where the home would be left cold or short of hot water."""
        row = self._row(held | (np.arange(len(held)) == k))
        return (k, float(self.saved[row] - self.saved[self._row(held)])) if self.advisable[row] else None

    def _row(self, held: Bools) -> int:
        return int(np.flatnonzero((self.combined.chosen == held).all(axis=1))[0])

    def alone(self, name: str) -> float:
        """What a measure saves by itself [currency a year]."""
        return float(self.saved[self.combined.row([name])])

    def last(self, name: str) -> float:
        """What a measure saves after all the others [currency a year]."""
        names = [measure.name for measure in self.combined.measures]
        others = self.combined.row([other for other in names if other != name])
        return float(self.saved[-1] - self.saved[others])

    @property
    def left_out(self) -> tuple[str, ...]:
        """Measures on no rung, each with the reason."""
        taken, found = [rung.measure.name for rung in self.rungs], []
        for measure in self.combined.measures:
            if measure.name in taken:
                continue
            row = self.combined.row([measure.name])
            colder, shorter = self.combined.below_kh[row], self.combined.unmet_kwh[row]
            if not self.advisable[row] and shorter > self.combined.unmet_kwh[0] + WATER_SLACK_KWH:
                why = f"leaves {shorter - self.combined.unmet_kwh[0]:,.0f} kWh a year of hot water wanting"
            elif not self.advisable[row]:
                why = f"leaves the home {colder - self.combined.below_kh[0]:,.0f} K·h a year colder"
            else:
                alone = f"{self.alone(measure.name):,.0f} {self.currency}"
                why = f"saves {alone} a year alone and nothing more after the others"
            found.append(f"{measure.name}: {why}.")
        return tuple(found)

    def table(self) -> pd.DataFrame:
        """The ladder, one row a rung, money in the currency of the case."""
        rows = [
            {
                "measure": rung.measure.name, "cost": rung.measure.cost, "saves_alone": rung.alone,
                "saves_last": rung.last, "adds": rung.adds, "pays_back_years": rung.pays_back,
                "cost_so_far": rung.cost_so_far, "saved_so_far": rung.saved_so_far, "bother": rung.measure.bother,
                "who": rung.measure.who, "heed": rung.measure.safety or "",
            }
            for rung in self.rungs
        ]  # fmt: skip
        columns = ["measure", "cost", "saves_alone", "saves_last", "adds", "pays_back_years", "cost_so_far",
                   "saved_so_far", "bother", "who", "heed"]  # fmt: skip
        return pd.DataFrame(rows, columns=columns).set_index("measure")

    def rung_ranges(self, samples: int = 64) -> pd.DataFrame:
        """10th, 50th and 90th percentile of what each rung adds a year [currency]; rungs share their samples.

        `moved` is how far the first half of the samples puts an end of that range elsewhere [currency].
        """
        c, base = self.combined, self.combined.cases[0]
        draws = drawn(distributions_of(base), samples, seed=base.uncertainty.seed)
        held = np.zeros(len(c.measures), dtype=bool)
        costs = [self._sampled(0, draws)]
        for rung in self.rungs:
            held = held | np.array([measure is rung.measure for measure in c.measures])
            costs.append(self._sampled(self._row(held), draws))
        added = [before - after for before, after in pairwise(costs)]
        pairs = [(Range.of(each[: max(samples // 2, 1)]), Range.of(each)) for each in added]
        return pd.DataFrame(
            [
                {"low": all_.low, "middle": all_.middle, "high": all_.high,
                 "moved": max(abs(all_.low - half.low), abs(all_.high - half.high))}
                for half, all_ in pairs
            ],
            index=pd.Index([rung.measure.name for rung in self.rungs], name="measure"),
            columns=["low", "middle", "high", "moved"],
        )  # fmt: skip

    def _sampled(self, row: int, draws: pd.DataFrame) -> Floats:
        """A year's cost of a combination at its best tariff, sample by sample, (samples,) [currency]."""
        c = self.combined
        at = int(c.costs[row].argmin())
        case = c.cases[row] if at == 0 else at_tariff(c.cases[row], self.tariffs[at - 1])
        by_parts = case.home is not c.cases[0].home
        saved = 0.0 if by_parts else float(c.losses[0] - c.losses[row])
        burnt = case if by_parts else c.cases[0]
        rows = sampled_home(case, c.step_minutes, draws, as_burnt=burnt, loss_saved_w_per_k=saved).rows
        electricity = rows["electricity_cost"] * draws["electricity_price"] + rows["export_cost"]
        return np.asarray(electricity + rows["fuel_cost"] * draws["fuel_price"] + rows["standing_cost"])

    def best(self, budget: float) -> BestSet:
        """The set that saves most a year, its own even cost taken off, within a budget [currency]."""
        within = self.advisable & (self.cost <= budget + 1e-9)
        within[0] = True
        net = np.where(within, self.saved - self.cost_a_year, -inf)
        top = np.flatnonzero(net >= net.max() - 0.005)
        row = int(top[np.argmin(self.cost[top] + 1e-6 * self.combined.chosen[top].sum(axis=1))])
        names = tuple(m.name for m, on in zip(self.combined.measures, self.combined.chosen[row], strict=True) if on)
        tariff = self.combined.tariffs[int(self.combined.costs[row].argmin())]
        return BestSet(budget, names, float(self.cost[row]), float(self.saved[row]), float(net[row]), tariff)

    def budgets(self, budgets: Sequence[float] = BUDGETS) -> pd.DataFrame:
        """What each budget buys, one row each."""
        rows = [self.best(budget) for budget in budgets]
        return pd.DataFrame(
            {"buys": ["; ".join(row.names) or "nothing" for row in rows], "cost": [row.cost for row in rows],
             "saved": [row.saved for row in rows], "net": [row.net for row in rows],
             "tariff": [row.tariff for row in rows]},
            index=pd.Index([row.budget for row in rows], name="budget"),
        )  # fmt: skip

    def frontier(self) -> pd.DataFrame:
        """Most that can be saved a year by what is spent: the sets that no cheaper set beats [currency]."""
        order = np.lexsort((-self.saved, self.cost))
        rows, most = [], -inf
        for row in order[self.advisable[order]]:
            if self.saved[row] > most + 0.005:
                most = float(self.saved[row])
                names = [m.name for m, on in zip(self.combined.measures, self.combined.chosen[row], strict=True) if on]
                rows.append({"cost": float(self.cost[row]), "saved": most, "measures": "; ".join(names) or "nothing"})
        return pd.DataFrame(rows)

    def sentence(self) -> str:
        """Say what to do first, and what the budgets buy."""
        free = [rung.measure.name for rung in self.rungs if rung.measure.cost == 0.0]
        tariff, gain = self.switch
        begin = f"Changing to {tariff} alone saves {gain:,.0f} {self.currency} a year. " if gain > 0.005 else ""
        begin += f"Free first: {', '.join(free)}. " if free else ""
        if not any(measure.cost > 0.0 for measure in self.combined.measures):
            saved = f"Together they save {self.best(0.0).saved:,.0f} {self.currency} a year. " if free else ""
            none = "" if free else "None of the free changes that were asked about can be advised. "
            return (
                f"{begin}{saved}{none}Nothing that costs money is listed: state it in [[money.measure]] with its price "
                "to see what a budget buys."
            )
        parts: list[str] = []
        before: tuple[str, ...] | None = None
        for budget in BUDGETS:
            found = self.best(budget)
            if before == found.names:
                parts.append(f"{budget:,.0f} buys no more")
            elif found.names:
                parts.append(f"{budget:,.0f} buys {found.saved:,.0f} {self.currency} a year for {found.cost:,.0f}")
            else:
                parts.append(f"{budget:,.0f} buys nothing worth it")
            before = found.names
        return f"{begin}{'; '.join(parts)}."

    def __repr__(self) -> str:
        return f"{self.table().round(1).to_string()}\n{self.sentence()}"

    def _repr_html_(self) -> str:
        return str(self.table().round(1).to_html())


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
