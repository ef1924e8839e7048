"""A plan of the relaxed year in; the bill that it comes to in the kernel, the needed comfort kept, out.

The best rule is where it starts. Car, battery, rooms and hot water are then made to follow the plan, one after the
other, each in several ways; a way is taken where the simulated year gets cheaper and keeps every need.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from simkit.arrays import Floats
from simkit.billing.cost import cost_of
from simkit.decide.optimum.bound import Plan
from simkit.decide.optimum.stretch import WIDEST_C, Stretch
from simkit.decide.schedule.search import BestSchedule, needs_of
from simkit.decide.variants import cheapest_of, run_variants
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import run_home
from simkit.physics.constants import SAFE_ROOM_C
from simkit.year.year import Year

ROUNDS = 2
ABOVE_PLAN_K = (-0.3, -0.1, 0.0, 0.15)
UNDER_NEEDED_K = (-0.05, 0.0)  # how far the course may lie under what is needed: on it rooms are felt cool at times
HYSTERESES_K = (1.0, 2.0, 3.0, 4.0, 6.0, 8.0)  # of the water's sensor
SAFE_MARGIN_K = 0.02
AHEAD_H = (3.0,) * 6 + (6.0,) * 6 + (12.0,) * 6 + (24.0,) * 6  # own: how long before a room was too cool it is warmed
LEAST_SHARE = 0.25  # own: of what is missing that a correction makes good at least, where too much is missing
MOVED_KW = 1e-6
HEATED_KW = 0.05


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
    """Follow the plan in the kernel, from the best rule on.

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
    for _ in range(ROUNDS):
        before = least
        for ways in (_cars, _batteries, _rooms, _waters):
            better = cheapest_of(today, [*ways(chosen, found, plan, whole)], needs)
            if better is not None and better[1] < least:
                chosen, least = better
        if least >= before:
            break
    run = run_home(chosen, today.axis.steps, today.axis.hours)
    grid = np.column_stack([run.flow("grid_import"), run.flow("grid_export")])
    return Followed(least + fuel_left(today), grid, chosen)


def _cars(home: HomeInputs, _: BestSchedule, plan: Plan, whole: Stretch) -> Iterator[HomeInputs]:
    """The car as the plan charges it."""
    if whole.car is not None:
        yield replace(home, series=home.series | {"car_kw": np.maximum(plan.values["car"], 0.0)})


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


def _rooms(home: HomeInputs, _: BestSchedule, plan: Plan, whole: Stretch) -> Iterator[HomeInputs]:
    """The rooms on the plan's course or near it, at the least flow that will do, and never let down too far."""
    least = home.home._replace(flow_least=1.0, flow_fixed=0.0, design_excess_k=WIDEST_C[1], recovery_lift_k=20.0)
    ones = np.ones(whole.steps)
    needed = np.maximum(whole.room_c, np.roll(whole.room_c, -1))
    for lift in ABOVE_PLAN_K:
        for under in UNDER_NEEDED_K:
            course = np.maximum(plan.values["air"] + lift, np.maximum(needed - under, SAFE_ROOM_C + SAFE_MARGIN_K))
            series = {"set_point_c": course, "curve_share": ones, "curve_shape": ones}
            yield _warmed(HomeInputs(least, home.start, home.series | series), whole)


def _warmed(home: HomeInputs, whole: Stretch) -> HomeInputs:
    """The same with set-points raised ahead of where rooms were too cool, until they hold."""
    course = home.series["set_point_c"]
    for ahead in AHEAD_H:
        made = run_home(replace(home, series=home.series | {"set_point_c": course}), whole.steps, whole.hours)
        missing = np.maximum(SAFE_ROOM_C + 0.5 * SAFE_MARGIN_K - made.flow("air_c"), 0.0)
        below = made.flow("below_k")
        if below.sum() * whole.hours > whole.limits.below_k:
            too_much = 1.0 - whole.limits.below_k / (below.sum() * whole.hours)
            missing = np.maximum(missing, below * max(too_much, LEAST_SHARE))
        if missing.max() <= 0.0:
            break
        back = range(max(1, round(ahead / whole.hours)))
        course = course + np.max([np.roll(missing, -k) for k in back], axis=0)
    return replace(home, series=home.series | {"set_point_c": course})


def _waters(home: HomeInputs, found: BestSchedule, plan: Plan, whole: Stretch) -> Iterator[HomeInputs]:
    """Water heated as the rule or today's windows have it, or where the plan heats it, the sensor set finer or wider.

    Target and hot cycles stay as they are in all of them.
    """
    names = ("water_target_c", "water_forced", "immersion_allowed")
    today, rule = found.today.inputs.series, found.best.inputs.series
    forced = today["water_forced"] > 0.5
    target = float(np.max(np.where(forced, 0.0, today["water_target_c"])))
    charged = np.sum([plan.values[name] for name in plan.values if name.startswith("charge_")], axis=0)
    wanted = np.where(charged > HEATED_KW, target, 0.0)
    planned = today | {"water_target_c": np.where(forced, today["water_target_c"], wanted)}
    for series in (rule, today, planned):
        for hysteresis in HYSTERESES_K:
            water = {name: series[name] for name in names}
            yield HomeInputs(home.home._replace(hysteresis_k=hysteresis), home.start, home.series | water)


def fuel_left(year: Year) -> float:
    """What fuel there is on the bill of every schedule, burnt by other things [currency]."""
    return year.bill.total - float(cost_of(year.case, year.axis, year.run).electricity[0])
