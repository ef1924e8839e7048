"""A year, and a part of it, in; the chain from the heat loss to the bought kilowatt-hours out.

Sums over steps, worked with the same constants that the kernel was given; every link that is a sum of others is
checked against what the kernel recorded.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from simkit.arrays import Bools
from simkit.assemble.heat_loss import found_from_fuel
from simkit.explaining.chain import DisagreementError, Link, Links
from simkit.performance.boundaries import performance
from simkit.physics.records import Flows
from simkit.year.year import Year

NEAR_KWH = 1e-6  # what sums of a year of steps may miss
KERNEL = "sum over the steps of the kernel"


class Sums:
    """Sums of a year's flows over some of its steps.

    Parameters
    ----------
    year
        The simulated year.
    steps
        Which steps count, (steps,); None for all.
    """

    def __init__(self, year: Year, steps: Bools | None = None) -> None:
        self.year, self.notation = year, year.case.notation
        self.steps = slice(None) if steps is None else steps

    def kwh(self, *names: str) -> float:
        """Energy of some flows together [kWh]."""
        return sum(float(self.year.flow(name)[self.steps].sum()) for name in names) * self.year.axis.hours

    def text(self, kwh: float) -> str:
        """An energy, written."""
        return self.notation.number(kwh, 1)

    def added(self, parts: dict[str, float]) -> str:
        """A sum, written out; what is nothing left out."""
        said = ""
        for name, kwh in parts.items():
            if abs(kwh) >= 0.05:
                sign = ("− " if kwh < 0 else "") if not said else (" − " if kwh < 0 else " + ")
                said += f"{sign}{self.text(abs(kwh))} {name}"
        return said or "nothing"


def energy_links(sums: Sums) -> Links:
    """From the heat loss to what is bought, over the steps of `sums`."""
    return [*_heat(sums), *_water(sums), *_machine(sums), *_burnt(sums), *_bought(sums)]


def heat_loss_link(year: Year) -> Link:
    """The heat loss, and where it comes from."""
    found = "found so that the simulated year burns the stated fuel" if found_from_fuel(year.case) else "as stated"
    return Link("Heat loss of the home", found, year.loss_w_per_k, "W/K", 1, "[home.loss]")


def _heat(sums: Sums) -> Iterator[Link]:
    year, home, n = sums.year, sums.year.inputs.home, sums.notation.number
    yield heat_loss_link(year)
    outdoor = year.inputs.series["outdoor_c"]
    air, fabric = (
        float((year.flow(name) - outdoor)[sums.steps].sum()) * year.axis.hours for name in ("air_c", "fabric_c")
    )
    lost = home.air_side_kw_per_k * air + home.fabric_side_kw_per_k * fabric
    _require("heat lost", lost, sums.kwh("envelope_loss"))
    worked = (
        f"{n(1000 * home.air_side_kw_per_k, 1)} W/K × {n(air)} K·h + "
        f"{n(1000 * home.fabric_side_kw_per_k, 1)} W/K × {n(fabric)} K·h"
    )
    yield Link("Lost through the building", worked, lost, "kWh", 1, "air and walls over outdoors, law closed")
    beside = " and what burns or glows beside the heating" if {"stove_heat", "heater"} & year.beside_kwh.keys() else ""
    parts = {
        "lost": lost, "through opened windows": sums.kwh("vented"), "of the sun": -sums.kwh("solar_gain"),
        "of people and appliances" + beside: -sums.kwh("internal_gain"),
        "of the cylinder": -sums.kwh("cylinder_to_rooms"),
    }  # fmt: skip
    heat = sums.kwh("space_heat")
    parts["held in walls, air and emitters"] = heat - sum(parts.values())
    yield Link("Heat to the rooms", sums.added(parts), heat, "kWh", 1, KERNEL)


def _water(sums: Sums) -> Iterator[Link]:
    tapped, lost, given = sums.kwh("tap_water"), sums.kwh("cylinder_loss"), sums.kwh("hot_water")
    parts = {"drawn": tapped, "lost by the cylinder": lost, "held in it": given - tapped - lost}
    yield Link("Heat into the cylinder", sums.added(parts), given, "kWh", 1, KERNEL)


def _machine(sums: Sums) -> Iterator[Link]:
    heat, used = sums.kwh("heat_pump_space_heat"), sums.kwh("heat_pump_space")
    n = sums.notation.number
    if used > 0:
        worked = f"{sums.text(heat)} kWh ÷ {n(heat / used, 3)} on average (COP, step by step)"
        yield Link("Heat pump, rooms", worked, used, "kWh", 1, "test points; law electricity_at")
    heat, used = sums.kwh("heat_pump_water_heat"), sums.kwh("heat_pump_water")
    if used > 0:
        worked = f"{sums.text(heat)} kWh ÷ {n(heat / used, 3)} on average (COP, step by step)"
        yield Link("Heat pump, hot water", worked, used, "kWh", 1, "test points; law electricity_at")


def _burnt(sums: Sums) -> Iterator[Link]:
    home, n = sums.year.inputs.home, sums.notation.number
    space, water, fuel = (sums.kwh(name) for name in ("boiler_space_heat", "boiler_water_heat", "fuel"))
    if fuel <= 0:
        return
    worked = (
        f"{sums.text(space)} kWh ÷ {n(1 / home.per_space_efficiency, 3)} + "
        f"{sums.text(water)} kWh ÷ {n(1 / home.per_water_efficiency, 3)}"
    )
    value = space * home.per_space_efficiency + water * home.per_water_efficiency
    _require("fuel", value, fuel)
    yield Link("Fuel burnt, gross", worked, fuel, "kWh", 1, "law fuel_kw; [boiler]")


def _bought(sums: Sums) -> Iterator[Link]:
    parts = {
        "heat pump": sums.kwh("heat_pump_space", "heat_pump_water"),
        "heaters": sums.kwh("backup_heater", "immersion"), "pumps": sums.kwh("pumps_space", "pumps_water"),
        "standby": sums.kwh("standby"), "boiler": sums.kwh("boiler"), "household": sums.kwh("household"),
        "car": sums.kwh("car"), "battery’s own": sums.kwh("battery_idle"),
        "into the battery": sums.kwh("battery_charge"), "out of it": -sums.kwh("battery_discharge"),
        "of the panels": sums.kwh("curtailed") - sums.kwh("solar"), "sold": sums.kwh("grid_export"),
    }  # fmt: skip
    bought = sums.kwh("grid_import")
    _require("bought electricity", sum(parts.values()), bought)
    yield Link("Electricity bought", sums.added(parts), bought, "kWh", 1, "law settle, each step for itself")


def spf_links(year: Year, name: str) -> Links:
    """From heat and electricity to a seasonal performance, by its boundary."""
    sums, t = Sums(year), year.run.totals
    space, water = t.heat_pump_space_heat, t.heat_pump_water_heat
    fan = (year.case.heat_pump.fan_share if year.case.heat_pump else None) or 0.0
    heaters = {"back-up heater": t.backup_heater, "immersion heater": t.immersion}
    heat, used = {"rooms": space, "hot water": water}, {"rooms": t.heat_pump_space, "hot water": t.heat_pump_water}
    if name == "h1":
        used = {
            "machine": t.heat_pump_space + t.heat_pump_water,
            "of it the fan": -fan * (t.heat_pump_space + t.heat_pump_water),
        }
    if name in ("h3", "h4"):
        heat, used = heat | heaters, used | heaters
    if name == "h4":
        used |= {"pumps": t.pumps_space + t.pumps_water, "standby": t.standby}
    if name in ("space_h4", "water_h4"):
        is_space = name == "space_h4"
        share = (space + t.backup_heater) / (space + water + t.backup_heater + t.immersion)
        heat = (
            {"rooms": space, "back-up heater": t.backup_heater}
            if is_space
            else {"hot water": water, "immersion heater": t.immersion}
        )
        machine = t.heat_pump_space if is_space else t.heat_pump_water
        heater = {"back-up heater": t.backup_heater} if is_space else {"immersion heater": t.immersion}
        standby = t.standby * (share if is_space else 1.0 - share)
        used = {
            "machine": machine,
            **heater,
            "pumps": t.pumps_space if is_space else t.pumps_water,
            "part of standby": standby,
        }
    given, taken = sum(heat.values()), sum(used.values())
    value = float(getattr(performance(Flows(*map(float, t)), fan or None), name) or np.nan)
    _require("seasonal performance", given / taken, value)
    source = "test points through laws efficiency_at and electricity_at, step by step"
    return [
        Link("Heat within the boundary", sums.added(heat), given, "kWh", 1, KERNEL),
        Link("Electricity within the boundary", sums.added(used), taken, "kWh", 1, source),
        Link(f"SPF {name.upper().replace('_', ' ')}", f"{sums.text(given)} ÷ {sums.text(taken)} kWh", value, "–", 2,
             "ratio of sums over the year"),
    ]  # fmt: skip


def _require(what: str, worked: float, recorded: float) -> None:
    """Demand that two ways to one sum agree."""
    if abs(worked - recorded) > NEAR_KWH + 1e-9 * abs(recorded):
        raise DisagreementError(f"{what} is {worked!r} by its parts and {recorded!r} by the kernel")
