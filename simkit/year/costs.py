"""A simulated year in; what each use of energy costs out, in groups that add up to the bill to the cent.

A bill knows bands and standing charges, not what a kilowatt-hour was for. Here every step's import is shared out over
what ran in that step, in proportion, at that step's price. What goes into a battery is bought for later: its cost is
handed on to what ran when the battery gave it back.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from simkit.arrays import Floats
from simkit.billing.bill import in_units, rounded
from simkit.physics.records import Flows
from simkit.year.simulate import Year

ELECTRIC_USES = ("heating_cost", "hot_water_cost", "household_cost", "car_cost")
GROUPS = (*ELECTRIC_USES, "standing_cost", "export_cost")


def cost_split(year: Year) -> dict[str, float]:
    """Share the year's bill out over heating, hot water, household, car, standing charges and export.

    Parameters
    ----------
    year
        The simulated year.

    Returns
    -------
    dict
        Amount by group of `GROUPS` [currency], whole cents, of which the bill's total is the sum. What rounding leaves
        over (a few cents) stands in the largest group. Fuel for other appliances counts as household; what is due by
        day, by month or for the peak as standing.
    """
    bill, currency = year.bill, year.case.currency
    groups = dict.fromkeys(GROUPS, 0.0)
    groups["standing_cost"] = bill.fixed_amount
    groups["export_cost"] = sum(line.amount for line in bill.lines if line.kind == "export")
    fuel, electricity = _fuel(year), _electricity(year)
    # tiers and netting are no price of a step: the energy of the bill is shared out as the prices of the steps share it
    energy = bill.total - sum(groups.values()) - sum(fuel.values())
    seen = sum(electricity.values())
    for name, amount in electricity.items():
        groups[name] += amount * (energy / seen if seen > 0 else 1.0)
    for name, amount in fuel.items():
        groups[name] += amount
    cents = rounded(np.array(list(groups.values())), currency)
    cents[int(np.argmax(np.abs(cents)))] += int(rounded(np.array(bill.total), currency)) - int(cents.sum())
    return dict(zip(groups, in_units(cents, currency).tolist(), strict=True))


def electric_uses(year: Year) -> Mapping[str, Floats]:
    """Electricity of each use in each step, (steps,) [kW]; standby and a boiler's own go with the heat that was made.

    Parameters
    ----------
    year
        The simulated year.

    Returns
    -------
    dict
        By group of `ELECTRIC_USES`; the battery's charging and idle draw belong to none.
    """
    flows = _Flows(year)
    standby = flows["standby"]
    space_heat = flows["heat_pump_space_heat"] + flows["backup_heater"]
    water_heat = flows["heat_pump_water_heat"] + flows["immersion"]
    by_heat = _share(float(space_heat.sum()), float(water_heat.sum()))
    by_boiler = _boiler_share(year, flows)
    space = flows["heat_pump_space"] + flows["backup_heater"] + flows["pumps_space"] + by_heat * standby
    water = flows["heat_pump_water"] + flows["immersion"] + flows["pumps_water"] + (1.0 - by_heat) * standby
    return {
        "heating_cost": space + by_boiler * flows["boiler"],
        "hot_water_cost": water + (1.0 - by_boiler) * flows["boiler"],
        "household_cost": flows["household"],
        "car_cost": flows["car"],
    }


class _Flows:
    """The year's flows by name, (steps,) each [kW]."""

    def __init__(self, year: Year) -> None:
        self._trace = year.run.trace

    def __getitem__(self, name: str) -> Floats:
        column: Floats = self._trace[:, Flows._fields.index(name)]
        return column


def _share(one: float, other: float) -> float:
    """Part of the first in the sum of both; all of it where there is neither."""
    return one / (one + other) if one + other > 0 else 1.0


def _boiler_share(year: Year, flows: _Flows) -> Floats:
    """Part of the boiler's energy in each step that goes to the rooms, (steps,) [-]; at rest the year's part."""
    home = year.inputs.home
    space = flows["boiler_space_heat"] * home.per_space_efficiency
    both = space + flows["boiler_water_heat"] * home.per_water_efficiency
    of_year = _share(float(space.sum()), float(both.sum() - space.sum()))
    made: Floats = np.where(both > 0, space / np.where(both > 0, both, 1.0), of_year)
    return made


def _electricity(year: Year) -> dict[str, float]:
    """Bought energy by use at each step's price [currency], tax included, standing charges left out."""
    flows, uses = _Flows(year), electric_uses(year)
    paid = flows["grid_import"] * year.setting.signal.import_per_kwh * year.axis.hours
    used = np.sum(list(uses.values()), axis=0)
    drawn = used + flows["battery_charge"] + flows["battery_idle"]
    at_once = np.where(drawn > 0, paid / np.where(drawn > 0, drawn, 1.0), 0.0)
    amounts = {name: float(at_once @ power) for name, power in uses.items()}
    stored = float(paid.sum()) - sum(amounts.values())
    later = flows["battery_discharge"] / np.where(used > 0, used, 1.0)
    given_back = {name: float(later @ power) for name, power in uses.items()}
    total = sum(given_back.values())
    if total <= 0:
        return amounts | {"household_cost": amounts["household_cost"] + stored}
    return {name: amount + stored * given_back[name] / total for name, amount in amounts.items()}


def _fuel(year: Year) -> dict[str, float]:
    """Bought fuel by use [currency], tax included, standing charges left out."""
    flows, fuel = _Flows(year), year.case.fuel
    bought = sum(line.amount for line in year.bill.lines if line.kind == "fuel")
    burnt = float(flows["fuel"].sum()) * year.axis.hours
    if fuel is None or burnt + fuel.other_use_kwh <= 0:
        return {}
    heat = bought * burnt / (burnt + fuel.other_use_kwh)
    space = float(_boiler_share(year, flows) @ flows["fuel"]) * year.axis.hours / burnt if burnt > 0 else 0.0
    return {"heating_cost": heat * space, "hot_water_cost": heat * (1.0 - space), "household_cost": bought - heat}
