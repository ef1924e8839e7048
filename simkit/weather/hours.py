"""Place, weather of a case and time axis in; a year of weather on that axis out, from months or from a file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.clock import TimeAxis
from simkit.notation import Localised
from simkit.readers.found import Found
from simkit.readers.weather_file import read_weather
from simkit.solar.sun import Sun, split_beam_diffuse, sun_position
from simkit.weather import sky
from simkit.weather.air import COLD_QUANTILE
from simkit.weather.aligned import aligned
from simkit.weather.damp import humidity_from_minimum
from simkit.weather.monthly import held, hourly_axis, synthesise
from simkit.weather.months import day_starts, mean_daily_range
from simkit.weather.record import COLUMNS, SKY, Weather

__all__ = ["COLUMNS", "Weather", "weather_on"]


FAR_DEG = 1.5  # a file from further away than this is remarked on: about 150 km
HIGHEST_BEAM_W_M2 = 1200.0
OTHER_COLD_K = 3.0  # own: years differ by so much, climates by more


def weather_on(site: Any, weather: Any, axis: TimeAxis, *, folder: Path | str = ".") -> Weather:
    """Return a year of weather.

    Parameters
    ----------
    site
        With zone, latitude_deg, longitude_deg, altitude_m and design_outdoor_c.
    weather
        The case's weather: monthly figures (see `simkit.weather.monthly.synthesise`), or `file` and how to read it.
    axis
        The time axis.
    folder
        Where a relative path of a file starts.

    Returns
    -------
    Weather
        Hours from either source are held over shorter steps.
    """
    if weather.file is None:
        return synthesise(site, weather, axis)
    place = (site.latitude_deg, site.longitude_deg, site.altitude_m)
    frame, found = read_weather(Path(folder) / weather.file, source=weather, zone=axis.zone, place=place)
    return from_series(site, frame, found, axis)


def from_series(site: Any, frame: pd.DataFrame, found: Found, axis: TimeAxis) -> Weather:
    """Lay a file's series on the axis and complete its columns.

    Parameters
    ----------
    site
        With latitude_deg, longitude_deg, altitude_m (its sun is used, not that of the file's place) and
        design_outdoor_c.
    frame, found
        What a reader returned.
    axis
        The time axis.
    """
    coarse = hourly_axis(axis) if found.step_minutes >= 60 else axis
    laid, rules = aligned(frame, found, coarse)
    notes = [*found.sentences(), *rules, *_elsewhere(site, laid["outdoor_c"].to_numpy(), found)]
    if "humidity" not in laid:
        laid["humidity"] = humidity_from_minimum(coarse, laid["outdoor_c"].to_numpy())
        notes.append(f"{found.file} has no humidity: the dew point is taken as each day's lowest temperature (FAO-56).")
    notes += _complete_sky(site, laid, coarse, found.file)
    return Weather(axis, held(laid, coarse, axis), tuple(notes))


def _elsewhere(site: Any, outdoor_c: Floats, found: Found) -> list[str]:
    """Say where a file lies far from the site, or is of another cold."""
    notes: list[str] = []
    if found.latitude_deg is not None and found.longitude_deg is not None:
        latitude, longitude = found.latitude_deg, found.longitude_deg
        north = latitude - site.latitude_deg
        east = (longitude - site.longitude_deg + 180.0) % 360.0 - 180.0
        if np.hypot(north, east * np.cos(np.radians(site.latitude_deg))) >= FAR_DEG:
            notes.append(
                Localised(
                    lambda n: (
                        f"{found.file} is from {n.number(latitude, 2)}° north, "
                        f"{n.number(longitude, 2)}° east, far from the site at {n.number(site.latitude_deg, 2)}° "
                        f"north, {n.number(site.longitude_deg, 2)}° east."
                    )
                )
            )
    cold = float(np.quantile(outdoor_c, COLD_QUANTILE))
    if abs(cold - site.design_outdoor_c) >= OTHER_COLD_K:
        notes.append(
            Localised(
                lambda n: (
                    f"{n.number(99.6, 1)} % of the hours in {found.file} are warmer than {n.number(cold, 1)} °C, "
                    f"and the case says {n.brief(site.design_outdoor_c)} °C: sizes are judged by the one, the year "
                    "runs on the other."
                )
            )
        )
    return notes


def _complete_sky(site: Any, laid: pd.DataFrame, axis: TimeAxis, file: str) -> list[str]:
    """Fill in the radiation columns that the file lacks, in place; say how."""
    have = {name for name in SKY if name in laid}
    for name in have:
        laid[name] = laid[name].clip(lower=0.0)
    if len(have) == 3:
        return []
    sun = sun_position(axis, site.latitude_deg, site.longitude_deg, site.altitude_m)
    if len(have) == 2:
        return [_third(laid, sun, have, file)]
    if have == {"ghi_w_m2"}:
        beam, diffuse = split_beam_diffuse(laid["ghi_w_m2"].to_numpy(), sun)
        laid["dni_w_m2"], laid["dhi_w_m2"] = beam, diffuse
        return [f"{file} has global radiation only: it is split into beam and diffuse after Erbs."]
    ghi, beam, diffuse, total = _estimated(site, laid["outdoor_c"].to_numpy(), axis)
    laid["ghi_w_m2"], laid["dni_w_m2"], laid["dhi_w_m2"] = ghi, beam, diffuse
    return [
        Localised(
            lambda n: (
                f"{file} has no global radiation: it is estimated from latitude and daily range (Hargreaves and "
                f"Samani, {n.number(0.16, 2)} as in FAO-56), days of wide range being clear ones: {n.number(total)} "
                "kWh/m² in the year, good to about a fifth."
            )
        )
    ]


def _third(laid: pd.DataFrame, sun: Sun, have: set[str], file: str) -> str:
    """Work out the third of global, beam and diffuse from the other two."""
    up = sun.zenith_deg < 87.0
    if "ghi_w_m2" not in have:
        laid["ghi_w_m2"] = laid["dni_w_m2"].to_numpy() * sun.height + laid["dhi_w_m2"].to_numpy()
        return f"{file} has no global radiation: it is beam times the sun's height, plus diffuse."
    ghi = laid["ghi_w_m2"].to_numpy()
    if "dni_w_m2" not in have:
        beam = np.where(up, (ghi - laid["dhi_w_m2"].to_numpy()) / np.maximum(sun.height, 0.05), 0.0)
        laid["dni_w_m2"] = np.clip(beam, 0.0, HIGHEST_BEAM_W_M2)
        return f"{file} has no beam radiation: it is what global and diffuse leave for it."
    laid["dhi_w_m2"] = np.clip(ghi - laid["dni_w_m2"].to_numpy() * sun.height, 0.0, ghi)
    return f"{file} has no diffuse radiation: it is what global and beam leave for it."


def _estimated(site: Any, outdoor_c: Floats, axis: TimeAxis) -> tuple[Floats, Floats, Floats, float]:
    """Radiation made up to suit measured temperatures: ghi, dni, dhi (steps,) [W/m²], and the year's sum [kWh/m²]."""
    from scipy.special import ndtri

    over = sky.heaven(axis, site.latitude_deg, site.longitude_deg, site.altitude_m)
    monthly = sky.estimated_kwh_m2(axis, over, daily_range_k=mean_daily_range(axis, outdoor_c))
    starts = day_starts(axis)
    ranges = np.maximum.reduceat(outdoor_c, starts) - np.minimum.reduceat(outdoor_c, starts)
    month = axis.month[starts]
    clear = np.zeros(len(starts))
    for number in range(1, 13):
        days = np.flatnonzero(month == number)
        order = np.argsort(np.argsort(ranges[days], kind="stable"), kind="stable")
        clear[days] = ndtri((order + 0.5) / len(days))
    clearness = sky.daily_clearness(axis, over, monthly, clear)
    return (*sky.hours_of_sky(axis, over, clearness, 0), float(monthly.sum()))
