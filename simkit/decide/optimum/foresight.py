"""The best rule in; what a controller costs that settles each day anew, by what it knows of the days ahead, out.

By the clock it is the best rule itself, whose hours are the same every day. The others begin with it and settle rooms,
flow, hot water and battery each midnight (`day_by_day`): by yesterday's weather, prices and use, taken for those of
the days ahead; by a forecast, which sees half of what changes from yesterday on and the prices of the coming day; or
by the days themselves, which is perfect knowledge. Each is a simulated year that keeps every need that today keeps.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import pandas as pd

from simkit.decide.optimum.day_by_day import FORECAST, YESTERDAYS, day_by_day
from simkit.decide.optimum.plan_in_kernel import Followed, fuel_left
from simkit.decide.schedule.search import BestSchedule, needs_of
from simkit.decide.tariff.day_ahead import yesterday
from simkit.decide.variants import cheapest_of
from simkit.kernel.inputs import HomeInputs
from simkit.profiles.car import car_kw

BY_CLOCK, BY_YESTERDAY, BY_FORECAST, BY_DAY = "by the clock", "by yesterday", "by a forecast", "by the day itself"


@dataclass(frozen=True)
class Controls:
    """What the best rule costs by what its control knows.

    Attributes
    ----------
    costs
        Cost by control, in the order of knowing more [currency].
    bound, currency
        No schedule costs less; and the currency of both.
    """

    costs: dict[str, float]
    bound: float
    currency: str

    def table(self) -> pd.DataFrame:
        """Each control's cost and how far it lies above the bound, the bound last."""
        frame = pd.DataFrame({"cost": {**self.costs, "bound": self.bound}})
        frame.index.name = "control"
        frame["above_bound"] = frame["cost"] / self.bound - 1.0
        return frame


def control_costs(found: BestSchedule, followed: Followed) -> dict[str, float]:
    """Cost of the year under each control, in the order of knowing more [currency].

    Who knows more may still do what who knows less does, so that the costs fall, or stay, along the order.

    Parameters
    ----------
    found
        The best rule.
    followed
        The year that knows every day beforehand.
    """
    today, needs, left = found.today, needs_of(found.today), fuel_left(found.today)
    rule = HomeInputs(found.best.inputs.home, today.inputs.start, found.best.inputs.series)
    least, price = found.best.bill.total, today.setting.signal.import_per_kwh
    costs = {BY_CLOCK: least}
    for control, knows, seen in (
        (BY_YESTERDAY, YESTERDAYS, yesterday(price, today.axis)), (BY_FORECAST, FORECAST, price),
    ):  # fmt: skip
        begin = rule
        if today.case.car is not None:
            by_price = today.case.car.model_copy(update={"charging": "by_price"})
            moved = replace(rule, series=rule.series | {"car_kw": car_kw(today.axis, by_price, seen)})
            begin = (cheapest_of(today, [rule, moved], needs) or (rule, least))[0]
        settled = day_by_day(today, begin, knows, needs)
        least = min([least, *([] if settled is None else [settled[1] + left])])
        costs[control] = least
    costs[BY_DAY] = min(least, followed.bill)
    return costs
