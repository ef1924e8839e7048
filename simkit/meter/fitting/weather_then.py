"""What is known of the weather of some readings in; years of weather for the home, and what was assumed, out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from simkit.assemble.setting import setting_for
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.errors import DataError, Fault
from simkit.notation import Localised
from simkit.profiles.one_home import mean_of_many
from simkit.weather.record import Weather
from simkit.weather.years import variant

# own: sensors in the air intake of an outdoor unit read too cold while it runs (it cools its own air) and too warm in
# the sun; half a kelvin either way is the usual size.
SENSOR_BIAS_K = 0.5
MOST_MISSING = 0.25
# own: places some tens of kilometres apart warm and cool together from day to day (above nine tenths), places of two
# climates don't; a biased thermometer moves as any other does
SAME_PLACE, FEWEST_CHANGES = 0.6, 20
# Whose thermometer it was, and what is to be said of it.
SOURCES = {
    "unit": (
        Localised(
            lambda n: f"They come from the unit's own sensor, which is often {n.brief(SENSOR_BIAS_K)} K off: it cools "
            "its own air while it runs, and the sun warms it. A steady bias goes into the needed temperature, not into "
            "the heat loss."
        )
    ),
    "logger": (
        "They come from a logger: at a wall or in the sun it reads too warm, and a steady bias goes into the "
        "temperature held, not into the heat loss."
    ),
    "station": (
        "They come from a weather station: a town is warmer than it and a hollow colder, and what is steady of that "
        "goes into the temperature held, not into the heat loss."
    ),
    "file": "Whose thermometer it was, the file doesn't say: a unit's own sensor and one in the sun are often off.",
}  # fmt: skip
MEANS = "Temperatures are means of days: how they rise and fall within a day is the usual of the case."
DAY, LONGEST_DAY = pd.Timedelta(hours=24), pd.Timedelta(hours=25)  # of a clock change
RUN_IN = pd.Timedelta(days=15)  # weather is made from so long before: the home runs on it before its readings begin

CALLS_ALWAYS = {"hot_water.sensor_height": 0.0}  # at the bottom, in cold water once some was drawn


@dataclass(frozen=True, eq=False)
class WeatherThen:
    """Weather of the years that readings touch.

    Attributes
    ----------
    years
        By civil year.
    known_from
        From when on it is the weather that really was; None where it is the usual one.
    notes
        What was assumed, one sentence each.
    """

    years: Mapping[int, Weather]
    known_from: pd.Timestamp | None
    notes: tuple[str, ...] = ()

    @property
    def step_minutes(self) -> int:
        """Length of its steps [min], which is that of every simulation that runs on it."""
        return self.years[min(self.years)].axis.step_minutes


def as_read(case: Case) -> Case:
    """The home as readings are compared with it: its household the mean of many, its water heated in every window.

    When its people switch on what, and on which days its cylinder calls for heat, nobody knows: the mean of all that
    may be is nearest to it, and what is left over is scatter.
    """
    return vary(case, mean_of_many(case.household) | CALLS_ALWAYS)


def in_year(case: Case, year: int) -> Case:
    """The same home in another civil year."""
    return case if case.site.year == year else vary(case, {"site.year": year})


def usual_weather(case: Case, start: pd.Timestamp, end: pd.Timestamp, step_minutes: int) -> WeatherThen:
    """The case's own weather over a span and the days before it: its file, where it is of then, or the usual months."""
    first, last = ((start - RUN_IN).tz_convert(case.site.zone).year, end.tz_convert(case.site.zone).year)
    made = {year: setting_for(in_year(case, year), step_minutes).weather for year in range(first, last + 1)}
    moved = any("by month, day and hour" in note for weather in made.values() for note in weather.notes)
    if case.weather.file is not None and not moved:
        return WeatherThen(
            made, made[first].axis.utc[0], ("The weather is that of the case's own file, hour by hour.",)
        )
    note = "The weather is the usual one of the case, not what it was: name a file or temperatures to do better."
    return WeatherThen(made, None, (note,))


def from_temperatures(
    case: Case, outdoor_c: pd.Series, step_minutes: int, *, source: str = "file"
) -> WeatherThen:  # fmt: skip
    """Weather from temperatures that were logged, by the unit's own sensor, a logger or a station.

    Parameters
    ----------
    case
        The home.
    outdoor_c
        Temperatures by time in UTC, hourly or so, or means of days [°C]; gaps up to six hours are bridged by a straight
        line, days with longer ones keep the usual weather, shifted to the level of the days beside them.
    step_minutes
        Length of the steps [min].
    source
        Whose thermometer it was, a key of `SOURCES`, and so what is said of it.
    """
    known = outdoor_c.dropna()
    own = usual_weather(case, known.index[0], known.index[-1], step_minutes)
    made = dict(own.years)
    daily = _is_daily(known)
    hourly = known.resample("60min").mean().interpolate(limit=6)
    total = missing = 0
    for year, weather in made.items():
        index = weather.axis.utc
        inside = (index >= known.index[0]) & (index <= known.index[-1])
        held = weather.frame["outdoor_c"]
        place = _of_means(known, held) if daily else hourly.reindex(index.floor("60min")).to_numpy()
        total, missing = total + int(inside.sum()), missing + int(np.isnan(place[inside]).sum())
        frame = weather.frame.copy()
        usual = frame["outdoor_c"].to_numpy()
        apart = pd.Series(np.where(np.isnan(place), np.nan, place - usual))
        level = (
            apart.rolling(round(48 / weather.axis.hours), center=True, min_periods=1).mean().ffill().bfill().fillna(0.0)
        )
        frame["outdoor_c"] = np.where(np.isnan(place), usual + np.where(inside, level, 0.0), place)
        made[year] = Weather(weather.axis, frame, weather.notes)
    if missing > MOST_MISSING * max(total, 1):
        given = f"temperatures of which {100 * missing / max(total, 1):.0f} % are missing"
        raise DataError(Fault("weather", given, "are too few to stand for the weather", "Name a weather file instead"))
    notes = [MEANS] if daily else []
    notes += ["Temperatures are as logged; sunshine and humidity are the usual ones of the case.", SOURCES[source]]
    if missing:
        lost = float(missing / total)
        words = "of the hours were not logged and follow the days beside them."
        notes.append(Localised(lambda n: f"{n.share(lost)} {words}"))
    held = pd.concat([weather.frame["outdoor_c"] for weather in own.years.values()])
    return WeatherThen(
        made, known.index[0], (*notes, *(_of_another_place(known, held) if own.known_from is not None else ()))
    )


def _is_daily(known: pd.Series) -> bool:
    """Whether temperatures are means of days."""
    apart = known.index.to_series().diff().dropna() / pd.Timedelta(hours=1)
    return bool(len(apart)) and 23.0 <= float(apart.median()) <= 25.0


def _of_means(known: pd.Series, usual: pd.Series) -> np.ndarray:
    """Usual temperatures moved to the means of days that were logged, NaN in the days that were not, (steps,) [°C]."""
    index = pd.DatetimeIndex(usual.index)
    row = known.index.searchsorted(index, side="right") - 1
    ends = np.minimum(known.index[1:].append(known.index[-1:] + DAY), known.index + LONGEST_DAY)
    inside = (row >= 0) & np.asarray(index < ends[row])
    days = usual.where(inside).groupby(row).transform("mean").to_numpy()
    return np.where(inside, usual.to_numpy() - days + known.to_numpy()[row], np.nan)


def _of_another_place(logged: pd.Series, held: pd.Series) -> tuple[str, ...]:
    """Say where temperatures that were logged don't warm and cool from day to day with the case's own file of then."""
    daily = [each.resample("1D").mean().diff() for each in (logged, held)]
    both = pd.concat(daily, axis=1, join="inner").dropna()
    together = float(both.corr().iloc[0, 1])
    if len(both) < FEWEST_CHANGES or together >= SAME_PLACE:
        return ()
    return (
        Localised(
            lambda n: (
                f"From day to day the temperatures that were logged go with the case's own weather file by "
                f"{n.number(together, 2)} only (1 is together, under {n.brief(SAME_PLACE)} is odd): one of the two is "
                "of another place or of another time."
            )
        ),
    )


def from_degree_days(case: Case, degree_days: Mapping[str, float], base_c: float, step_minutes: int) -> WeatherThen:
    """The usual weather with its months shifted to degree-days typed in by hand.

    Parameters
    ----------
    case
        The home.
    degree_days
        Month ("2026-01") and its degree-days [K·d], by daily means to the base.
    base_c
        Their base temperature [°C].
    step_minutes
        Length of the steps [min].
    """
    start, end = (pd.Timestamp(f"{month}-01", tz=case.site.zone) for month in (min(degree_days), max(degree_days)))
    made = {}
    for year, weather in usual_weather(case, start, end, step_minutes).years.items():
        shift = np.zeros(12)
        wanted = {int(month[5:7]): value for month, value in degree_days.items() if int(month[:4]) == year}
        made_year = weather
        for _ in range(6):
            for number, value in wanted.items():
                found, heating = _degree_days(made_year, number, base_c)
                shift[number - 1] -= (value - found) / max(heating, 1.0)
            made_year = variant(weather, 0.0, months_k=shift.tolist())
        made[year] = replace(made_year, notes=weather.notes)
    note = (
        f"Months are the usual ones shifted to the degree-days given (base {case.notation.brief(base_c)} °C): single "
        "days are not known, so that only sums of months can be fitted."
    )
    return WeatherThen(made, start.tz_convert("UTC"), (note,))


def _degree_days(weather: Weather, month: int, base_c: float) -> tuple[float, float]:
    """Degree-days of a month by daily means, and the days that have any."""
    axis = weather.axis
    daily = np.bincount(axis.day, weights=weather.frame["outdoor_c"].to_numpy()) / np.bincount(axis.day)
    inside = axis.dates.astype("datetime64[M]").astype(np.int64) % 12 + 1 == month
    short = np.maximum(base_c - daily[inside], 0.0)
    return float(short.sum()), float((short > 0).sum())
