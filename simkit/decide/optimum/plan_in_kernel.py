"""A plan of the relaxed year in; a schedule that runs in the kernel and knows the year ahead, out.

The best rule is where it starts. Car and battery are made to follow the plan, each in several ways; then every day is
settled in turn from the state that the home is in (`day_by_day`). A way is taken where the simulated year, which ends
in the state in which it began, gets cheaper and keeps every need.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from simkit.arrays import Floats
from simkit.billing.cost import cost_of
from simkit.decide.optimum.bound import Plan
from simkit.decide.optimum.day_by_day import PERFECT, day_by_day
from simkit.decide.optimum.stretch import Stretch
from simkit.decide.schedule.search import BestSchedule, needs_of
from simkit.decide.variants import cheapest_of, run_variants
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import run_home
from simkit.profiles.car import car_sessions
from simkit.year.year import Year

MOVED_KW = 1e-6


@dataclass(frozen=True, eq=False)
class Followed:
    """The plan, as the kernel ran it.

    Attributes
    ----------
    bill
        Of the year [currency].
    grid_kw
        Import and export, (steps, 2) [kW].
    inputs
        What the kernel was given.
    """

    bill: float
    grid_kw: Floats
    inputs: HomeInputs


def simulated(today: Year, found: BestSchedule, plan: Plan, whole: Stretch) -> Followed:
    """Follow the plan in the kernel, from the best rule on, and settle each day.

    Parameters
    ----------
    today, found
        Today's year, whose needs are kept to, and the best rule.
    plan, whole
        The plan, and the limits that it keeps to.
    """
    chosen = HomeInputs(found.best.inputs.home, today.inputs.start, found.best.inputs.series)
    rule = run_variants(today.case, today.setting, [chosen])
    needs = replace(needs_of(today), peak_kw=max(whole.limits.fuse_kw, float(rule.after.peak_import_kw[0])))
    least = float(rule.cost[0])
    for ways in (_cars, _batteries):
        better = cheapest_of(today, [*ways(chosen, found, plan, whole)], needs)
        if better is not None and better[1] < least:
            chosen, least = better
    settled = day_by_day(today, chosen, PERFECT, needs)
    if settled is not None and settled[1] < least:
        chosen, least = settled
    run = run_home(chosen, today.axis.steps, today.axis.hours)
    grid = np.column_stack([run.flow("grid_import"), run.flow("grid_export")])
    return Followed(least + fuel_left(today), grid, chosen)


def _cars(home: HomeInputs, found: BestSchedule, plan: Plan, whole: Stretch) -> Iterator[HomeInputs]:
    """The car as the plan charges it, each session with what it takes today: where stretches meet in it, too."""
    car, case = whole.car, found.today.case.car
    if car is None or case is None:
        return
    charge = np.maximum(plan.values["car"], 0.0)
    for mine in car_sessions(found.today.axis, case):
        room = np.maximum(car.most_kw[mine] - charge[mine], 0.0)
        missing, held = float(home.series["car_kw"][mine].sum() - charge[mine].sum()), float(charge[mine].sum())
        charge[mine] += missing * (room / max(room.sum(), 1e-9) if missing > 0 else charge[mine] / max(held, 1e-9))
    yield replace(home, series=home.series | {"car_kw": charge})


def _batteries(home: HomeInputs, found: BestSchedule, plan: Plan, whole: Stretch) -> Iterator[HomeInputs]:
    """The battery filled from the grid as far as the plan fills it, given back when the plan or the rule would."""
    usable = home.home.usable_kwh
    if usable <= 0:
        return
    into, out = plan.values["into"] > MOVED_KW, plan.values["out"] > MOVED_KW
    filled = np.where(into & (plan.values["bought"] > MOVED_KW), np.clip(plan.values["stored"] / usable, 0.0, 1.0), 0.0)
    rule = found.best.inputs.series
    sold = out & (plan.values["sold"] > MOVED_KW) & whole.limits.sells_stored
    for charge_to in (filled, rule["charge_to"]):
        for release in (out, out | (rule["release"] > 0), ~into, charge_to <= 0.0):
            for sell in (rule["sell"], sold.astype(np.float64)):
                fill = {"charge_to": charge_to, "release": release.astype(np.float64), "sell": sell}
                yield replace(home, series=home.series | fill)


def fuel_left(year: Year) -> float:
    """What fuel there is on the bill of every schedule, burnt by other things [currency]."""
    return year.bill.total - float(cost_of(year.case, year.axis, year.run).electricity[0])
