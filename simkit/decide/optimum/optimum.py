"""A case in; the least that any schedule could cost, its plan simulated, the best rule and today, out.

The bound (`bound`) knows the whole year ahead and bends no schedule down to what a controller can be told; the best
rule (`schedules`) can be typed in. Between them lies the plan behind the bound, followed in the kernel.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from importlib.util import find_spec
from typing import Any

import numpy as np
import pandas as pd

from simkit.answered import Answered
from simkit.billing.charge import fixed_cost
from simkit.billing.charges.on_axis import laid
from simkit.case.case import Case
from simkit.decide.optimum.bound import Plan, Say, bound_of, states_of, stretch_of
from simkit.decide.optimum.foresight import Controls, control_costs
from simkit.decide.optimum.least_prices import rounding_of
from simkit.decide.optimum.plan_in_kernel import Followed, fuel_left, simulated
from simkit.decide.schedule.search import BestSchedule, best_schedule, require_heat_pump
from simkit.errors import CaseError, Fault
from simkit.notation import currency_digits
from simkit.year.year import Year

STRETCH_DAYS = 7
FEWEST_DAYS = 1


@dataclass(frozen=True, eq=False, repr=False)
class Optimum(Answered):
    """The four numbers, in order, and where they come from.

    Attributes
    ----------
    bound
        No schedule that keeps to the needs costs less [currency].
    plan
        The relaxed plan behind the bound.
    followed
        The plan simulated in the kernel, the needs kept.
    schedule
        The best rule, and today.
    notes
        Where the bound lies lower than it need, and what it keeps to, one sentence each.
    """

    answered_by = "simkit.answers.optimum:optimum_answer"
    bound: float
    plan: Plan
    followed: Followed
    schedule: BestSchedule
    notes: tuple[str, ...] = ()

    @property
    def today(self) -> Year:
        """Today's year."""
        return self.schedule.today

    def table(self) -> pd.DataFrame:
        """The four numbers, bound first, with how far each lies above it."""
        rows: list[tuple[str, float]] = [("lowest conceivable cost", self.bound)]
        rows += [
            ("its plan, simulated", self.followed.bill),
            ("best schedule to type in", self.schedule.best.bill.total),
            ("today", self.today.bill.total),
        ]
        frame = pd.DataFrame(rows, columns=["what", "cost"]).set_index("what")
        frame["above_bound"] = frame["cost"] / self.bound - 1.0
        return frame

    @cached_property
    def control(self) -> Controls:
        """What a year costs by what its control knows: the clock, yesterday, a forecast, the days themselves.

        Worked out when it is first asked for: two years are settled day by day.
        """
        return Controls(control_costs(self.schedule, self.followed), self.bound, self.today.case.currency)

    @cached_property
    def gap_by_month(self) -> pd.DataFrame:
        """Where in the year the gap lies: energy cost by month.

        Columns: the relaxed plan, that plan simulated, the best schedule, today, and the best schedule above the plan.

        The plan's months add up to the cost of the plan less what is fixed, not to the bound.
        """
        axis, signal = self.today.axis, self.today.setting.signal
        plan, found = self.plan.values, {}
        grids: dict[str, Any] = {"plan": (plan["bought"], plan["sold"]), "simulated": self.followed.grid_kw.T}
        for name, year in (("best_schedule", self.schedule.best), ("today", self.today)):
            grids[name] = year.flow("grid_import"), year.flow("grid_export")
        for name, (bought, sold) in grids.items():
            cost = (bought * signal.import_per_kwh - sold * signal.export_per_kwh) * axis.hours
            found[name] = np.bincount(axis.month, cost, minlength=13)[1:]
        frame = pd.DataFrame(found, index=pd.Index(range(1, 13), name="month"))
        frame["gap"] = frame["best_schedule"] - frame["plan"]
        return frame

    def __repr__(self) -> str:
        money = self.today.case.notation.money
        rows = [f"{name}: {money(row.cost)}" for name, row in self.table().iterrows()]
        return "; ".join(rows)


def optimum(
    case: Case,
    *,
    before_each: Say | None = None,
    stretch_days: int = STRETCH_DAYS,
    schedule: BestSchedule | None = None,
) -> Optimum:
    """Find the least that any schedule of this home could cost, and how near a schedule comes that one can type in.

    Parameters
    ----------
    case
        A home with a heat pump.
    before_each
        Called with a word before each piece of work; raise from it (or press Ctrl-C) to cancel.
    stretch_days
        Length of the stretches [d].
    schedule
        What `best_schedule` found for the same case; None searches.

    Raises
    ------
    CaseError
        Where HiGHS is not installed, no heat pump heats the home, no schedule holds the needed comfort, or a stretch is
        under a day.
    """
    say = before_each or (lambda _: None)
    _require(case, stretch_days)
    found = schedule or best_schedule(case, before_each=say)
    _require_comfort(found)
    today = found.today
    country, fused = case.site.country, fuse_kept(found)
    stretch = stretch_of(today, keeps_fuse=fused is True)
    bound, plan = bound_of(stretch, states_of(today.run.before, stretch), stretch_days, say)
    fixed = fixed_cost(case.tariff, today.axis, country=country) + fuel_left(today)
    say("the plan in the kernel")
    followed = simulated(today, found, plan, stretch)
    rounding = rounding_of(
        laid(case.tariff, today.axis, country), len(today.bill.lines), currency_digits(case.currency)
    )
    bound = bound + fixed - rounding
    notes = list(stretch.prices.notes)
    if fused is not None:
        fuse = f"the main fuse of {case.site.fuse_a or 0.0:g} A"
        over = f"Today's schedule or the best rule goes over {fuse}: the lowest conceivable cost leaves it out."
        notes.append(
            f"Every schedule compared here keeps to {fuse}, and so does the lowest conceivable cost." if fused else over
        )
    return Optimum(bound, Plan(plan.values, plan.cost + fixed), followed, found, tuple(notes))


def fuse_kept(found: BestSchedule) -> bool | None:
    """Whether today and the best rule both keep to the main fuse; None where none is stated."""
    used = (found.today.fuse, found.best.fuse)
    return None if used[0] is None else all(use is not None and use.hours_over == 0 for use in used)


def _require(case: Case, stretch_days: int) -> None:
    """Refuse what the bound would not hold for."""
    if find_spec("highspy") is None:
        remedy = "Install it into this environment: python -m pip install highspy"
        raise CaseError(Fault("", "optimum", "needs highspy, which is not installed", remedy))
    require_heat_pump(case)
    if stretch_days < FEWEST_DAYS:
        given, allowed = f"stretch_days = {stretch_days}", "is shorter than a day, in which nothing can be moved"
        raise CaseError(Fault("optimum", given, allowed, "Write 1 or more, such as 7"))


def _require_comfort(found: BestSchedule) -> None:
    """Refuse a home in which the least cost would be that of rooms that stay cold."""
    if found.kept:
        return
    given, allowed = f"{found.tried} schedules", "were simulated, and none of them holds the needed comfort"
    remedy = "See with `simkit schedules` what comes nearest and what is missing, and change that first"
    raise CaseError(Fault(found.case.label, given, allowed, remedy))
