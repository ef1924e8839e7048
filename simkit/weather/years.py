"""A year of weather in; other plausible years of the same climate out.

A year from monthly figures is made again with another order of days and with months that are warmer or colder than
usual. A year from a file keeps its days and is shifted month by month: its storms stay where they were.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from simkit.arrays import Floats
from simkit.errors import CaseError, Fault
from simkit.notation import MINUS, Localised
from simkit.weather.draws import uniforms
from simkit.weather.monthly import Recipe, held, made
from simkit.weather.months import month_means, month_spreads, smooth_course, with_spreads
from simkit.weather.record import Weather

# How much single months depart beyond the year's own departure, against the standard deviation of year means; winter
# and summer. Own, from nine years at Dublin Airport (years 0.35 K, months beside them 0.95 K, least in summer).
MONTH_SPREAD = (2.9, 2.1)
MONTH_STREAM, ORDER_STREAM = 6, 7


def variant(
    weather: Weather,
    shift_k: float = 0.0,
    *,
    months_k: Sequence[float] | Floats | None = None,
    sequence: int | None = None,
    spread_k: Floats | None = None,
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
    spread_k
        Standard deviation of the hours of each month, (12,) [K]; None leaves it.

    Returns
    -------
    Weather
        Relative humidity keeps its monthly means in made-up weather, and its hourly values in weather from a file.
    """
    shift = shift_k + (np.zeros(12) if months_k is None else np.asarray(months_k, dtype=np.float64))
    mean = float(np.mean(shift))
    sign = MINUS if mean < 0 else "+"
    note = Localised(
        lambda n: f"Temperatures are shifted by {sign}{n.number(abs(mean), 2)} K on the mean of the months."
    )
    recipe = weather.recipe
    if isinstance(recipe, Recipe):
        chosen = recipe.sequence if sequence is None else sequence
        frame = held(made(recipe, sequence=chosen, anomaly_k=shift, spread_k=spread_k), recipe.axis, weather.axis)
    else:
        frame = weather.frame.copy()
        outdoor = frame["outdoor_c"].to_numpy() + smooth_course(weather.axis, shift)
        frame["outdoor_c"] = outdoor if spread_k is None else with_spreads(weather.axis, outdoor, spread_k)
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
        Their means, and the departures of each month, lie on the middles of `count` equally likely slices of a normal
        distribution, so that few years cover it well, in orders that `seed` shuffles. Months depart further than years
        do: `MONTH_SPREAD`. All years together have the mean and the spread of the usual year in each month: where
        months differ from year to year, the days of one year differ the less. So the heat of the usual year is the mean
        of theirs. Where `sd_k` is 0 they are the usual year itself.
    """
    if count < 1 or sd_k < 0.0:
        given = f"count = {count}" if count < 1 else f"sd_k = {sd_k:g}"
        allowed = "is less than one year" if count < 1 else "is negative, and a standard deviation can't be"
        raise CaseError(Fault("weather years", given, allowed, "Ask for 16 years with 0.5 K, for example"))
    if sd_k == 0.0:
        return [weather] * count
    years = _slices(uniforms(count, seed, ORDER_STREAM)) * sd_k
    months = _month_departures(count, seed, weather) * sd_k
    apart = np.mean((years[:, None] + months) ** 2, axis=0)
    made_on = weather.recipe.axis if isinstance(weather.recipe, Recipe) else weather.axis
    hours = weather.frame["outdoor_c"].to_numpy()[:: made_on.step_minutes // weather.axis.step_minutes]
    spread = np.sqrt(np.maximum(month_spreads(made_on, hours) ** 2 - apart, 0.0))
    return [
        variant(weather, float(years[k]), months_k=months[k], sequence=1 + seed * 4096 + k, spread_k=spread)
        for k in range(count)
    ]


def _slices(drawn: Floats) -> Floats:
    """Middles of equally likely slices of the standard normal distribution in the order of `drawn`, (count, ...)."""
    from scipy.special import ndtri

    rank = np.argsort(np.argsort(drawn, axis=0, kind="stable"), axis=0, kind="stable")
    return np.asarray(ndtri((rank + 0.5) / len(drawn)), dtype=np.float64)


def _month_departures(count: int, seed: int, weather: Weather) -> Floats:
    """Departures of months from years that have a spread of 1 K, (count, 12); mean 0 in each year and in each month."""
    means = month_means(weather.axis, weather.frame["outdoor_c"].to_numpy())
    side = 1.0 if means[[0, 1, 11]].sum() <= means[[5, 6, 7]].sum() else -1.0  # 1 in the north
    turn = side * np.cos(2.0 * np.pi * (np.arange(12) + 0.5) / 12.0)
    spread = (MONTH_SPREAD[0] + MONTH_SPREAD[1]) / 2.0 + (MONTH_SPREAD[0] - MONTH_SPREAD[1]) / 2.0 * turn
    drawn = _slices(uniforms(12 * count, seed, MONTH_STREAM).reshape(count, 12)) * spread
    return np.asarray(drawn - drawn.mean(axis=1, keepdims=True), dtype=np.float64)
