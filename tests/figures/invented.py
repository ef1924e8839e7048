"""Frames of an invented home for the figures: plausible, made up by formula, no measurement behind them."""

from __future__ import annotations

import numpy as np
import pandas as pd

from simkit.clock import TimeAxis


def hourly_frame(year: int = 2026, zone: str = "Europe/Dublin") -> pd.DataFrame:
    """A year of hours in the names of the nomenclature, indexed in UTC."""
    axis = TimeAxis(zone, year, 60)
    rng = np.random.default_rng(7)
    minute, day = axis.minute_of_day, axis.day_of_year
    daily = np.cumsum(rng.normal(0, 1.3, len(axis.dates)))
    daily -= pd.Series(daily).rolling(25, center=True, min_periods=1).mean().to_numpy()
    outdoor = 9.5 - 6.5 * np.cos(2 * np.pi * (day - 20) / 365) - 2.6 * np.cos(2 * np.pi * (minute / 60 - 3) / 24)
    outdoor = outdoor + daily[axis.day] + rng.normal(0, 0.3, axis.steps)
    needed = np.where((minute >= 420) & (minute < 1350), 20.5, 18.0)
    lag = pd.Series(needed + 0.2).ewm(span=5).mean().to_numpy()
    load = np.clip(0.21 * (19.0 - outdoor), 0, None)
    water_hours = (minute == 13 * 60) | (minute == 14 * 60)
    water_share = np.where(water_hours, 0.8, 0.0)
    flow = np.where(water_hours, 55.0, 28 + 1.4 * np.clip(19 - outdoor, 0, None))
    capacity = 6.2 + 0.09 * outdoor - 0.02 * flow
    cop = 0.46 * (flow + 273.15) / np.clip(flow - outdoor, 15, None) * (1 + rng.normal(0, 0.03, axis.steps))
    wanted = load * (1 - water_share) * (1 + 0.7 * (minute == 420))
    water = np.where(water_hours, 2.6, 0.0)
    machine = np.minimum(wanted + water, capacity)
    backup = wanted + water - machine
    pump = machine / cop
    household = (
        0.18 + 0.25 * np.exp(-(((minute / 60 - 19) / 2.2) ** 2)) + 0.12 * np.exp(-(((minute / 60 - 8) / 1.2) ** 2))
    )
    price = np.where((minute >= 120) & (minute < 360), 0.14, np.where((minute >= 1020) & (minute < 1140), 0.41, 0.29))
    tap = np.where(np.isin(minute, (420, 480, 1140, 1260)), [1.1], 0.0) + np.where(minute % 180 == 0, 0.1, 0.0)
    frame = pd.DataFrame(
        {
            "outdoor_c": outdoor,
            "needed_c": needed,
            "air_c": np.clip(lag - 0.25 * backup, outdoor, None),
            "space_heat_kw": wanted,
            "hot_water_kw": water,
            "tap_water_kw": tap,
            "cylinder_hot_c": 52 + 6 * np.cos(2 * np.pi * (minute / 60 - 15) / 24),
            "water_share": water_share,
            "heat_pump_heat_kw": machine,
            "heat_pump_kw": pump,
            "cop": np.where(machine > 0, cop, np.nan),
            "capacity_kw": capacity,
            "least_output_kw": 0.35 * capacity,
            "load_ratio": machine / capacity,
            "backup_heater_kw": backup,
            "immersion_kw": np.zeros(axis.steps),
            "pumps_kw": np.where(machine > 0, 0.05, 0.0),
            "standby_kw": np.full(axis.steps, 0.012),
            "household_kw": household,
            "import_price_per_kwh": price,
        },
        index=axis.utc,
    )
    used = ["heat_pump_kw", "backup_heater_kw", "immersion_kw", "pumps_kw", "standby_kw", "household_kw"]
    frame["import_kw"] = frame[used].sum(axis=1)
    return frame


def monthly_frame() -> pd.DataFrame:
    """The same home by month: energies and cost, index 1 to 12."""
    hourly = hourly_frame()
    month = pd.DatetimeIndex(hourly.index).tz_convert("Europe/Dublin").month
    used = ["heat_pump_kw", "backup_heater_kw", "pumps_kw", "standby_kw", "household_kw", "import_kw"]
    energy = hourly[used].groupby(month).sum().rename(columns=lambda name: name.removesuffix("_kw") + "_kwh")
    cost = (hourly["import_kw"] * hourly["import_price_per_kwh"]).groupby(month).sum()
    return energy.assign(month_cost=(cost + 22.0).round(2), outdoor_c=hourly["outdoor_c"].groupby(month).mean())


def options_table() -> pd.DataFrame:
    """Four invented options with their parts and ranges."""
    rows = {
        "Oil boiler as lived": (2190.0, 1890.0, 2530.0, 1310.0, 250.0, 500.0, 130.0),
        "Heat pump as installed": (2030.0, 1820.0, 2270.0, 1010.0, 190.0, 500.0, 330.0),
        "Two fan convectors and a cooler curve": (1855.0, 1690.0, 2055.0, 835.0, 190.0, 500.0, 330.0),
        "Cheap-night tariff": (1720.0, 1540.0, 1935.0, 800.0, 130.0, 440.0, 350.0),
    }
    names = ["year_cost", "year_cost_low", "year_cost_high", "heating_cost", "hot_water_cost", "household_cost"]
    return pd.DataFrame.from_dict(rows, orient="index", columns=[*names, "standing_cost"])
