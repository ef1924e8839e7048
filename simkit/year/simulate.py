"""A case in, its simulated year out: energy by hour, month and year, bill, comfort, performance, balances and range."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from importlib.metadata import version
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.assemble.heat_loss import loss_w_per_k
from simkit.assemble.home import Setting, design_load_kw, heat_loss_w_per_k, home_inputs
from simkit.assemble.machine import machine_map
from simkit.assemble.rooms import design_flow_c, room_notes
from simkit.assemble.setting import setting_for, shared_step
from simkit.assemble.windowed import windowed_loads
from simkit.billing.bill import Bill
from simkit.billing.charge import charge, charge_fuel
from simkit.case.build import Case
from simkit.clock import TimeAxis
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import HomeYear, run_home
from simkit.performance.boundaries import Performance, performance
from simkit.physics.hot_water import content_kwh
from simkit.physics.records import Flows, Levels
from simkit.profiles.car import car_notes
from simkit.year.comfort import YearComfort, year_comfort
from simkit.year.fuse import FuseUse, fuse_use
from simkit.year.sizing import Sizing, sizing

if TYPE_CHECKING:
    from simkit.uncertainty.sampling import SampledYears


# column of the hourly frame: flow of the kernel
FLOW_COLUMNS = {
    "space_heat_kw": "space_heat", "solar_gain_kw": "solar_gain", "internal_gain_kw": "internal_gain",
    "vented_kw": "vented", "hot_water_kw": "hot_water", "tap_water_kw": "tap_water",
    "tap_water_unmet_kw": "tap_water_unmet", "cylinder_loss_kw": "cylinder_loss", "water_share": "water_share",
    "backup_heater_kw": "backup_heater", "immersion_kw": "immersion", "standby_kw": "standby", "boiler_kw": "boiler",
    "fuel_kw": "fuel", "household_kw": "household", "car_kw": "car", "solar_kw": "solar", "curtailed_kw": "curtailed",
    "battery_charge_kw": "battery_charge", "battery_discharge_kw": "battery_discharge", "import_kw": "grid_import",
    "export_kw": "grid_export", "below_k": "below_k", "over_k": "over_k", "short_kw": "short_kw",
}  # fmt: skip
LEVEL_COLUMNS = ("air_c", "fabric_c", "flow_c", "cylinder_hot_c", "cylinder_cold_c", "cylinder_hot_share",
                 "water_flow_c", "capacity_kw", "least_output_kw", "load_ratio", "battery_kwh")  # fmt: skip
SERIES_COLUMNS = ("outdoor_c", "needed_c", "set_point_c")
MONTH_SUMS = (
    "space_heat_kw", "hot_water_kw", "tap_water_kw", "tap_water_unmet_kw", "heat_pump_kw", "backup_heater_kw",
    "immersion_kw", "pumps_kw", "standby_kw", "boiler_kw", "fuel_kw", "household_kw", "car_kw", "solar_kw",
    "curtailed_kw", "battery_charge_kw", "battery_discharge_kw", "import_kw", "export_kw",
)  # fmt: skip


@dataclass(frozen=True)
class Range:
    """What ten, fifty and ninety of a hundred samples stay under."""

    low: float
    middle: float
    high: float

    @classmethod
    def of(cls, samples: Floats) -> Range:
        """Read the range off samples, (n,); NaN where there are none."""
        known = samples[np.isfinite(samples)]
        if not len(known):
            return cls(float("nan"), float("nan"), float("nan"))
        return cls(*np.quantile(known, (0.1, 0.5, 0.9)).tolist())


@dataclass(frozen=True, eq=False, repr=False)
class Year:
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

    case: Case
    axis: TimeAxis
    loss_w_per_k: float
    setting: Setting = field(repr=False)
    inputs: HomeInputs = field(repr=False)
    run: HomeYear = field(repr=False)
    step_notes: tuple[str, ...] = ()

    def _flow(self, name: str) -> Floats:
        """One flow in each step, (steps,) [kW]."""
        column: Floats = self.run.trace[:, Flows._fields.index(name)]
        return column

    @cached_property
    def hourly(self) -> pd.DataFrame:
        """Every step of the year, stamped at its start in UTC; columns and units as in `simkit.quantities`."""
        data: dict[str, Floats] = {name: self.inputs.series[name] for name in SERIES_COLUMNS}
        for name in LEVEL_COLUMNS:
            data[name] = self.run.trace[:, len(Flows._fields) + Levels._fields.index(name)]
        data |= {column: self._flow(flow) for column, flow in FLOW_COLUMNS.items()}
        data["heat_pump_heat_kw"] = self._flow("heat_pump_space_heat") + self._flow("heat_pump_water_heat")
        data["heat_pump_kw"] = self._flow("heat_pump_space") + self._flow("heat_pump_water")
        data["boiler_heat_kw"] = self._flow("boiler_space_heat") + self._flow("boiler_water_heat")
        data["pumps_kw"] = self._flow("pumps_space") + self._flow("pumps_water")
        runs = data["heat_pump_kw"] > 0
        data["cop"] = np.where(runs, data["heat_pump_heat_kw"] / np.where(runs, data["heat_pump_kw"], 1.0), np.nan)
        data["import_price_per_kwh"] = self.setting.signal.import_per_kwh
        data["export_price_per_kwh"] = self.setting.signal.export_per_kwh
        for name in ("humidity", "ghi_w_m2", "dni_w_m2", "dhi_w_m2"):
            data[name] = self.setting.weather.frame[name].to_numpy()
        return pd.DataFrame(data, index=pd.DatetimeIndex(self.axis.utc, name="time"))

    @property
    def hourly_local(self) -> pd.DataFrame:
        """The same frame stamped in the home's own wall time."""
        return self.hourly.set_axis(pd.DatetimeIndex(self.axis.local, name="time"))

    @cached_property
    def months(self) -> pd.DataFrame:
        """Energy by month [kWh], the mean outdoor and room temperature [°C] and the month's cost [currency]."""
        hourly = self.hourly
        grouped = hourly.groupby(self.axis.month)
        kwh = grouped[list(MONTH_SUMS)].sum() * self.axis.hours
        kwh.columns = pd.Index([name.removesuffix("_kw") + "_kwh" for name in MONTH_SUMS])
        kwh.insert(0, "air_c", grouped["air_c"].mean())
        kwh.insert(0, "outdoor_c", grouped["outdoor_c"].mean())
        kwh["month_cost"] = self.bill.months
        kwh.index.name = "month"
        return kwh

    @cached_property
    def totals(self) -> Mapping[str, float]:
        """Energy of the year by name [kWh]."""
        t = self.run.totals
        return MappingProxyType(
            {
                "space_heat": t.space_heat, "hot_water": t.hot_water, "tap_water": t.tap_water,
                "tap_water_unmet": t.tap_water_unmet,
                "heat_pump_electricity": t.heat_pump_space + t.heat_pump_water, "backup_heater": t.backup_heater,
                "immersion": t.immersion, "pumps": t.pumps_space + t.pumps_water, "standby": t.standby,
                "boiler_electricity": t.boiler, "household": t.household, "car": t.car, "solar": t.solar,
                "curtailed": t.curtailed, "battery_charge": t.battery_charge, "battery_discharge": t.battery_discharge,
                "battery_idle": t.battery_idle, "import": t.grid_import, "export": t.grid_export,
            }
        )  # fmt: skip

    @cached_property
    def fuel_kwh(self) -> Mapping[str, float]:
        """Fuel burnt in the year by kind, other appliances included [kWh gross]."""
        fuel = self.case.fuel
        if fuel is None or fuel.kind in ("electricity", "none"):
            return MappingProxyType({})
        used = self.run.totals.fuel + fuel.other_use_kwh
        return MappingProxyType({fuel.kind: used} if used > 0 else {})

    @cached_property
    def bill(self) -> Bill:
        """The year charged at the tariff and the fuel's terms, line by line."""
        hours = self.axis.hours
        bill = charge(
            self.case.tariff, self.axis, self._flow("grid_import") * hours, self._flow("grid_export") * hours,
            country=self.case.site.country, following=windowed_loads(self.case, self.axis, self._flow),
        )  # fmt: skip
        if self.case.fuel is None:
            return bill
        keeps = self.case.heat_source == "hybrid"
        burnt = self._flow("fuel") * hours
        return bill + charge_fuel(self.case.fuel, self.axis, burnt, currency=self.case.currency, keeps_supply=keeps)

    @cached_property
    def comfort(self) -> YearComfort:
        """The year against the needed comfort of the case."""
        return year_comfort(self.run.totals, self.run.after)

    @cached_property
    def fuse(self) -> FuseUse | None:
        """How the import meets the main fuse; None where none is stated."""
        return fuse_use(self._flow("grid_import"), self.axis, self.case.site)

    @cached_property
    def spf(self) -> Performance:
        """Seasonal performance by boundary; every figure is None where no heat pump runs."""
        machine = self.case.heat_pump
        return performance(self.run.totals, machine.fan_share if machine else None)

    @cached_property
    def carbon_kg(self) -> float:
        """Carbon dioxide of imported electricity and of fuel in the year [kg]; export earns no credit."""
        fuel = self.case.fuel
        electricity = self.run.totals.grid_import * self.case.carbon.electricity_g_per_kwh
        burnt = sum(self.fuel_kwh.values()) * (fuel.carbon_g_per_kwh if fuel else 0.0)
        return (electricity + burnt) / 1000.0

    def balance(self) -> dict[str, float]:
        """What is left over of each energy balance of the year [kWh]: building, cylinder, battery, electricity."""
        t, a, b, h = self.run.totals, self.run.before, self.run.after, self.inputs.home
        shell = self._shell_kwh()
        held = content_kwh(b.hot_c, b.cold_c, b.hot_share, h.cylinder_kwh_per_k)
        held -= content_kwh(a.hot_c, a.cold_c, a.hot_share, h.cylinder_kwh_per_k)
        gains = t.space_heat + t.solar_gain + t.internal_gain + t.cylinder_to_rooms
        used = self.totals["heat_pump_electricity"] + t.backup_heater + t.immersion + self.totals["pumps"] + t.standby
        used += t.boiler + t.household + t.car + t.battery_idle
        return {
            "building": gains - t.vented - t.envelope_loss - shell,
            "cylinder": t.hot_water - t.tap_water - t.cylinder_loss - held,
            "battery": t.battery_charge - t.battery_discharge - t.battery_lost - (b.stored_kwh - a.stored_kwh),
            "electricity": t.grid_import + t.solar + t.battery_discharge - t.grid_export - t.curtailed
            - t.battery_charge - used,
        }  # fmt: skip

    def _shell_kwh(self) -> float:
        """Heat that air and fabric hold more at the end than at the start [kWh]."""
        from simkit.assemble.building import shell

        made = shell(self.case.home, self.loss_w_per_k, self.case.emitters.mass_share, self.axis.hours)
        a, b = self.run.before, self.run.after
        return made.air_kwh_per_k * (b.air_c - a.air_c) + made.fabric_kwh_per_k * (b.fabric_c - a.fabric_c)

    @cached_property
    def samples(self) -> SampledYears:
        """The year sampled over what is not known exactly; worked out when first asked for."""
        # scipy.stats takes a third of a second to load: not for a year without a range
        from simkit.uncertainty.sampling import sampled_years

        return sampled_years(self.case, self.axis.step_minutes)

    def range(self) -> Range:
        """The year's cost that ten, fifty and ninety of a hundred samples stay under [currency]."""
        return Range.of(self.samples.total)

    @cached_property
    def sizing(self) -> Sizing | None:
        """Whether machine and emitters are big enough; None without a heat pump."""
        case = self.case
        if case.heat_pump is None or case.heat_source == "boiler":
            return None
        made = machine_map(case.heat_pump)
        flow = design_flow_c(case, self.loss_w_per_k / 1000.0) + case.controls.mixing_penalty_k
        by_source = [float(np.interp(flow, made.flows_c, row)) for row in made.capacity_kw]
        source = case.site.design_outdoor_c if case.heat_pump.source == "air" else float(case.heat_pump.source_c or 0.0)
        capacity = float(np.interp(source, made.sources_c, by_source))
        load = design_load_kw(case, self.loss_w_per_k / 1000.0)
        return sizing(
            self.hourly_local, self.axis.hours, self.comfort,
            design_load_kw=load, design_capacity_kw=capacity,
        )  # fmt: skip

    @cached_property
    def notes(self) -> tuple[str, ...]:
        """Everything that was assumed for the user, one sentence each."""
        machine = self.case.heat_pump
        parts = [*self.case.notes, *self.step_notes, *self.setting.weather.notes, *self.setting.signal.notes]
        if machine is not None and self.case.heat_source != "boiler":
            parts += machine_map(machine).notes
        if heat_loss_w_per_k(self.case, self.setting.weather) is None:
            found = f"The heat loss of {self.loss_w_per_k:.0f} W/K was found"
            parts.append(f"{found} so that the simulated year burns the stated fuel.")
        if self.case.home.loss.certificate_kwh_m2 is not None:
            parts.append("The heat loss comes from a certificate: such figures usually say more than the home uses.")
        parts += room_notes(self.case, self.loss_w_per_k / 1000.0)
        if self.case.emitters.kind == "underfloor":
            parts.append("The lag of a heated screed is not modelled: no verdict on pre-heating is given for it.")
        if self.case.car is not None:
            parts += car_notes(self.axis, self.case.car, self._flow("car"))
        if self.fuse is not None:
            parts.append(self.fuse.words)
        parts += self.bill.notes
        parts.append("Export earns no carbon credit; carbon factors are yearly means.")
        parts.append(f"Computed by simkit {version('home-heat-simkit')}; inputs {self.case.digest[:12]}.")
        return tuple(dict.fromkeys(parts))

    def __repr__(self) -> str:
        spf = f", SPF H4 {self.spf.h4:.2f}" if self.spf.h4 is not None else ""
        money = f"{self.bill.money(self.bill.total)} {self.bill.currency}"
        return f"{self.case.name}, {self.axis.year}: {money} a year{spf}, {self.comfort.words}"


def simulate(case: Case, *, step_minutes: int | None = None) -> Year:
    """Simulate one home's year.

    Parameters
    ----------
    case
        The home.
    step_minutes
        Length of a step [min]; None takes the longest on which every window and price edge of the case falls.

    Returns
    -------
    Year
        The year; ranges are sampled only when asked for.

    Raises
    ------
    CaseError, DataError
        Where the case contradicts itself or its files are wrong.
    """
    step, notes = shared_step([case])
    if step_minutes is not None:
        step, notes = step_minutes, ()
    setting = setting_for(case, step)
    loss = loss_w_per_k(case, step)
    inputs = home_inputs(case, setting, loss)
    run = run_home(inputs, setting.axis.steps, setting.axis.hours)
    return Year(case, setting.axis, loss, setting, inputs, run, notes)
