"""A plan of the relaxed year in; the bill that it comes to in the kernel, the needed comfort kept, out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from simkit.bill import charge
from simkit.decide.bound import Plan
from simkit.decide.lanes import run_variants
from simkit.decide.relaxed_year import WIDEST_C
from simkit.decide.schedules import BestSchedule, Needs
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import run_home
from simkit.physics.records import Flows
from simkit.year import Year

Floats = NDArray[np.float64]

ABOVE_PLAN_K = (0.0, 0.05, 0.1, 0.2, 0.35, 0.5)
CLOSE_K = 2.0  # hysteresis with which the water follows the plan
LEAST_HEAT_KW, OFF_C = 0.05, 5.0  # where the plan heats less, the rooms are left alone


def simulated(today: Year, found: BestSchedule, plan: Plan) -> tuple[float | None, Floats | None]:
    """Bill of the plan in the kernel, and its import and export, (steps, 2); None where no try keeps the needs.

    The rooms follow the plan's course, or a little above it, at the least flow that will do, or keep to the best rule;
    so do hot water and battery: of all these the cheapest that keeps the needs.
    """
    best, base = found.best.inputs, today.inputs
    planned = _water_of_plan(base, plan)
    tries = [best]
    for water, hysteresis in ((best.series, base.home.hysteresis_k), (planned, CLOSE_K)):
        rooms = [_follow(base, plan, lift, hysteresis) for lift in ABOVE_PLAN_K]
        rooms.append(HomeInputs(best.home._replace(hysteresis_k=hysteresis), base.start, best.series))
        for room in rooms:
            kept = {name: water[name] for name in ("water_target_c", "water_forced", "immersion_allowed")}
            series = room.series | kept
            tries.append(HomeInputs(room.home, base.start, series))
            if room.home.usable_kwh > 0:
                tries.append(HomeInputs(room.home, base.start, series | _battery_of_plan(room, plan)))
    made = run_variants(today.case, today.setting, tries)
    kept_needs = Needs.of(today).kept(made)
    if not kept_needs.any():
        return None, None
    cheapest = int(np.argmin(np.where(kept_needs, made.cost, np.inf)))
    run = run_home(tries[cheapest], today.axis.steps, today.axis.hours)
    columns = [Flows._fields.index(name) for name in ("grid_import", "grid_export")]
    return float(made.cost[cheapest]) + fuel_left(today), run.trace[:, columns]


def _follow(base: HomeInputs, plan: Plan, lift_k: float, hysteresis_k: float) -> HomeInputs:
    """The home made to follow the plan's course of the room, at the least flow; left alone where the plan rests."""
    home = base.home._replace(
        flow_least=1.0, flow_fixed=0.0, design_excess_k=WIDEST_C[1], recovery_lift_k=20.0, hysteresis_k=hysteresis_k
    )
    heated = sum(plan.values[name] for name in plan.values if name.startswith("heat_"))
    course = np.where(np.asarray(heated) > LEAST_HEAT_KW, plan.values["air"] + lift_k, OFF_C)
    ones = np.ones(len(course))
    series = base.series | {"set_point_c": course, "curve_share": ones, "curve_shape": ones}
    return HomeInputs(home, base.start, series)


def _battery_of_plan(home: HomeInputs, plan: Plan) -> dict[str, Floats]:
    """The battery filled from the grid as far as the plan fills it, and released where the plan gives back."""
    from_grid = (plan.values["into"] > 1e-6) & (plan.values["bought"] > 1e-6)
    return {
        "fill_to": np.where(from_grid, plan.values["stored"] / home.home.usable_kwh, 0.0),
        "release": (plan.values["out"] > 1e-6).astype(np.float64),
    }


def _water_of_plan(base: HomeInputs, plan: Plan) -> dict[str, Floats]:
    """Water is heated where the plan heats it, to today's target; hot cycles stay."""
    target = float(np.max(np.where(base.series["water_forced"] > 0.5, 0.0, base.series["water_target_c"])))
    charged = sum(plan.values[name] for name in plan.values if name.startswith("charge_"))
    forced = base.series["water_forced"] > 0.5
    wanted = np.where(np.asarray(charged) > 0.05, target, 0.0)
    return dict(base.series) | {"water_target_c": np.where(forced, base.series["water_target_c"], wanted)}


def fuel_left(year: Year) -> float:
    """What fuel there is on the bill of every schedule, burnt by other things [currency]."""
    electric = charge(
        year.case.tariff, year.axis, *(flow * year.axis.hours for flow in grid_of(year)),
        country=year.case.site.country,
    )  # fmt: skip
    return year.bill.total - electric.total


def grid_of(year: Year) -> tuple[Floats, Floats]:
    """Import and export of a year, (steps,) each [kW]."""
    return year.hourly["import_kw"].to_numpy(), year.hourly["export_kw"].to_numpy()
