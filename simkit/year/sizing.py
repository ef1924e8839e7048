"""A simulated year in; whether the machine and the emitters are big enough, in figures and one sentence, out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.assemble.emitters import design_load_kw
from simkit.assemble.machine import machine_map
from simkit.assemble.rooms import design_flow_c
from simkit.weather.coldest import coldest_week
from simkit.year.comfort import YearComfort

if TYPE_CHECKING:
    from simkit.year.year import Year


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
    share_below_minimum
        Share of the machine's space heat made below its least output, where it cycles [-].
    words
        The verdict.
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
    share_below_minimum: float
    words: str


def sizing_of(year: Year) -> Sizing | None:
    """Judge a year's machine and emitters over its coldest week and the whole of it; None without a heat pump."""
    case = year.case
    if case.heat_pump is None or case.heat_source == "boiler":
        return None
    made = machine_map(case.heat_pump)
    flow = design_flow_c(case, year.loss_w_per_k) + case.controls.mixing_penalty_k
    by_source = [float(np.interp(flow, made.flows_c, row)) for row in made.capacity_kw]
    source = case.site.design_outdoor_c if case.heat_pump.source == "air" else float(case.heat_pump.source_c or 0.0)
    capacity = float(np.interp(source, made.sources_c, by_source))
    load = design_load_kw(case, year.loss_w_per_k)
    return sizing(year.hourly_local, year.axis.hours, year.comfort, load, capacity)


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
        float(hourly["backup_heater_kw"].sum()) * hours, hours_short, cycled / space if space > 0 else 0.0,
        _words(comfort, design_load_kw, design_capacity_kw, lowest, hours_short),
    )  # fmt: skip


def _words(comfort: YearComfort, load: float, capacity: float, lowest: float, hours_short: float) -> str:
    """Say what the figures mean."""
    ratio = capacity / load if load > 0 else float("inf")
    if ratio < 0.95:
        size = f"At the design temperature the machine makes {capacity:.1f} kW of the {load:.1f} kW needed"
    elif ratio > 1.5:
        size = f"The machine is {ratio:.1f} times the design load of {load:.1f} kW, so that it cycles in mild weather"
    else:
        size = f"The machine makes {capacity:.1f} kW at the design temperature, enough for the {load:.1f} kW needed"
    if comfort.held:
        return f"{size}; in the coldest week the room falls to {lowest:.1f} °C and the needed comfort is held."
    return (
        f"{size}; the needed comfort is missed ({comfort.words}), short of heat in {hours_short:,.0f} hours, down to "
        f"{lowest:.1f} °C in the coldest week."
    )
