"""A home and a list of measures in; every combination of them simulated on lanes and charged, out.

Two to the power of n homes are one call of the kernel. Measures are laid over the home in the order in which they are
listed; where two of them change the same key, the later one holds. Emitters keep the size that they were given for the
home as it is: insulation makes them ample, not smaller.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from simkit.arrays import Bools, Floats, Ints
from simkit.assemble.building import air_saved_w_per_k
from simkit.assemble.emitters import emitter_rating_kw
from simkit.assemble.heat_loss import loss_before_w_per_k, loss_w_per_k
from simkit.assemble.home import home_inputs
from simkit.assemble.series import Setting
from simkit.assemble.setting import setting_for, step_of
from simkit.billing.cost import CHARGED_AT_ONCE, cost_of, fuel_costs
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.case.money.money import Measure, changed_paths
from simkit.clock import TimeAxis
from simkit.errors import CaseError, Fault, raise_all
from simkit.kernel.run import ManyYears, run_homes
from simkit.tariff.tariff import Tariff
from simkit.year.comfort import YearComfort, lane_comforts

OWN_TARIFF = "its own"  # what the tariff is called that a combination itself names
MOST_MEASURES = 12  # 4,096 homes
LEAST_LOSS_SHARE = 0.15  # own: no set of measures takes more than this much away from a home's loss


@dataclass(frozen=True, eq=False)
class Combined:
    """Every combination of measures, simulated.

    Attributes
    ----------
    measures
        The measures, (n,).
    chosen
        Which of them each combination holds, (combinations, n); the first holds none, the last all.
    costs
        Yearly cost of each combination at each tariff, (combinations, tariffs) [currency]. Column 0 is the tariff that
        the combination itself names.
    tariffs
        Names of the columns of `costs`; "its own" first.
    comforts
        Comfort of each combination, (combinations,).
    carbon_kg
        Carbon of a year at the average factor, (combinations,) [kg].
    cases, losses
        The case of each combination, emitters as large as they are; and its heat loss [W/K].
    """

    measures: tuple[Measure, ...]
    chosen: Bools
    costs: Floats
    tariffs: tuple[str, ...]
    comforts: tuple[YearComfort, ...]
    carbon_kg: Floats
    cases: tuple[Case, ...]
    losses: Floats

    @property
    def best_costs(self) -> Floats:
        """Yearly cost of each combination at the tariff that suits it best, (combinations,) [currency]."""
        return np.asarray(self.costs.min(axis=1))

    def row(self, names: Sequence[str]) -> int:
        """Number of the combination that holds exactly these measures."""
        wanted = np.array([measure.name in names for measure in self.measures])
        return int(np.flatnonzero((self.chosen == wanted).all(axis=1))[0])

    def names(self, row: int) -> tuple[str, ...]:
        """Names of the measures that a combination holds."""
        return tuple(measure.name for measure, held in zip(self.measures, self.chosen[row], strict=True) if held)

    def with_measure(self, row: int, k: int) -> int:
        """Number of the combination that holds one measure more."""
        wanted = self.chosen[row] | (np.arange(len(self.measures)) == k)
        return int(np.flatnonzero((self.chosen == wanted).all(axis=1))[0])


def combined(case: Case, measures: Sequence[Measure], *, tariffs: Sequence[Tariff] = ()) -> Combined:
    """Simulate a home with every combination of measures and charge each at every tariff.

    Parameters
    ----------
    case
        The home as it is.
    measures
        At most `MOST_MEASURES`.
    tariffs
        Further tariffs at which every combination is charged, its controls left as they are.

    Raises
    ------
    CaseError
        Where a measure can't be laid over the home, would leave it under a published minimum, or there are too many.
    """
    _refuse(case, measures)
    chosen, cases = _cases(case, measures)
    for tariff in tariffs:
        vary(case, tariff=tariff)  # refused here where it doesn't fit the home
    losses = _losses(case, cases, chosen @ np.array([m.loss_saved_w_per_k or 0.0 for m in measures]))
    air = [air_saved_w_per_k(each) for each in cases]
    fitted = [
        _as_sized(each, losses[0] + air[0] - air_saved) if lost < losses[0] else each
        for each, lost, air_saved in zip(cases, losses, air, strict=True)
    ]
    first = _charged(fitted, losses)
    others = [_recharged(fitted, losses, tariff, first) for tariff in tariffs]
    return Combined(
        tuple(measures), chosen, np.stack([first.costs, *others], axis=1),
        (OWN_TARIFF, *(tariff.name for tariff in tariffs)),
        tuple(first.comforts), first.carbon_kg, tuple(fitted), losses,
    )  # fmt: skip


def _losses(case: Case, cases: Sequence[Case], saved: Floats) -> Floats:
    """Heat loss of each combination [W/K]: that of the home as it is, or of its changed parts, less what is saved.

    A loss that was found from fuel is that of the home as it burnt it, whatever is changed now.
    """
    base, before = loss_w_per_k(case), loss_before_w_per_k(case)
    stated = np.array([before if each.home is case.home else loss_before_w_per_k(each) for each in cases])
    found = stated - np.array([air_saved_w_per_k(each) for each in cases]) - saved
    if found.min() < LEAST_LOSS_SHARE * base:
        given, allowed = f"{base - found.min():.0f} W/K saved by all", f"is nearly all of the home's {base:.0f} W/K"
        raise CaseError(
            Fault("[money] measure", given, allowed, "Look at each of them: area times the fall in U-value")
        )
    return found


def _refuse(case: Case, measures: Sequence[Measure]) -> None:
    """Refuse too many measures, and one that can't be laid over the home by itself or that gives up a safeguard."""
    if len(measures) > MOST_MEASURES:
        allowed = f"make {2 ** len(measures):,} combinations, and {2**MOST_MEASURES:,} are the most"
        raise CaseError(Fault("measures", f"{len(measures)} of them", allowed, "Leave the least likely ones out"))
    faults: list[Fault] = []
    for measure in measures:
        try:
            one = vary(case, changed_paths(measure.changes))
        except CaseError as error:
            faults += [
                Fault(f'measure "{measure.name}", {f.where}', f.given, f.allowed, f.remedy) for f in error.faults
            ]
            continue
        was, now = case.hot_water.hygiene, one.hot_water.hygiene
        if now.every == "never" != was.every or now.target_c < min(was.target_c, HYGIENE_C):
            remedy = "Keep the weekly hour at 60 °C; it is priced, never advised away"
            allowed = "gives up the hygiene of the hot water (HSE HSG274 part 2: stored at 60 °C or more)"
            faults.append(Fault(f'measure "{measure.name}"', "hot_water.hygiene", allowed, remedy))
    raise_all(faults)


HYGIENE_C = 60.0  # HSE HSG274 part 2


def _cases(case: Case, measures: Sequence[Measure]) -> tuple[Bools, list[Case]]:
    """Which measures each combination holds, small sets first, and its case; each is one change of a smaller one."""
    made: dict[tuple[int, ...], Case] = {(): case}
    changes = [changed_paths(measure.changes) for measure in measures]
    for size in range(1, len(measures) + 1):
        for held in combinations(range(len(measures)), size):
            smaller, more = made[held[:-1]], changes[held[-1]]
            made[held] = vary(smaller, more) if more else smaller  # insulation changes no line of the case
    chosen = np.zeros((len(made), len(measures)), dtype=bool)
    for row, held in enumerate(made):
        chosen[row, list(held)] = True
    return chosen, list(made.values())


def _as_sized(case: Case, loss: float) -> Case:
    """The case with its emitters at the rating that they have for the loss before insulation."""
    if case.heat_source == "boiler" or case.emitters.sized_for_flow_c is None:
        return case
    rated = emitter_rating_kw(case, loss)
    emitters = case.emitters.model_copy(update={"rated_kw": rated, "sized_for_flow_c": None})
    return case.but(emitters=emitters)


@dataclass(frozen=True, eq=False)
class _Column:
    """Figures of every combination at one tariff; of homes simulated together their numbers, axis and years."""

    electricity: Floats
    fuel: Floats
    carbon_kg: Floats
    comforts: Sequence[YearComfort]
    batches: tuple[tuple[Ints, TimeAxis, ManyYears], ...]

    @property
    def costs(self) -> Floats:
        """Electricity and fuel [currency]."""
        return self.electricity + self.fuel


def _charged(cases: Sequence[Case], losses: Floats) -> _Column:
    """Simulate every case in batches on its own step and charge it at its own tariff."""
    found = {name: np.zeros(len(cases)) for name in ("electricity", "fuel", "carbon_kg")}
    comforts: dict[int, YearComfort] = {}
    around: dict[tuple[object, ...], Setting] = {}
    batches = []
    for step, rows in _alike(cases):
        batch, homes = [cases[i] for i in rows], []
        for case, loss in zip(batch, losses[rows], strict=True):
            key = (case.site, case.weather, case.tariff, step)
            around[key] = around.get(key) or setting_for(case, step)
            homes.append(home_inputs(case, around[key], float(loss)))
        axis = around[batch[0].site, batch[0].weather, batch[0].tariff, step].axis
        made = run_homes(homes, axis.steps, axis.hours)
        batches.append((rows, axis, made))
        found["electricity"][rows] = cost_of(batch[0], axis, made).electricity
        fuel = np.array([fuel_costs(c, made.totals.fuel[k : k + 1], len(axis.dates)) for k, c in enumerate(batch)])
        found["fuel"][rows] = fuel[:, 0, 0] + fuel[:, 1, 0]
        grid = np.array([case.carbon.electricity_g_per_kwh for case in batch])
        burnt = np.array([case.fuel.carbon_g_per_kwh if case.fuel else 0.0 for case in batch])
        beside = np.array([case.beside_kg for case in batch])
        found["carbon_kg"][rows] = (grid * made.totals.grid_import + burnt * fuel[:, 2, 0]) / 1000.0 + beside
        comforts |= zip(rows.tolist(), lane_comforts(made.totals, made.after), strict=True)
    return _Column(**found, comforts=[comforts[row] for row in range(len(cases))], batches=tuple(batches))


def _alike(cases: Sequence[Case]) -> Iterator[tuple[int, Ints]]:
    """Step [min] and numbers of the cases, at most `CHARGED_AT_ONCE` at a time and all of one step and tariff."""
    kinds = [(step_of(case)[0], case.tariff) for case in cases]
    for kind in dict.fromkeys(kinds):
        same = np.flatnonzero([each == kind for each in kinds])
        for rows in np.split(same, range(CHARGED_AT_ONCE, len(same), CHARGED_AT_ONCE)):
            yield kind[0], rows


def _recharged(cases: Sequence[Case], losses: Floats, tariff: Tariff, own: _Column) -> Floats:
    """Charge the years that are there at another tariff, (combinations,).

    Homes that listen to prices run anew, and those that the tariff puts on another step.
    """
    priced = [at_tariff(case, tariff) for case in cases]
    if any(_listens(one) or step_of(one)[0] != step_of(case)[0] for one, case in zip(priced, cases, strict=True)):
        return _charged(priced, losses).costs
    costs = own.fuel.copy()
    for rows, axis, years in own.batches:
        costs[rows] += cost_of(at_tariff(cases[rows[0]], tariff), axis, years).electricity
    return costs


def at_tariff(case: Case, tariff: Tariff) -> Case:
    """The case at another tariff, its emitters as they are."""
    return case.but(tariff)


def _listens(case: Case) -> bool:
    """Whether anything in the home does what prices say."""
    battery, hybrid = case.battery, case.hybrid
    by_price = battery is not None and (battery.fill_below_price is not None or battery.sell_above_price is not None)
    by_price = by_price or (case.car is not None and case.car.charging == "by_price")
    return by_price or (case.heat_source == "hybrid" and hybrid is not None and hybrid.by_price)
