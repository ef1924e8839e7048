"""A simulated year in; whether the machine and the emitters are big enough, in figures and one sentence, out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.assemble.emitters import design_load_kw
from simkit.assemble.machine import machine_map
from simkit.assemble.rooms import design_flow_c
from simkit.notation import PLAIN
from simkit.weather.coldest import coldest_week
from simkit.year.comfort import Wording, YearComfort

if TYPE_CHECKING:
    from simkit.year.year import Year


ENOUGH = 0.95  # own: a twentieth less than the load is not yet felt
LARGE = 1.5  # own


@dataclass(frozen=True)
class Sizing:
    """Capacity against load.

    Attributes
    ----------
    coldest_week_start
        Start of the week with the lowest mean outdoor temperature, in local time.
    coldest_week_c
        Its mean outdoor temperature [°C].
    week_heat_kw, week_capacity_kw
        Mean heat given to the rooms in that week, and mean capacity of the machine at the commanded flow [kW].
    week_lowest_room_c
        Coldest room of that week [°C].
    design_load_kw, design_capacity_kw
        Heat needed at the design temperature without gains; capacity there at the design flow [kW].
    backup_kwh
        Electricity of the back-up heater in the year [kWh].
    hours_short
        Hours in which less heat was given than wanted [h].
    hours_stopped
        Hours in which the cold stops the machine: it gives nothing then, heaters and boiler do what they can [h].
    share_below_minimum
        Share of the machine's space heat made below its least output, where it cycles [-].
    comfort
        The verdict on rooms and water of the whole year.
    """

    coldest_week_start: pd.Timestamp
    coldest_week_c: float
    week_heat_kw: float
    week_capacity_kw: float
    week_lowest_room_c: float
    design_load_kw: float
    design_capacity_kw: float
    backup_kwh: float
    hours_short: float
    hours_stopped: float
    share_below_minimum: float
    comfort: YearComfort

    def worded(self, number: Wording = PLAIN.number) -> str:
        """Say what the figures mean, each number as `number` writes it."""
        made, load = number(self.design_capacity_kw, 1), number(self.design_load_kw, 1)
        ratio = self.design_capacity_kw / self.design_load_kw if self.design_load_kw > 0 else float("inf")
        if ratio < ENOUGH:
            size = f"On the design day the machine makes {made} kW of the {load} kW needed"
        elif ratio > LARGE:
            many = number(ratio, 1)
            size = f"The machine is {many} times what the design day needs ({load} kW): it cycles in mild weather"
        else:
            size = f"On the design day the machine makes {made} kW, enough for the {load} kW needed"
        if self.hours_stopped:
            size += f", and for {number(self.hours_stopped, 0)} hours of the year the cold stops it"
        lowest = f"{number(self.week_lowest_room_c, 1)} °C"
        if self.comfort.held:
            return f"{size}; rooms fall to {lowest} in the coldest week, and all year they are as warm as needed."
        short = f", {number(self.hours_short, 0)} hours short of heat" if self.hours_short else ""
        return f"{size}; comfort: {self.comfort.worded(number)}{short}, {lowest} in the coldest week."


def sizing_of(year: Year) -> Sizing | None:
    """Judge a year's machine and emitters over its coldest week and the whole of it; None without a heat pump."""
    design = year.design_kw
    if design is None:
        return None
    load, capacity = design
    return sizing(year.hourly_local, year.axis.hours, year.comfort, load, capacity)


def design_kw(year: Year) -> tuple[float, float] | None:
    """Heat needed at the design temperature and capacity there [kW], without a look at the steps; None as above."""
    case = year.case
    if case.heat_pump is None or case.heat_source == "boiler":
        return None
    made = machine_map(case.heat_pump)
    flow = design_flow_c(case, year.loss_w_per_k) + case.controls.mixing_penalty_k
    by_source = [float(np.interp(flow, made.flows_c, row)) for row in made.capacity_kw]
    source = case.site.design_outdoor_c if case.heat_pump.source == "air" else float(case.heat_pump.source_c or 0.0)
    runs = case.heat_pump.source != "air" or source >= case.heat_pump.lowest_outdoor_c
    capacity = float(np.interp(source, made.sources_c, by_source)) * runs
    return design_load_kw(case, year.loss_w_per_k), capacity


def sizing(
    hourly: pd.DataFrame, hours: float, comfort: YearComfort, design_load_kw: float, design_capacity_kw: float
) -> Sizing:
    """Judge a year's frame, stamped in local time, against load and capacity at the design temperature [kW]."""
    day, _ = pd.factorize(pd.DatetimeIndex(hourly.index).normalize())
    week = hourly.iloc[coldest_week(hourly["outdoor_c"].to_numpy(), day, hours)]
    short = (hourly["short_kw"] > 0.01 * max(design_load_kw, 0.1)) & (hourly["below_k"] > 0)
    by_machine = hourly["boiler_heat_kw"] == 0.0  # a hybrid's boiler has no least output here
    space = float(hourly.loc[by_machine, "space_heat_kw"].sum())
    below = hourly["load_ratio"] * hourly["capacity_kw"] < hourly["least_output_kw"]
    cycled = float(hourly.loc[by_machine & below, "space_heat_kw"].sum())
    lowest, hours_short = float(week["air_c"].min()), float(short.sum()) * hours
    return Sizing(
        week.index[0], float(week["outdoor_c"].mean()), float(week["space_heat_kw"].mean()),
        float(week["capacity_kw"].mean()), lowest, design_load_kw, design_capacity_kw,
        float(hourly["backup_heater_kw"].sum()) * hours, hours_short,
        float((hourly["capacity_kw"] <= 0.0).sum()) * hours, cycled / space if space > 0 else 0.0,
        comfort,
    )  # fmt: skip
