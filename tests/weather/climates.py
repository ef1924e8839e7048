"""Invented climates for tests: round figures of the kind that a climate table prints."""

from __future__ import annotations

from typing import Any

from simkit.case.home.site import Site
from simkit.case.home.weather import WeatherSource

MARITIME: dict[str, Any] = {
    "mean_c": (5.3, 5.3, 6.8, 8.3, 10.9, 13.6, 15.6, 15.3, 13.4, 10.5, 7.4, 5.6),
    "daily_range_k": (5.7, 6.2, 7.2, 8.2, 8.6, 8.6, 8.6, 8.2, 7.9, 6.8, 6.1, 5.5),
    "humidity": (0.87, 0.84, 0.82, 0.80, 0.78, 0.78, 0.79, 0.81, 0.83, 0.85, 0.88, 0.88),
    "radiation_kwh_m2": (20.0, 37.0, 73.0, 113.0, 150.0, 149.0, 149.0, 122.0, 87.0, 52.0, 25.0, 15.0),
}
INLAND: dict[str, Any] = {
    "mean_c": (0.4, 1.5, 5.0, 9.4, 14.2, 17.3, 19.2, 18.8, 14.4, 9.6, 4.6, 1.6),
    "daily_range_k": (4.8, 5.9, 7.7, 9.8, 10.4, 10.2, 10.1, 10.0, 8.9, 7.0, 4.9, 4.3),
    "humidity": (0.86, 0.82, 0.76, 0.69, 0.68, 0.69, 0.70, 0.71, 0.78, 0.83, 0.88, 0.88),
    "radiation_kwh_m2": (21.0, 36.0, 80.0, 125.0, 160.0, 163.0, 162.0, 138.0, 93.0, 55.0, 25.0, 17.0),
}


def site(**other: Any) -> Site:
    """A place on a mild coast; single keys may be changed."""
    keys = {
        "zone": "Europe/Dublin",
        "country": "IE",
        "latitude_deg": 53.4,
        "longitude_deg": -6.2,
        "altitude_m": 40.0,
        "year": 2025,
        "design_outdoor_c": -2.0,
    }
    return Site(**(keys | other))


def inland_site(**other: Any) -> Site:
    """A place in a plain far from the sea."""
    keys = {
        "zone": "Europe/Berlin",
        "country": "DE",
        "latitude_deg": 52.4,
        "longitude_deg": 13.1,
        "altitude_m": 80.0,
        "design_outdoor_c": -9.0,
    }
    return site(**(keys | other))


def months(climate: dict[str, Any] = MARITIME, **other: Any) -> WeatherSource:
    """Monthly figures; a key set to None is left out."""
    keys = {key: value for key, value in (climate | other).items() if value is not None}
    return WeatherSource(**keys)


def unchecked(climate: dict[str, Any] = MARITIME, **other: Any) -> WeatherSource:
    """Monthly figures past the bounds of the case, as a library user could hand them over."""
    keys = dict.fromkeys(WeatherSource.model_fields) | climate | other
    return WeatherSource.model_construct(**keys)
