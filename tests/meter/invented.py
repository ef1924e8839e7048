"""A home as described and a number in; an invented twin of it whose truth is known, and what its meters show, out."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import pandas as pd

from simkit.assemble.setting import setting_for
from simkit.case.case import Case
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import run_home
from simkit.meter.fitting.lanes import COUNTED, SPACE, adjusted, lived_series, steady_heat, steady_share
from simkit.meter.fitting.observations import SYSTEMATIC
from simkit.meter.fitting.parameters import parameters_of
from simkit.meter.fitting.weather_then import WeatherThen, in_year
from simkit.meter.fitting.window import Window, window_of
from simkit.meter.reading.reading import Readings, readings_from
from simkit.weather.record import Weather
from simkit.weather.years import weather_years

# Own: how people and their days scatter about their mean, as shares, and the likeness of neighbouring days.
HOUSEHOLD_SD, HOUSEHOLD_LIKENESS, SLOT_SD = 0.18, 0.3, 0.55
DRAWS_SD, HELD_SD_K = 0.35, 0.15
AWAY_SHARE, AWAY_USE = 0.02, 0.35
INVENTED_YEARS = 32


@dataclass(frozen=True, eq=False)
class Invented:
    """An invented home.

    Attributes
    ----------
    truth
        Values of its unknowns.
    weather
        The weather that it had.
    readings
        What its meters show over the whole span, half-hours, in our names.
    """

    truth: dict[str, float]
    weather: WeatherThen
    readings: Readings


@lru_cache(maxsize=8)
def _years(case: Case, step_minutes: int, year: int, seed: int) -> tuple[Weather, ...]:
    usual = setting_for(in_year(case, year), step_minutes).weather
    return tuple(weather_years(usual, INVENTED_YEARS, sd_k=case.uncertainty.weather_sd_k, seed=seed))


def invent(
    case: Case, number: int, start: str, end: str, *, meters: tuple[str, ...] = ("import_kwh",), step_minutes: int = 30
) -> Invented:
    """Invent a home and the readings of its meters.

    Parameters
    ----------
    case
        What the home's owner would say of it: the truth is drawn from the priors about it.
    number
        Which one: start of the random numbers.
    start, end
        Local dates of the span, the end not included.
    meters
        Quantities that are metered, `COUNTED` and ``room_c``.
    step_minutes
        Length of a step [min].
    """
    rng = np.random.default_rng([number, 7])
    span = [pd.Timestamp(date).tz_localize(case.site.zone).tz_convert("UTC") for date in (start, end)]
    years = range(
        (span[0] - pd.Timedelta(days=15)).year, (span[1] - pd.Timedelta(days=1)).tz_convert(case.site.zone).year + 1
    )
    made = {
        year: _years(case, step_minutes, year, 91)[(number + 5 * k) % INVENTED_YEARS] for k, year in enumerate(years)
    }
    weather = WeatherThen(made, made[min(made)].axis.utc[0], ())
    window = window_of(case, span[0], span[1], weather=weather)
    unknowns = parameters_of(case)
    apart = np.random.default_rng([number, 13])  # so that one unknown more doesn't make another home of the rest
    of = {"cold": apart}
    truth = {one.name: float(one.value(np.clip(of.get(one.name, rng).normal(), -2.2, 2.2))) for one in unknowns}
    run = run_home(_lived(window, truth, rng), len(window.series["outdoor_c"]), window.hours, run_in=False)
    frame = pd.DataFrame({"end": window.starts + pd.Timedelta(minutes=step_minutes)}, index=window.starts)
    for meter in meters:
        own = SYSTEMATIC[meter] * float(np.clip(rng.normal(), -2.2, 2.2))
        if meter == "room_c":
            frame[meter] = np.round(run.flow("air_c")[window.run_in :] + own, 2)
        else:
            kw = np.sum([run.flow(flow)[window.run_in :] for flow in COUNTED[meter]], axis=0)
            share = steady_share(lambda flow: run.flow(flow)[window.run_in :].sum(), meter)
            of_day = np.add.reduceat(kw, window.edges[:-1]) * window.hours
            heat = np.sum([run.flow(flow)[window.run_in :] for flow in SPACE], axis=0) * window.hours
            space = np.add.reduceat(heat, window.edges[:-1])
            more = share * steady_heat(truth["steady_kwh"], np.diff(window.edges) * window.hours / 24.0, space)
            # by day, in the hours in which the meter ran: spread evenly it would make hours of less than nothing
            kw = kw * np.repeat(np.maximum(of_day + more, 0.0) / np.maximum(of_day, 1e-9), np.diff(window.edges))
            frame[meter] = np.round(kw * window.hours * (1.0 + own), 3)
    return Invented(truth, weather, readings_from(frame, zone=case.site.zone, name="invented"))


def _lived(window: Window, truth: dict[str, float], rng: np.random.Generator) -> HomeInputs:
    """The home with the irregular days of people laid over its series."""
    home = adjusted(window.case, window, truth)
    series = dict(window.series)
    series |= lived_series(window, truth)
    steps = len(series["outdoor_c"])
    a_day = round(24.0 / window.hours)
    days = -(-steps // a_day)
    of_day = np.arange(steps) // a_day
    noise = np.empty(days)
    noise[0] = rng.normal()
    for k in range(1, days):
        noise[k] = HOUSEHOLD_LIKENESS * noise[k - 1] + (1 - HOUSEHOLD_LIKENESS**2) ** 0.5 * rng.normal()
    away = rng.random(days) < AWAY_SHARE
    use = np.exp(HOUSEHOLD_SD * noise - HOUSEHOLD_SD**2 / 2) * np.where(away, AWAY_USE, 1.0)
    use = use / (1.0 - AWAY_SHARE * (1.0 - AWAY_USE))
    slots = np.exp(SLOT_SD * rng.normal(size=steps) - SLOT_SD**2 / 2)
    household = series["household_kw"]
    lived = household * use[of_day] * slots
    series["internal_gain_kw"] = series["internal_gain_kw"] + (lived - household) * window.case.household.heat_share
    series["household_kw"] = lived
    draws = np.exp(DRAWS_SD * rng.normal(size=days) - DRAWS_SD**2 / 2)
    series["draw_kw"] = series["draw_kw"] * draws[of_day]
    series["set_point_c"] = series["set_point_c"] + HELD_SD_K * rng.normal(size=days)[of_day]
    return HomeInputs(home.home, home.start, series)
