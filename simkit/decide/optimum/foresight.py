"""The best rule in; what it costs once it goes by the clock, by yesterday, or by the day itself, out.

By the clock it is the best rule itself, whose hours are the same every day. The other two begin with it and move hot
water, a little more warmth, the car and the battery into the hours that are cheapest by yesterday's weather and prices,
or by those of the day itself, which is perfect knowledge of the day. Each is simulated and keeps every need that today
keeps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.assemble.home import home_inputs
from simkit.case.build import vary
from simkit.decide.optimum.plan_in_kernel import fuel_left
from simkit.decide.schedule.candidates import AFTERNOON, MORNING
from simkit.decide.schedule.search import BestSchedule, needs_of
from simkit.decide.tariff.day_ahead import cheapest_steps, yesterday
from simkit.decide.variants import cheapest_of
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.kernel import EXTREMES
from simkit.physics.heat_pump import reference_cops
from simkit.physics.running import lift_of
from simkit.profiles.car import car_kw

BY_CLOCK, BY_YESTERDAY, BY_DAY = "by the clock", "by yesterday", "by the day itself"
FILL_BY = {BY_YESTERDAY: "yesterday", BY_DAY: "tomorrow"}
WHOLE_DAY = (0, 24 * 60)
WATER_H = (((2.0, MORNING), (2.0, AFTERNOON)), ((3.0, MORNING), (2.0, AFTERNOON)), ((3.0, WHOLE_DAY),),
           ((4.0, WHOLE_DAY),), ((6.0, WHOLE_DAY),))  # fmt: skip
WARMER = ((0.0, 0.0), (0.5, 0.0), (1.0, 0.0), (0.5, -0.1), (1.0, -0.1), (1.0, -0.2), (1.5, -0.3))  # then, and else [K]
WARMER_H = (3.0, 5.0)
WATER_OVER_TARGET_K = 5.0  # own: flow of a reheat over the water it ends at
ALL_SPARE_KW = 1.5  # own: so much from the panels beyond the household runs the machine without the grid


@dataclass(frozen=True, eq=False)
class Seen:
    """What a control takes for the day ahead.

    Attributes
    ----------
    price
        Of a kilowatt-hour, the panels' spare energy at what its export earns, (steps,) [currency/kWh].
    rooms, water
        Of a kilowatt-hour of heat for the rooms and for hot water, (steps,) [currency/kWh].
    """

    price: Floats
    rooms: Floats
    water: Floats


def seen_by(found: BestSchedule, control: str) -> Seen:
    """What the control by yesterday or by the day itself goes by."""
    best = found.best
    axis, signal, home, series = best.axis, best.setting.signal, best.inputs.home, best.inputs.series
    spare = np.clip((series["solar_kw"] - series["household_kw"]) / ALL_SPARE_KW, 0.0, 1.0)
    price = signal.import_per_kwh * (1.0 - spare) + signal.export_per_kwh * spare
    flow = series["set_point_c"] + home.design_excess_k * series["curve_shape"]
    target = float(series["water_target_c"].max()) + WATER_OVER_TARGET_K
    heat = []
    for at in (flow, np.full(len(flow), target)):
        reference = reference_cops(at, series["source_c"], lift_of(home))
        heat.append(price / np.maximum(home.efficiency_scale * series["efficiency_2"] * reference, 1.0))
    known = (price, *heat)
    return Seen(*(known if control == BY_DAY else (yesterday(values, axis) for values in known)))


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


def control_costs(found: BestSchedule) -> dict[str, float]:
    """Cost of the year under each control, in the order of knowing more [currency].

    Who knows more may still do what who knows less does, so that the costs fall, or stay, along the order.
    """
    needs, left = needs_of(found.today), fuel_left(found.today)
    start = found.today.run.after._replace(**EXTREMES)
    chosen, least = HomeInputs(found.best.inputs.home, start, found.best.inputs.series), found.best.bill.total
    costs = {BY_CLOCK: least}
    for control in FILL_BY:
        seen = seen_by(found, control)
        for ways in (_car, _battery, _heat):
            better = cheapest_of(found.today, [*ways(chosen, found, seen, control)], needs)
            if better is not None and better[1] + left < least:
                chosen, least = better[0], better[1] + left
        costs[control] = least
    return costs


def _car(home: HomeInputs, found: BestSchedule, seen: Seen, _: str) -> Iterator[HomeInputs]:
    car = found.today.case.car
    if car is not None:
        by_price = car.model_copy(update={"charging": "by_price"})
        yield replace(home, series=home.series | {"car_kw": car_kw(found.today.axis, by_price, seen.price)})


def _battery(home: HomeInputs, found: BestSchedule, _: Seen, control: str) -> Iterator[HomeInputs]:
    battery = found.best.case.battery
    if battery is not None and battery.fill_below_price is not None:
        case = vary(found.best.case, {"battery.fill_by": FILL_BY[control]})
        made = home_inputs(case, found.best.setting, found.best.loss_w_per_k)
        yield replace(home, series=home.series | {"charge_to": made.series["charge_to"]})


def _heat(home: HomeInputs, found: BestSchedule, seen: Seen, _: str) -> Iterator[HomeInputs]:
    """Hot water and warmer rooms in the hours of cheap heat, in every combination."""
    rule, axis = found.best.inputs.series, found.today.axis
    forced = rule["water_forced"] > 0.5
    target = float(np.max(np.where(forced, 0.0, rule["water_target_c"])))
    waters: list[dict[str, Floats]] = [{}]
    for spans in WATER_H:
        open_ = np.any([cheapest_steps(seen.water, axis, hours, part=part) for hours, part in spans], axis=0)
        waters.append({"water_target_c": np.where(forced, rule["water_target_c"], np.where(open_, target, 0.0))})
    lifts = WARMER if not found.best.case.emitters.lag_left_out else WARMER[:1]
    rooms: list[dict[str, Floats]] = [{}]
    for (then, otherwise), hours in product(lifts, WARMER_H):
        if then:
            cheap = cheapest_steps(seen.rooms, axis, hours)
            rooms.append({"set_point_c": rule["set_point_c"] + np.where(cheap, then, otherwise)})
    for water, room in product(waters, rooms):
        yield replace(home, series=home.series | water | room)
