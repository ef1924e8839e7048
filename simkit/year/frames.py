"""What the kernel recorded of a year in; its frames by step and by month, and its totals, out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.physics.records import Flows, Levels

if TYPE_CHECKING:
    from simkit.year.year import Year

# column of the hourly frame: flow of the kernel
FLOW_COLUMNS = {
    "space_heat_kw": "space_heat", "emitted_kw": "emitted",
    "solar_gain_kw": "solar_gain", "internal_gain_kw": "internal_gain",
    "vented_kw": "vented", "hot_water_kw": "hot_water", "tap_water_kw": "tap_water",
    "tap_water_unmet_kw": "tap_water_unmet", "cylinder_loss_kw": "cylinder_loss", "water_share": "water_share",
    "backup_heater_kw": "backup_heater", "immersion_kw": "immersion", "standby_kw": "standby", "boiler_kw": "boiler",
    "fuel_kw": "fuel", "household_kw": "household", "car_kw": "car", "solar_kw": "solar", "curtailed_kw": "curtailed",
    "battery_charge_kw": "battery_charge", "battery_discharge_kw": "battery_discharge", "import_kw": "grid_import",
    "export_kw": "grid_export", "below_k": "below_k", "over_k": "over_k", "short_kw": "short_kw",
}  # fmt: skip
PAIRED_COLUMNS = {  # rooms and water together
    "heat_pump_heat_kw": ("heat_pump_space_heat", "heat_pump_water_heat"),
    "heat_pump_kw": ("heat_pump_space", "heat_pump_water"),
    "boiler_heat_kw": ("boiler_space_heat", "boiler_water_heat"),
    "pumps_kw": ("pumps_space", "pumps_water"),
}
SERIES_COLUMNS = ("outdoor_c", "needed_c", "set_point_c")
WEATHER_COLUMNS = ("humidity", "ghi_w_m2", "dni_w_m2", "dhi_w_m2")
MONTH_SUMS = (
    "space_heat_kw", "hot_water_kw", "tap_water_kw", "tap_water_unmet_kw", "heat_pump_kw", "backup_heater_kw",
    "immersion_kw", "pumps_kw", "standby_kw", "boiler_kw", "fuel_kw", "household_kw", "car_kw", "solar_kw",
    "curtailed_kw", "battery_charge_kw", "battery_discharge_kw", "import_kw", "export_kw",
)  # fmt: skip


def steps_frame(year: Year) -> pd.DataFrame:
    """Every step of a year, stamped at its start in UTC; columns and units as in `simkit.quantities`."""
    data = {name: year.inputs.series[name] for name in SERIES_COLUMNS}
    data |= {name: year.flow(name) for name in Levels._fields}
    data |= {column: year.flow(name) for column, name in FLOW_COLUMNS.items()}
    data |= {column: year.flow(one) + year.flow(other) for column, (one, other) in PAIRED_COLUMNS.items()}
    runs = data["heat_pump_kw"] > 0
    data["cop"] = np.where(runs, data["heat_pump_heat_kw"] / np.where(runs, data["heat_pump_kw"], 1.0), np.nan)
    data["import_price_per_kwh"] = year.setting.signal.import_per_kwh
    data["export_price_per_kwh"] = year.setting.signal.export_per_kwh
    data |= {name: year.setting.weather.frame[name].to_numpy() for name in WEATHER_COLUMNS}
    return pd.DataFrame(data, index=pd.DatetimeIndex(year.axis.utc, name="time"))


def months_frame(year: Year) -> pd.DataFrame:
    """Energy by month [kWh], the mean outdoor and room temperature [°C] and the month's cost [currency]."""
    grouped = year.hourly.groupby(year.axis.month)
    kwh = grouped[list(MONTH_SUMS)].sum() * year.axis.hours
    kwh.columns = pd.Index([name.removesuffix("_kw") + "_kwh" for name in MONTH_SUMS])
    kwh.insert(0, "air_c", grouped["air_c"].mean())
    kwh.insert(0, "outdoor_c", grouped["outdoor_c"].mean())
    kwh["month_cost"] = year.bill.months
    kwh.index.name = "month"
    return kwh


def energy_totals(totals: Flows) -> Mapping[str, float]:
    """Energy of a year by name [kWh]."""
    t = totals
    return {
        "space_heat": t.space_heat, "hot_water": t.hot_water, "tap_water": t.tap_water,
        "tap_water_unmet": t.tap_water_unmet,
        "heat_pump_electricity": t.heat_pump_space + t.heat_pump_water, "backup_heater": t.backup_heater,
        "immersion": t.immersion, "pumps": t.pumps_space + t.pumps_water, "standby": t.standby,
        "boiler_electricity": t.boiler, "household": t.household, "car": t.car, "solar": t.solar,
        "curtailed": t.curtailed, "battery_charge": t.battery_charge, "battery_discharge": t.battery_discharge,
        "battery_idle": t.battery_idle, "import": t.grid_import, "export": t.grid_export,
    }  # fmt: skip
