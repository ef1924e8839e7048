"""A pupil's simulated years in; the numbers that exercises, worksheet and key are made of, out."""

from __future__ import annotations

import numpy as np
import pandas as pd

from simkit.year.year import Year

TAKEN = ("heat_pump_kw", "backup_heater_kw", "immersion_kw", "pumps_kw", "standby_kw")
MADE = ("space_heat_kw", "hot_water_kw")


def heat_kwh(year: Year) -> float:
    """Heat for rooms and hot water in the year [kWh]."""
    return year.totals["space_heat"] + year.totals["hot_water"]


def taken_kwh(year: Year) -> float:
    """Electricity of heat pump, heaters, pumps and standby in the year [kWh]."""
    names = ("heat_pump_electricity", "backup_heater", "immersion", "pumps", "standby")
    return sum(year.totals[name] for name in names)


def by_day(year: Year) -> pd.DataFrame:
    """Heat made and electricity taken on each local date, in order [kWh]."""
    steps, axis = year.hourly, year.axis
    sums = {name: steps[list(parts)].to_numpy().sum(axis=1) for name, parts in {"heat": MADE, "taken": TAKEN}.items()}
    return pd.DataFrame({name: np.bincount(axis.day, kw) * axis.hours for name, kw in sums.items()}, index=axis.dates)


def in_month(year: Year, month: int) -> pd.Series:
    """Heat made and electricity taken in a month, 1 to 12 [kWh]."""
    days = by_day(year)
    return days[pd.DatetimeIndex(days.index).month == month].sum()


def worst_day(year: Year) -> pd.Series:
    """The day on which least heat came of one kilowatt-hour [kWh]."""
    days = by_day(year)
    return days.loc[(days["heat"] / days["taken"]).idxmin()]


def rooms_kwh(year: Year) -> float:
    """Electricity that the heat pump itself took for the rooms in the year [kWh]."""
    steps = year.hourly
    return float((steps["heat_pump_kw"] * (1.0 - steps["water_share"])).sum() * year.axis.hours)


def flowed_c(year: Year) -> float:
    """Mean temperature of the water that flowed to the rooms, weighted by the heat it brought [°C]."""
    return _over_heat(year, "flow_c")


def heated_at_c(year: Year) -> float:
    """Mean outdoor temperature while the rooms were heated, weighted by heat [°C]."""
    return _over_heat(year, "outdoor_c")


def _over_heat(year: Year, column: str) -> float:
    steps = year.hourly
    heat = steps["space_heat_kw"].to_numpy()
    on = heat > 0
    return float(np.average(steps[column].to_numpy()[on], weights=heat[on]))


def bought_kwh(year: Year, band: str) -> float:
    """Electricity bought in a band of the tariff in the year [kWh]."""
    return next(line.quantity for line in year.bill.lines if line.kind == "energy" and line.label == band)
