"""A year of weather in; other plausible years of the same climate out.

A year from monthly figures is made again with another order of days and with months that are warmer or colder than
usual. A year from a file keeps its days and is shifted month by month: its storms stay where they were.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from simkit.arrays import Floats
from simkit.errors import CaseError, Fault
from simkit.weather.draws import normals, uniforms
from simkit.weather.monthly import Recipe, held, made
from simkit.weather.months import month_means, smooth_course
from simkit.weather.record import Weather

# How much single months depart beyond the year's own departure, against the standard deviation of year means; winter
# and summer. Own, from nine years at Dublin Airport (years 0.35 K, months beside them 0.95 K, least in summer).
MONTH_SPREAD = (2.9, 2.1)
MONTH_STREAM, ORDER_STREAM = 6, 7


def variant(
    weather: Weather, shift_k: float = 0.0, *, months_k: Sequence[float] | None = None, sequence: int | None = None
) -> Weather:
    """Return the same climate shifted, and in another order of days where it was made up.

    Parameters
    ----------
    weather
        The year to start from.
    shift_k
        How much warmer the whole year is [K].
    months_k
        How much warmer each month is besides, (12,) [K]; the change from month to month is smooth.
    sequence
        Number of the sequence of chance; None keeps the order of days. Weather from a file has only one order.

    Returns
    -------
    Weather
        Relative humidity keeps its monthly means in made-up weather, and its hourly values in weather from a file.
    """
    shift = shift_k + (np.zeros(12) if months_k is None else np.asarray(months_k, dtype=np.float64))
    note = f"Temperatures are shifted by {float(np.mean(shift)):+.2f} K on the mean of the months."
    recipe = weather.recipe
    if isinstance(recipe, Recipe):
        chosen = recipe.sequence if sequence is None else sequence
        frame = held(made(recipe, sequence=chosen, anomaly_k=shift), recipe.axis, weather.axis)
    else:
        frame = weather.frame.copy()
        frame["outdoor_c"] = frame["outdoor_c"].to_numpy() + smooth_course(weather.axis, shift)
    return Weather(weather.axis, frame, (*weather.notes, note), recipe)


def weather_years(weather: Weather, count: int, sd_k: float, seed: int = 0) -> list[Weather]:
    """Return plausible other years of the same climate.

    Parameters
    ----------
    weather
        The usual year.
    count
        Number of years, 1 or more.
    sd_k
        Standard deviation of the mean temperature of years [K].
    seed
        Number of the set of years; the same number gives the same years everywhere.

    Returns
    -------
    list of Weather
        Their means lie on the middles of `count` equally likely slices of a normal distribution, so that few years
        cover it well, in an order that `seed` shuffles. Months depart further than years do: `MONTH_SPREAD`.
    """
    if count < 1 or sd_k < 0.0:
        given = f"count = {count}" if count < 1 else f"sd_k = {sd_k:g}"
        allowed = "is less than one year" if count < 1 else "is negative, and a standard deviation can't be"
        raise CaseError(Fault("weather years", given, allowed, "Ask for 16 years with 0.5 K, for example"))
    years = _year_means(count, seed) * sd_k
    months = _month_departures(count, seed, _winter(weather)) * sd_k
    return [
        variant(weather, float(years[k]), months_k=[float(value) for value in months[k]], sequence=1 + seed * 4096 + k)
        for k in range(count)
    ]


def _year_means(count: int, seed: int) -> Floats:
    """Middles of equally likely slices of the standard normal distribution, shuffled, (count,)."""
    from scipy.special import ndtri

    slices = np.asarray(ndtri((np.arange(count) + 0.5) / count), dtype=np.float64)
    return slices[np.argsort(uniforms(count, seed, ORDER_STREAM), kind="stable")]


def _winter(weather: Weather) -> Floats:
    """1 in the middle of winter, -1 in that of summer, on either half of the globe, (12,)."""
    means = month_means(weather.axis, weather.frame["outdoor_c"].to_numpy())
    side = 1.0 if means[[0, 1, 11]].sum() <= means[[5, 6, 7]].sum() else -1.0
    return np.asarray(side * np.cos(2.0 * np.pi * (np.arange(12) + 0.5) / 12.0), dtype=np.float64)


def _month_departures(count: int, seed: int, turn: Floats) -> Floats:
    """Departures of months from their year for a standard deviation of years of 1 K, (count, 12); mean 0 in each."""
    spread = (MONTH_SPREAD[0] + MONTH_SPREAD[1]) / 2.0 + (MONTH_SPREAD[0] - MONTH_SPREAD[1]) / 2.0 * turn
    drawn = normals(12 * count, seed, MONTH_STREAM).reshape(count, 12) * spread
    return np.asarray(drawn - drawn.mean(axis=1, keepdims=True), dtype=np.float64)
