"""A simulated year in; what each use of energy costs out, in groups that add up to the bill to the cent.

A bill knows bands and standing charges, not what a kilowatt-hour was for. Here every step's import is shared out over
what ran in that step, in proportion, at that step's price. What goes into a battery is bought for later: its cost is
handed on to what ran when the battery gave it back.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.billing.bill import Bill, in_units, rounded
from simkit.billing.charges.on_axis import laid
from simkit.notation import in_notation
from simkit.profiles.other_heat import room_heater_kw

if TYPE_CHECKING:
    from simkit.year.year import Year

ELECTRIC_USES = ("heating_cost", "hot_water_cost", "household_cost", "car_cost", "other_heat_cost")
GROUPS = (*ELECTRIC_USES, "standing_cost", "export_cost")


class Costs:
    """What a year's bill went on.

    Parameters
    ----------
    year
        The simulated year.
    """

    def __init__(self, year: Year) -> None:
        self.year = year

    @cached_property
    def by_use(self) -> dict[str, float]:
        """Amount by group of `GROUPS` [currency], whole cents, of which the bill's total is the sum.

        What rounding leaves over (a few cents) stands in the largest group. Fuel for other appliances counts as
        household; what is due by day, by month or for the peak as standing.
        """
        bill, currency = self.year.bill, self.year.case.currency
        groups = dict.fromkeys(GROUPS, 0.0)
        groups["standing_cost"] = bill.fixed_amount
        groups["export_cost"] = sum(line.amount for line in bill.lines if line.kind == "export")
        fuel, electricity = fuel_by_use(self.year), _electricity(self.year)
        # tiers and netting are no price of a step: the energy of the bill is shared out as the steps' prices share it
        energy = bill.total - sum(groups.values()) - sum(fuel.values())
        seen = sum(electricity.values())
        for name, amount in electricity.items():
            groups[name] += amount * (energy / seen if seen > 0 else 1.0)
        for name, amount in fuel.items():
            groups[name] += amount
        cents = rounded(np.array(list(groups.values())), currency)
        cents[int(np.argmax(np.abs(cents)))] += int(rounded(np.array(bill.total), currency)) - int(cents.sum())
        return dict(zip(groups, in_units(cents, currency).tolist(), strict=True))

    @cached_property
    def by_day(self) -> pd.Series:
        """Cost by local date, (days,) [currency]; its sum is the bill's total.

        Energy falls on the day on which it is used, at each step's price, fuel where it is burnt; what is due by day,
        month or peak is the same every day of its month. Tiers are no price of a day: they are shared out as the prices
        of the steps share the energy.
        """
        year, axis, bill = self.year, self.year.axis, self.year.bill
        month = axis.dates.astype("datetime64[M]").astype(np.int64) % 12
        bought = np.bincount(axis.day, weights=year.flow("grid_import") * year.setting.signal.import_per_kwh)
        sold = np.bincount(axis.day, weights=year.flow("grid_export") * year.setting.signal.export_per_kwh)
        burnt = np.bincount(axis.day, weights=year.flow("fuel"))
        cost = np.zeros(len(axis.dates))
        for number in range(12):
            days, lines = month == number, _by_kind(bill, number)
            cost[days] = _shared(lines["energy"], bought[days]) + _shared(lines["export"], sold[days])
            cost[days] += _shared(lines["fuel"], burnt[days]) + lines["fixed"] / days.sum()
        return pd.Series(cost, index=pd.DatetimeIndex(axis.dates, name="date"), name="day_cost")

    @cached_property
    def by_band(self) -> pd.DataFrame:
        """Bought electricity by band and use, one row by band, the cheapest first [kWh].

        `heating_kwh`, `hot_water_kwh`, `household_kwh`, `car_kwh` and `battery_kwh` (what went into the battery);
        `price_per_kwh` with tax, and `share` of all that is bought. A tariff without bands is one row. Of solar each
        use is taken to have its share of the step.
        """
        year, axis = self.year, self.year.axis
        terms = laid(year.case.tariff, axis, year.case.site.country)
        energy = [line for line in terms.bought.lines if line.kind == "energy"]
        parts = {name.replace("_cost", "_kwh"): power for name, power in electric_uses(year).items()}
        parts["battery_kwh"] = year.flow("battery_charge")
        drawn = np.sum(list(parts.values()), axis=0)
        share = year.flow("grid_import") * axis.hours / np.where(drawn > 0, drawn, 1.0)
        weights, names, prices = np.ones((1, axis.steps)), ["All of it"], [year.bill.mean_price_per_kwh]
        if energy:
            weights = terms.bought.weights[[line.row for line in energy]]
            names = [in_notation(line.label, year.case.notation) for line in energy]
            prices = [line.price * (1.0 + line.tax) for line in energy]
        rows = {name: weights @ (power * share) for name, power in parts.items()}
        frame = pd.DataFrame(rows, index=pd.Index(names, name="band"))
        total = float(frame.to_numpy().sum())
        frame["price_per_kwh"] = prices
        frame["share"] = frame[list(parts)].sum(axis=1) / total if total else 0.0
        return frame.sort_values("price_per_kwh")


def _by_kind(bill: Bill, month: int) -> dict[str, float]:
    """What a month's lines come to for energy, export, fuel, and all that is due whatever is used [currency]."""
    lines = dict.fromkeys(("energy", "export", "fuel", "fixed"), 0.0)
    for line in bill.lines:
        name: str = line.kind if line.kind in ("export", "fuel") else "fixed"
        if line.kind in ("energy", "market", "tier") or (line.unit == "kWh" and line.kind == "levy"):
            name = "energy"
        if line.kind != "tax":
            lines[name] += float(line.months[month]) * (1.0 + line.tax)
    lines["fixed"] += float(bill.months[month]) - sum(lines.values())
    return lines


def _shared(amount: float, weights: Floats) -> Floats:
    """An amount shared out by weights, evenly where there are none."""
    total = weights.sum()
    return amount * (weights / total if total else np.full(len(weights), 1.0 / len(weights)))


def electric_uses(year: Year) -> Mapping[str, Floats]:
    """Electricity of each use in each step, (steps,) [kW]; standby and a boiler's own go with the heat that was made.

    Parameters
    ----------
    year
        The simulated year.

    Returns
    -------
    dict
        By group of `ELECTRIC_USES`, that of a heater in one room only where there is one; the battery's charging and
        idle draw belong to none.
    """
    standby = year.flow("standby")
    space_heat = year.flow("heat_pump_space_heat") + year.flow("backup_heater")
    water_heat = year.flow("heat_pump_water_heat") + year.flow("immersion")
    by_heat = _share(float(space_heat.sum()), float(water_heat.sum()))
    by_boiler = boiler_share(year)
    space = year.flow("heat_pump_space") + year.flow("backup_heater") + year.flow("pumps_space") + by_heat * standby
    water = year.flow("heat_pump_water") + year.flow("immersion") + year.flow("pumps_water") + (1.0 - by_heat) * standby
    heater = room_heater_kw(year.case.room_heater, year.setting.weather)
    uses = {
        "heating_cost": space + by_boiler * year.flow("boiler"),
        "hot_water_cost": water + (1.0 - by_boiler) * year.flow("boiler"),
        "household_cost": year.flow("household") - heater,
        "car_cost": year.flow("car"),
    }
    return uses | {"other_heat_cost": heater} if heater.any() else uses


def _share(one: float, other: float) -> float:
    """Part of the first in the sum of both; all of it where there is neither."""
    return one / (one + other) if one + other > 0 else 1.0


def boiler_share(year: Year) -> Floats:
    """Part of the boiler's energy in each step that goes to the rooms, (steps,) [-]; at rest the year's part."""
    home = year.inputs.home
    space = year.flow("boiler_space_heat") * home.per_space_efficiency
    both = space + year.flow("boiler_water_heat") * home.per_water_efficiency
    of_year = _share(float(space.sum()), float(both.sum() - space.sum()))
    made: Floats = np.where(both > 0, space / np.where(both > 0, both, 1.0), of_year)
    return made


def _electricity(year: Year) -> dict[str, float]:
    """Bought energy by use at each step's price [currency], tax included, standing charges left out."""
    uses = electric_uses(year)
    paid = year.flow("grid_import") * year.setting.signal.import_per_kwh * year.axis.hours
    used = np.sum(list(uses.values()), axis=0)
    drawn = used + year.flow("battery_charge") + year.flow("battery_idle")
    at_once = np.where(drawn > 0, paid / np.where(drawn > 0, drawn, 1.0), 0.0)
    amounts = {name: float(at_once @ power) for name, power in uses.items()}
    stored = float(paid.sum()) - sum(amounts.values())
    later = year.flow("battery_discharge") / np.where(used > 0, used, 1.0)
    given_back = {name: float(later @ power) for name, power in uses.items()}
    total = sum(given_back.values())
    if total <= 0:
        return amounts | {"household_cost": amounts["household_cost"] + stored}
    return {name: amount + stored * given_back[name] / total for name, amount in amounts.items()}


def fuel_by_use(year: Year) -> dict[str, float]:
    """Bought fuel by use, by group of `ELECTRIC_USES` [currency], tax included, standing charges left out."""
    fuel = year.case.fuel
    stove = {"other_heat_cost": sum(line.amount for line in year.bill.lines if line.kind == "stove")}
    bought = sum(line.amount for line in year.bill.lines if line.kind == "fuel")
    burnt = float(year.flow("fuel").sum()) * year.axis.hours
    if fuel is None or burnt + fuel.other_use_kwh <= 0:
        return stove
    heat = bought * burnt / (burnt + fuel.other_use_kwh)
    space = float(boiler_share(year) @ year.flow("fuel")) * year.axis.hours / burnt if burnt > 0 else 0.0
    uses = {"heating_cost": heat * space, "hot_water_cost": heat * (1.0 - space), "household_cost": bought - heat}
    return uses | stove
