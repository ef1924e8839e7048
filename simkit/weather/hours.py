"""Place, weather of a case and time axis in; a year of weather on that axis out, from monthly figures or from a file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from simkit.clock import TimeAxis
from simkit.weather.monthly import synthesise
from simkit.weather.record import COLUMNS, Weather

__all__ = ["COLUMNS", "Weather", "weather_on"]


def weather_on(site: Any, weather: Any, axis: TimeAxis, *, folder: Path | str = ".") -> Weather:
    """Return a year of weather.

    Parameters
    ----------
    site
        With latitude_deg, longitude_deg, altitude_m and design_outdoor_c.
    weather
        The case's weather: monthly figures, or a file and how to read it.
    axis
        The time axis.
    folder
        Where a relative path of a file starts.
    """
    return synthesise(site, weather, axis)
