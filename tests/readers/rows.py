"""Invented files for the readers' tests: a cloudless year over a plain place, written in every form read here."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import numpy as np
import pandas as pd

from simkit.solar.sun import clear_sky_w_m2, split_beam_diffuse, sun_at

PLACE = (50.0, 10.0, 200.0)  # latitude, longitude [deg], altitude [m]; standard clock UTC+01:00


@lru_cache(maxsize=4)
def year_of_hours(year: int = 2023, shift_h: float = 0.0) -> pd.DataFrame:
    """Hours of a year, indexed by their start in UTC+01:00; `shift_h` makes the sun late in the stamps."""
    starts = pd.date_range(f"{year}-01-01", f"{year}-12-31 23:00", freq="h")
    middle = (starts - pd.Timedelta(hours=1.0 + shift_h) + pd.Timedelta(minutes=30)).tz_localize("UTC")
    sun = sun_at(middle, *PLACE)
    ghi = np.round(0.9 * clear_sky_w_m2(sun), 1)
    beam, diffuse = split_beam_diffuse(ghi, sun)
    turn = 2.0 * np.pi * (starts.day_of_year.to_numpy() - 15.0) / 365.0
    hour = 2.0 * np.pi * (starts.hour.to_numpy() - 14.0) / 24.0
    outdoor = np.round(9.0 - 9.0 * np.cos(turn) + 4.0 * np.cos(hour), 2)
    values = {"outdoor_c": outdoor, "humidity": np.round(0.75 - 0.15 * np.cos(hour), 4)}
    values |= {"ghi_w_m2": ghi, "dni_w_m2": np.round(beam, 1), "dhi_w_m2": np.round(diffuse, 1)}
    return pd.DataFrame(values, index=starts)


def write_epw(path: Path, frame: pd.DataFrame, *, zone: float = 1.0, years: dict[int, int] | None = None) -> Path:
    """Write an EPW file; `years` gives months other years, as typical months have."""
    latitude, longitude, altitude = PLACE
    head = [
        f"LOCATION,Invented,-,XXX,made up,000000,{latitude},{longitude},{zone},{altitude}",
        "DESIGN CONDITIONS,0",
        "TYPICAL/EXTREME PERIODS,0",
        "GROUND TEMPERATURES,0",
        "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
        "COMMENTS 1,invented",
        "COMMENTS 2,",
        "DATA PERIODS,1,1,Data,Sunday,1/1,12/31",
    ]
    years = years or {}
    rows = [
        f"{years.get(at.month, at.year)},{at.month},{at.day},{at.hour + 1},0,?9?9,{row.outdoor_c},5.0,"
        f"{100 * row.humidity:.1f},98000,0,0,300,{row.ghi_w_m2},{row.dni_w_m2},{row.dhi_w_m2}" + ",0" * 19
        for at, row in zip(frame.index, frame.itertuples(), strict=True)
    ]
    path.write_text("\n".join(head + rows) + "\n", encoding="utf-8")
    return path


def write_tmy3(path: Path, frame: pd.DataFrame, years: dict[int, int] | None = None) -> Path:
    """Write a TMY3 file."""
    latitude, longitude, altitude = PLACE
    years = years or {}
    columns = "Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2),Dry-bulb (C),RHum (%)"
    rows = [
        f"{at.month:02d}/{at.day:02d}/{years.get(at.month, at.year)},{at.hour + 1:02d}:00,{row.ghi_w_m2},"
        f"{row.dni_w_m2},{row.dhi_w_m2},{row.outdoor_c},{100 * row.humidity:.1f}"
        for at, row in zip(frame.index, frame.itertuples(), strict=True)
    ]
    head = f'000001,"INVENTED",XX,1.0,{latitude},{longitude},{altitude}'
    path.write_text("\n".join([head, columns, *rows]) + "\n", encoding="utf-8")
    return path


def write_pvgis(path: Path, frame: pd.DataFrame, years: dict[int, int] | None = None) -> Path:
    """Write a PVGIS file of a typical year, in UTC; the frame's stamps are taken for UTC."""
    latitude, longitude, altitude = PLACE
    years = years or {}
    head = [
        f"Latitude (decimal degrees): {latitude}",
        f"Longitude (decimal degrees): {longitude}",
        f"Elevation (m): {altitude}",
        "Irradiance Time Offset (h): 0.5",
        "month,year",
        *[f"{month},{years.get(month, 2023)}" for month in range(1, 13)],
        "time(UTC),T2m,RH,G(h),Gb(n),Gd(h),IR(h),WS10m,WD10m,SP",
    ]
    rows = [
        f"{years.get(at.month, at.year)}{at:%m%d:%H}00,{row.outdoor_c},{100 * row.humidity:.1f},{row.ghi_w_m2},"
        f"{row.dni_w_m2},{row.dhi_w_m2},300.0,2.0,180.0,99000.0"
        for at, row in zip(frame.index, frame.itertuples(), strict=True)
    ]
    path.write_text("\n".join([*head, *rows, "", "T2m: 2-m air temperature (degree Celsius)"]) + "\n", encoding="utf-8")
    return path


TYPICAL = {month: 2004 + (month * 5) % 11 for month in range(1, 13)}
