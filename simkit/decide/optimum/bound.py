"""A simulated year in; a bound that no schedule's cost of energy lies under, and the plan nearest to it, out.

Solved by HiGHS in stretches of the year. A first pass rolls through them in long steps with some days of look-ahead
and reads off what stored energy is worth where they meet; a second one solves each apart, buying its first state and
selling its last at that worth. For any such prices the sum lies at or under the cost of every schedule whose year ends
where it began.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.electricity import NO_LIMIT_KW
from simkit.decide.optimum.coarse import coarse
from simkit.decide.optimum.least_prices import least_prices
from simkit.decide.optimum.linear import Solved, solve
from simkit.decide.optimum.programme import programme_of
from simkit.decide.optimum.stretch import NO_FUSE_KW, CarNeed, Limits, Stretch
from simkit.decide.schedule.search import needs_of
from simkit.physics.records import State
from simkit.profiles.car import car_sessions, car_window
from simkit.year.fuse import fuse_kw
from simkit.year.year import Year

LOOK_AHEAD_DAYS = 4
ROUGH_H = 2.0  # own: steps of the first pass, which only makes prices
WARMTH_PRICE = 1.0  # own: a K·h of missing warmth is charged with so many mean kWh; any number keeps the bound
WATER_PRICE = 0.4
OVER_FUSE_PRICE = 100.0  # own: and a kWh above the fuse with so many
THREADS = 2  # stretches of the second pass that are solved at once
Say = Callable[[str], None]


@dataclass(frozen=True, eq=False)
class Plan:
    """What the relaxed stretches do in each step, (steps,) each by name [kW, kWh, °C]; states at the end of the step.

    Where two stretches meet, the second may begin in another state than that in which the first ended, at its worth.

    Its cost counts what it falls short of warmth and hot water, and goes over the fuse, at the prices of the bound.
    """

    values: dict[str, Floats]
    cost: float


def stretch_of(year: Year, *, keeps_fuse: bool = False) -> Stretch:
    """The whole year as the relaxation takes it, with the limits that every schedule must keep to.

    Parameters
    ----------
    year
        Today's year. Every schedule charges the car with what it takes today, session by session.
    keeps_fuse
        Whether the main fuse is one of those limits.
    """
    case, home, signal, axis = year.case, year.inputs.home, year.setting.signal, year.axis
    battery, car, needs = case.battery, None, needs_of(year).most
    price = float(np.mean(np.maximum(signal.import_per_kwh, 0.0)))
    fuse = fuse_kw(case.site) if keeps_fuse else None
    limits = Limits(
        needs["below_k"], needs["tap_water_unmet"], min(home.export_limit_kw, NO_LIMIT_KW),
        NO_FUSE_KW if fuse is None else fuse, battery is not None and battery.sell_above_price is not None,
        WARMTH_PRICE * price, WATER_PRICE * price, OVER_FUSE_PRICE * price,
    )  # fmt: skip
    if case.car is not None:
        most = car_window(axis, case.car) * case.car.charger_kw
        car = CarNeed.of(car_sessions(axis, case.car), most, year.inputs.series["car_kw"], axis.hours)
    bought, sold = year.flow("grid_import"), year.flow("grid_export")
    prices = least_prices(case.tariff, axis, bought, sold, country=case.site.country)
    return Stretch.of(year.inputs, axis.hours, prices=prices, limits=limits, car=car)


def edges_of(whole: Stretch, stretch_days: int) -> list[int]:
    """First steps of the stretches, and the last one's end: billing months where anything is charged by them.

    A peak's price and a tier's width then lie inside one stretch; any other edges would hold too, and less tightly.
    """
    month = whole.prices.month
    if month is not None:
        return [0, *(np.flatnonzero(np.diff(month)) + 1).tolist(), whole.steps]
    per_day = round(24.0 / whole.hours)
    return [*range(0, whole.steps - stretch_days * per_day // 2, stretch_days * per_day), whole.steps]


def bound_of(whole: Stretch, start: dict[str, float], stretch_days: int, say: Say) -> tuple[float, Plan]:
    """Bound on the cost of energy [currency], and the plan of the second pass.

    A stretch of the second pass begins as soon as the first one knows what energy is worth at both its ends.
    """
    times = max(round(ROUGH_H / whole.hours), 1)
    rough = coarse(whole, times)
    edges = edges_of(rough, stretch_days)
    count, ahead = len(edges) - 1, min(LOOK_AHEAD_DAYS * round(24.0 / rough.hours), rough.steps)
    worth: list[dict[str, float]] = [{}] * (count + 1)

    def apart(w: int) -> Solved:
        part = whole.part(times * edges[w], times * edges[w + 1])
        return solve(programme_of(part), buy=worth[w], sell=worth[w + 1])

    waiting, solved = {}, []
    pool = ThreadPoolExecutor(min(os.cpu_count() or 1, THREADS))
    try:
        for number, w in enumerate([count - 1, *range(count)]):
            say(f"first pass, stretch {max(number, 1)} of {count}")
            steps = edges[w + 1] - edges[w]
            made = programme_of(rough.part(edges[w], edges[w + 1] + ahead))
            roughly = solve(made, fixed=start)
            start = {name: float(roughly.state(name)[steps]) for name in made.links}
            worth[(w + 1) % count] = {name: float(roughly.dual[made.links[name] + steps - 1]) for name in made.links}
            if 0 < w < count - 1:
                waiting[w] = pool.submit(apart, w)
        worth[count] = worth[0]  # the year's end is its beginning, which the last stretch of the first pass told anew
        waiting |= {w: pool.submit(apart, w) for w in {0, count - 1}}
        for number, w in enumerate(sorted(waiting)):
            say(f"second pass, stretch {number + 1} of {count}")
            solved.append(waiting[w].result())
    finally:  # cancelled, what has not begun never does
        pool.shutdown(cancel_futures=True)
    limits = whole.limits
    allowed = limits.per_short * limits.below_k + limits.per_unmet * limits.unmet_kwh
    values = {name: np.concatenate([part.values(name) for part in solved]) for name in solved[0].programme.at}
    slack = {"short": limits.per_short, "unmet": limits.per_unmet, "over_fuse": limits.per_over_fuse}
    priced = sum(price * float(values[name].sum()) * whole.hours for name, price in slack.items() if name in values)
    cost = whole.prices.cost(values["bought"], values["sold"], whole.hours)
    return sum(part.objective for part in solved) - allowed, Plan(values, cost + priced - allowed)


def states_of(at: State, whole: Stretch) -> dict[str, float]:
    """A state of the kernel by the programme's states."""
    edges = whole.edges_c
    found = {"air": at.air_c, "fabric": at.fabric_c, "stored": at.stored_kwh}
    if whole.home.emitter_kwh_per_k > 0.0:
        found["held"] = whole.home.emitter_kwh_per_k * at.emitter_k
    for k in range(len(edges) - 1):
        low, high = float(edges[k]), float(edges[k + 1])
        hot, cold = (min(max(c, low), high) - low for c in (at.hot_c, at.cold_c))
        found[f"layer_{k}"] = whole.home.cylinder_kwh_per_k * (at.hot_share * hot + (1.0 - at.hot_share) * cold)
    return found
