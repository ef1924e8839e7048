"""Monthly figures and a place in; a year of weather that reproduces them out.

Nothing here is random: the same figures give the same year on every machine, whatever the step. Hours are made once
and held over half and quarter hours, so that a shorter step doesn't change the weather.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Floats
from simkit.clock import TimeAxis
from simkit.errors import CaseError, raise_all
from simkit.kept.disk import on_disk
from simkit.notation import Localised, Notation
from simkit.times_of_day import MONTHS
from simkit.weather import air, sky
from simkit.weather.damp import humidity_of_steps
from simkit.weather.degree_days import BY_HOURS, mean_from_degree_days
from simkit.weather.draws import normals, persistent
from simkit.weather.monthly_faults import anomaly_faults, monthly_faults
from simkit.weather.months import month_days, with_spreads
from simkit.weather.record import COLUMNS, Weather


@dataclass(frozen=True)
class Recipe:
    """What a made-up year is made from, so that other years can be made from it.

    Parameters
    ----------
    axis
        Hourly axis on which the weather is made.
    place
        Latitude, longitude [deg] and altitude [m].
    fit
        Means, daily swing and size of the anomaly.
    humidity, radiation_kwh_m2
        Monthly figures, (12,) [0..1] and [kWh/m²].
    sequence
        Number of the sequence of chance for which the fit was found.
    """

    axis: TimeAxis
    place: tuple[float, float, float]
    fit: air.Fit
    humidity: Floats
    radiation_kwh_m2: Floats
    sequence: int


def synthesise(site: Any, source: Any, axis: TimeAxis, *, sequence: int = 0) -> Weather:
    """Turn monthly figures into a year of weather.

    Parameters
    ----------
    site
        With latitude_deg, longitude_deg, altitude_m and design_outdoor_c.
    source
        With mean_c, or degree_days, degree_day_base_c and degree_day_rule; daily_range_k; humidity; radiation_kwh_m2,
        sunshine_hours or neither: twelve values each.
    axis
        The time axis.
    sequence
        Number of the sequence of chance; another number gives another order of warm and cold days.

    Returns
    -------
    Weather
        With the monthly means (or degree-days, by the rule stated), mean daily ranges, relative humidities and
        radiation that were stated, and with 99.6 % of its hours warmer than the design cold.
    """
    place = (site.latitude_deg, site.longitude_deg, site.altitude_m)
    recipe = _recipe(place, site.design_outdoor_c, source, hourly_axis(axis), sequence)
    raise_all(anomaly_faults(site, recipe.fit), CaseError)
    frame = made(recipe, sequence=sequence, anomaly_k=np.zeros(12))
    notes = (*_notes(source, site, recipe.fit), *_radiation_notes(source, recipe.radiation_kwh_m2))
    return Weather(axis, held(frame, recipe.axis, axis), notes, recipe)


@on_disk
def _recipe(place: tuple[float, float, float], cold_c: float, source: Any, axis: TimeAxis, sequence: int) -> Recipe:
    """What makes up the year of a place with this design cold, on an hourly axis."""
    over = sky.heaven(axis, *place)
    raise_all(monthly_faults(source, axis, over), CaseError)
    radiation = _radiation(source, axis, over)
    fit = _fit(cold_c, source, axis, over, radiation=radiation, sequence=sequence)
    return Recipe(axis, place, fit, np.asarray(source.humidity, dtype=np.float64), radiation, sequence)


def hourly_axis(axis: TimeAxis) -> TimeAxis:
    """Return the hourly axis of the same year; `axis` itself where clocks change by less than an hour."""
    try:
        return TimeAxis(axis.zone, axis.year, 60)
    except CaseError:
        return axis


def held(frame: pd.DataFrame, coarse: TimeAxis, axis: TimeAxis) -> pd.DataFrame:
    """Hold the values of a coarse axis over the steps of a finer one; every mean stays what it is."""
    times = coarse.step_minutes // axis.step_minutes
    return pd.DataFrame(
        {name: np.repeat(frame[name].to_numpy(), times) for name in COLUMNS}, index=axis.utc, columns=list(COLUMNS)
    )


@on_disk
def made(recipe: Recipe, *, sequence: int, anomaly_k: Floats, spread_k: Floats | None = None) -> pd.DataFrame:
    """Make one year from a recipe.

    Parameters
    ----------
    recipe
        What the year is made from.
    sequence
        Number of the sequence of chance.
    anomaly_k
        How much warmer than usual each month is, (12,) [K].
    spread_k
        Standard deviation of the hours of each month, (12,) [K]; None takes the one that the recipe leads to.

    Returns
    -------
    DataFrame
        The five columns on the recipe's axis.
    """
    axis = recipe.axis
    over = sky.heaven(axis, *recipe.place)
    warmth, clear, clearness = _days(axis, over, recipe.radiation_kwh_m2, sequence)
    pieces = air.pieces_of_air(axis, over, warmth=warmth, clearness=clearness, sequence=sequence)
    outdoor = air.temperature(axis, pieces, replace(recipe.fit, mean_c=recipe.fit.mean_c + anomaly_k))
    outdoor = outdoor if spread_k is None else with_spreads(axis, outdoor, spread_k)
    damp = humidity_of_steps(axis, outdoor, recipe.humidity, clear)
    ghi, beam, diffuse = sky.hours_of_sky(axis, over, clearness, sequence)
    return pd.DataFrame(dict(zip(COLUMNS, (outdoor, damp, ghi, beam, diffuse), strict=True)), index=axis.utc)


def _days(axis: TimeAxis, over: sky.Heaven, radiation: Floats, sequence: int) -> tuple[Floats, Floats, Floats]:
    """Warmth and clarity as standard normal numbers and radiation as a share of the clearest sky, each (days,)."""
    memory = np.interp(over.summer, (0.0, 1.0), air.MEMORY)
    warmth = persistent(normals(len(axis.dates), sequence, 1), memory)
    clear = sky.clouds(axis, over, warmth, sequence)
    return warmth, clear, sky.daily_clearness(axis, over, radiation, clear)


def _fit(cold_c: float, source: Any, axis: TimeAxis, over: sky.Heaven, *, radiation: Floats, sequence: int) -> air.Fit:
    days = month_days(axis)
    wanted = None if source.mean_c is not None else np.asarray(source.degree_days, dtype=np.float64)
    if wanted is None:
        means, base = np.asarray(source.mean_c, dtype=np.float64), 0.0
    else:
        base = float(source.degree_day_base_c)
        means = _seasonal(mean_from_degree_days(wanted, base, days), wanted < air.FEW)
    warmth, _, clearness = _days(axis, over, radiation, sequence)
    pieces = air.pieces_of_air(axis, over, warmth=warmth, clearness=clearness, sequence=sequence)
    return air.fitted(
        axis,
        pieces,
        mean_c=means,
        range_k=np.asarray(source.daily_range_k, dtype=np.float64),
        cold_c=cold_c,
        degree_days=wanted,
        base_c=base,
        rule=source.degree_day_rule or BY_HOURS,
    )


def _seasonal(means: Floats, unknown: Bools) -> Floats:
    """Put a yearly cosine through the months whose degree-days say how warm they are, for those that don't."""
    if not unknown.any() or (~unknown).sum() < 4:
        return means
    turn = 2.0 * np.pi * (np.arange(12) + 0.5) / 12.0
    terms = np.stack([np.ones(12), np.cos(turn), np.sin(turn)], axis=1)
    course = terms @ np.linalg.lstsq(terms[~unknown], means[~unknown], rcond=None)[0]
    return np.where(unknown, np.maximum(course, means[~unknown].max() + 1.0), means)


def _radiation(source: Any, axis: TimeAxis, over: sky.Heaven) -> Floats:
    """Monthly radiation, stated or estimated, (12,) [kWh/m²]."""
    if source.radiation_kwh_m2 is not None:
        return np.asarray(source.radiation_kwh_m2, dtype=np.float64)
    return sky.estimated_kwh_m2(axis, over, sunshine_hours=source.sunshine_hours, daily_range_k=source.daily_range_k)


def _radiation_notes(source: Any, found: Floats) -> tuple[str, ...]:
    """Say how radiation was estimated where it was."""
    if source.radiation_kwh_m2 is not None:
        return ()
    if source.sunshine_hours is not None:
        how = "from the hours of sunshine (Ångström and Prescott, coefficients {0} and {1} of FAO-56)"
    else:
        how = "from latitude and daily range alone (Hargreaves and Samani, {2} as in FAO-56), good to about a fifth"

    def note(notation: Notation) -> str:
        by = how.format(*(notation.number(value, 2) for value in (0.25, 0.50, 0.16)))
        return f"Radiation is estimated {by}: {notation.number(found.sum())} kWh/m² in the year."

    return (Localised(note),)


def _notes(source: Any, site: Any, fit: air.Fit) -> list[str]:
    """Say what the year is made of, and what in it is not as stated."""
    rule = source.degree_day_rule or BY_HOURS
    by = "mean temperatures" if source.mean_c is not None else f"degree-days ({rule})"

    def made_up(n: Notation) -> str:
        base = "" if source.mean_c is not None else f", base {n.brief(source.degree_day_base_c)} °C"
        return (
            f"Weather is made up to reproduce monthly {by}{base}, daily ranges and humidity; its order of warm and "
            f"cold days is one of many, and {n.number(0.4, 1)} % of its hours lie below "
            f"{n.brief(site.design_outdoor_c)} °C."
        )

    notes: list[str] = [Localised(made_up)]
    if fit.over_range.any():
        months = ", ".join(MONTHS[k] for k in np.flatnonzero(fit.over_range))
        notes.append(f"In {months} the change from day to day alone gives a wider daily range than stated.")
    free = [] if source.mean_c is not None else [k for k in range(12) if source.degree_days[k] < air.FEW]
    if free:
        said = "Months without degree-days say only that they are warm; their means are estimated"
        notes.append(
            Localised(lambda n: f"{said}: {', '.join(f'{MONTHS[k]} ({n.number(fit.mean_c[k], 1)} °C)' for k in free)}.")
        )
    return notes
