"""A simulated year, and what hangs on it: energy by step and month, bill, comfort, performance, range and more."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.answered import Answered
from simkit.arrays import Floats
from simkit.assemble.building import air_saved_w_per_k
from simkit.assemble.electricity import household_series, one_course
from simkit.assemble.heat_loss import found_from_fuel
from simkit.assemble.machine import machine_map
from simkit.assemble.rooms import room_notes
from simkit.assemble.series import Setting, beside_kwh
from simkit.assemble.windowed import windowed_loads
from simkit.billing.bill import Bill
from simkit.billing.charge import charge, charge_fuel, charge_stove
from simkit.case.case import Case
from simkit.clock import TimeAxis
from simkit.kernel.balance import balances
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import HomeYear
from simkit.notation import in_notation
from simkit.performance.boundaries import Performance, performance
from simkit.profiles.absence import somebody_there
from simkit.profiles.car import car_notes
from simkit.profiles.one_home import household_notes
from simkit.profiles.other_heat import stove_kw
from simkit.uncertainty.ranges import Range
from simkit.year.comfort import YearComfort, comfort_of
from simkit.year.costs import Costs
from simkit.year.cycling import Cycling, cycling_of
from simkit.year.energy_flows import energy_flows
from simkit.year.frames import energy_totals, months_frame, steps_frame
from simkit.year.fuse import FuseUse, fuse_use
from simkit.year.rooms import Rooms, rooms_of
from simkit.year.seasonal import Seasonal, seasonal_of
from simkit.year.sizing import Sizing, design_kw, sizing_of
from simkit.year.untested import untested_notes

if TYPE_CHECKING:
    from simkit.uncertainty.sampled_years import SampledYears


@dataclass(frozen=True, eq=False, repr=False)
class Year(Answered):
    """One home's simulated year.

    Attributes
    ----------
    case
        What was simulated.
    axis
        Its time axis.
    loss_w_per_k
        Steady heat loss used [W/K].
    """

    answered_by = "simkit.answers.year:year_answer"
    case: Case
    axis: TimeAxis
    loss_w_per_k: float
    setting: Setting = field(repr=False)
    inputs: HomeInputs = field(repr=False)
    run: HomeYear = field(repr=False)
    step_notes: tuple[str, ...] = ()

    def flow(self, name: str) -> Floats:
        """One flow (or level) in each step, (steps,) [kW]."""
        return self.run.flow(name)

    @cached_property
    def hourly(self) -> pd.DataFrame:
        """Every step of the year, stamped at its start in UTC; columns and units as in `simkit.quantities`."""
        return steps_frame(self)

    @property
    def hourly_local(self) -> pd.DataFrame:
        """The same frame stamped in the home's own wall time."""
        return self.hourly.set_axis(pd.DatetimeIndex(self.axis.local, name="time"))

    @cached_property
    def months(self) -> pd.DataFrame:
        """Energy by month [kWh], the mean outdoor and room temperature [°C] and the month's cost [currency]."""
        return months_frame(self)

    @cached_property
    def totals(self) -> Mapping[str, float]:
        """Energy of the year by name [kWh]."""
        return MappingProxyType(energy_totals(self.run.totals))

    @cached_property
    def fuel_kwh(self) -> Mapping[str, float]:
        """Fuel burnt in the year by kind, other appliances included [kWh gross]."""
        fuel = self.case.fuel
        if fuel is None or fuel.kind in ("electricity", "none"):
            return MappingProxyType({})
        used = self.run.totals.fuel + fuel.other_use_kwh
        return MappingProxyType({fuel.kind: used} if used > 0 else {})

    @cached_property
    def beside_kwh(self) -> Mapping[str, float]:
        """What stove, collectors and a heater in one room give and burn in the year, by name [kWh]."""
        return MappingProxyType(beside_kwh(self.case, self.setting))

    @cached_property
    def bill(self) -> Bill:
        """The year charged at the tariff and the fuel's terms, line by line."""
        hours = self.axis.hours
        bill = charge(
            self.case.tariff, self.axis, self.flow("grid_import") * hours, self.flow("grid_export") * hours,
            country=self.case.site.country, following=windowed_loads(self.case, self.axis, self.flow),
        )  # fmt: skip
        fuel = self.case.fuel
        if fuel is not None:
            keeps = self.case.heat_source == "hybrid"
            burnt = self.flow("fuel") * hours
            bill += charge_fuel(fuel, self.axis, burnt, currency=self.case.currency, keeps_supply=keeps)
        if self.case.lit is not None:
            heat = stove_kw(self.case.lit, self.setting.weather)
            bill += charge_stove(self.case.lit, self.axis, heat, currency=self.case.currency)
        return replace(bill, notation=self.case.notation)

    @cached_property
    def comfort(self) -> YearComfort:
        """The year against the needed comfort of the case."""
        day, dates = self.axis.day, self.axis.dates.astype(str)
        cool = dates[np.bincount(day, self.flow("cool")) * self.axis.hours >= 1.0]
        short = dates[np.bincount(day, self.flow("water_short")) > 0]
        made = replace(comfort_of(self.run.totals, self.run.after), cool_days=tuple(cool), short_days=tuple(short))
        if not self.case.household.away:
            return made
        hours = float(self.flow("below_18") @ self.lived_in) * self.axis.hours
        return replace(made, hours_below_18=hours, min_room_c=float(self.flow("air_c")[self.lived_in > 0.0].min()))

    @cached_property
    def lived_in(self) -> Floats:
        """Whether somebody is at home, (steps,) [0 or 1]: a home left cool on purpose is nobody's cold room."""
        return somebody_there(self.case.household, self.axis)

    @cached_property
    def fuse(self) -> FuseUse | None:
        """How the import meets the main fuse; None where none is stated."""
        if self.case.site.fuse_a is None:
            return None
        bought, sold = self.flow("grid_import"), self.flow("grid_export")
        within = np.maximum(self.within_step_kw - sold, 0.0)
        return fuse_use(bought, self.axis, self.case.site, within)

    @cached_property
    def within_step_kw(self) -> Floats:
        """How far one home's highest five minutes of each step lie over the household's mean, (steps,) [kW].

        The mean of many homes has no such minutes: those of one home like it count. Of a file nothing is known.
        """
        household = self.case.household
        if household.file is not None:
            return np.zeros(self.axis.steps)
        one = household.model_copy(update={"profile": "one_home"})
        place = (self.axis, self.setting.folder, self.case.site)
        return np.maximum(one_course(one, *place, 0).peak_kw - household_series(household, *place), 0.0)

    @cached_property
    def spf(self) -> Performance:
        """Seasonal performance by boundary; every figure is None where no heat pump runs."""
        machine = self.case.heat_pump
        return performance(self.run.totals, machine.fan_share if machine else None)

    @cached_property
    def carbon_kg(self) -> float:
        """Carbon dioxide of imported electricity, fuel and stove in the year [kg]; export earns no credit."""
        fuel = self.case.fuel
        electricity = self.run.totals.grid_import * self.case.carbon.electricity_g_per_kwh
        burnt = sum(self.fuel_kwh.values()) * (fuel.carbon_g_per_kwh if fuel else 0.0)
        return (electricity + burnt) / 1000.0 + self.case.beside_kg

    def balance(self) -> dict[str, float]:
        """What is left over of each energy balance [kWh]: building, emitters, cylinder, battery, electricity."""
        return balances(self.inputs.home, self.run.totals, self.run.before, self.run.after)

    @cached_property
    def samples(self) -> SampledYears:
        """The year sampled over what is not known exactly; worked out when first asked for."""
        # scipy.stats takes a third of a second to load: not for a year without a range
        from simkit.uncertainty.sampled_years import sampled_home, sampled_years

        return sampled_years(sampled_home(self.case, setting=self.setting))

    def range(self) -> Range:
        """The year's cost that ten, fifty and ninety of a hundred samples stay under [currency]."""
        return Range.of(self.samples.total, self.bill.total)

    @cached_property
    def design_kw(self) -> tuple[float, float] | None:
        """Heat needed on the design day, and what the machine gives there [kW]; None without a heat pump."""
        return design_kw(self)

    @cached_property
    def sizing(self) -> Sizing | None:
        """Whether machine and emitters are big enough; None without a heat pump."""
        return sizing_of(self)

    @cached_property
    def rooms(self) -> Rooms:
        """Room by room: which one sets the flow, and which is short; CaseError where the case has no rooms."""
        return rooms_of(self)

    @cached_property
    def cycling(self) -> Cycling:
        """How the machine's least output meets the load; CaseError without a heat pump."""
        return cycling_of(self)

    @cached_property
    def costs(self) -> Costs:
        """What the year's bill went on: by use, by civil day and by band of the tariff."""
        return Costs(self)

    @cached_property
    def seasonal(self) -> Seasonal:
        """Its performance by boundary, beside reference seasons and field trials; CaseError without a heat pump."""
        return seasonal_of(self)

    @cached_property
    def energy_flows(self) -> pd.DataFrame:
        """Where each kilowatt-hour of electricity came from and what it went to, sources by uses [kWh]."""
        return energy_flows(self.hourly, self.axis.hours)

    @cached_property
    def notes(self) -> tuple[str, ...]:
        """Everything that was assumed for the user, one sentence each."""
        machine, notation = self.case.heat_pump, self.case.notation
        parts = [*self.case.notes, *self.step_notes, *self.setting.weather.notes, *self.setting.signal.notes]
        if machine is not None and self.case.heat_source != "boiler":
            parts += [*machine_map(machine).notes, *untested_notes(self)]
        if found_from_fuel(self.case):
            found = f"The heat loss of {notation.number(self.loss_w_per_k)} W/K was found"
            parts.append(f"{found} so that the simulated year burns the stated fuel.")
        if self.case.home.loss.certificate_kwh_m2 is not None:
            parts.append("The heat loss comes from a certificate: such figures usually say more than the home uses.")
        held_back = air_saved_w_per_k(self.case)
        if held_back:
            parts.append(
                f"The heat loss is {notation.number(held_back)} W/K less than stated or found, for leaks closed and "
                "heat given back ([ventilation])."
            )
        parts += room_notes(self.case, self.loss_w_per_k)
        if self.case.emitters.lag_left_out:
            parts.append(
                "What the heated floor holds is left out, as the case says: no verdict on heating ahead is given."
            )
        parts += household_notes(self.case)
        if self.case.car is not None:
            parts += car_notes(self.axis, self.case.car, self.flow("car"))
        parts += self.bill.notes
        parts.append("Export earns no carbon credit; carbon factors are yearly means.")
        return tuple(dict.fromkeys(in_notation(part, notation) for part in parts))

    def __repr__(self) -> str:
        spf = f", SPF H4 {self.case.notation.number(self.spf.h4, 2)}" if self.spf.h4 is not None else ""
        money = f"{self.bill.money(self.bill.total)} {self.bill.currency}"
        return (
            f"{self.case.name}, {self.axis.year}: {money} a year{spf}, {self.comfort.worded(self.case.notation.number)}"
        )
