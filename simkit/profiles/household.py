"""A household's yearly electricity, or its file, in; mean power per step of the time axis out.

The yearly figure is spread over the published household profile H0: quarter-hours by season and day type, times a
factor that runs smoothly through the year. It is the mean of very many homes: fair for a bill, too smooth for a fuse.
"""

from __future__ import annotations

import csv
import datetime as dt
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np

from simkit.arrays import Dates, Floats, Ints
from simkit.clock import TimeAxis
from simkit.errors import CaseError, Fault, nearest
from simkit.kept.memory import memo
from simkit.profiles.household_file import kw_from_file
from simkit.schema.public_holidays import holiday_dates

SEASONS = ("winter", "transition", "summer")
DAY_TYPES = ("workday", "saturday", "sunday")
QUARTER_MINUTES = 15

# VDEW Materialien M-05/2000 (Anwendung der Repräsentativen VDEW-Lastprofile step-by-step), step 4b: the factor of a day
# of the year, highest power first.
DYNAMIC_FACTOR = (-3.92e-10, 3.20e-7, -7.02e-5, 2.10e-3, 1.24)


def household_kw(
    axis: TimeAxis, household: Any, *, folder: Path, country: str | None = None, southern: bool = False
) -> Floats:
    """Return the electricity of lights and appliances, mean of each step, shape (steps,) [kW].

    Parameters
    ----------
    axis
        The time axis.
    household
        Has `annual_kwh` [kWh] for the profile H0, or `file` (CSV of measured use), which then counts alone. A part
        of those kWh that is taken all the time, `standby_w` [W], lies flat beneath the profile.
    folder
        Where the case file stands; `file` is relative to it.
    country
        ISO 3166 code, two letters: its public holidays count as Sundays. None knows no holidays.
    southern
        Whether the home is south of the equator: the seasons of the profile are then moved by half a year.

    Notes
    -----
    The sum over the axis is `annual_kwh`, whatever the year: a leap year's 366 days share the same yearly use, and the
    published factors, which add up to 1000 kWh only about, are scaled. A file is taken as it is and must hold the whole
    year of the axis.
    """
    name = getattr(household, "file", None)
    if name is not None:
        return kw_from_file(axis, Path(folder) / name)
    shape = _shape(axis, country, southern)
    always = (getattr(household, "standby_w", None) or 0.0) / 1000.0
    rest = max(float(household.annual_kwh) - always * axis.steps * axis.hours, 0.0)
    return always + shape * (rest / (float(shape.sum()) * axis.hours))


@memo
def _shape(axis: TimeAxis, country: str | None, southern: bool) -> Floats:
    """The profile of every household of one place, worked out once."""
    return h0_watts(axis, holidays=public_holidays(country, axis.year), southern=southern)


def h0_watts(
    axis: TimeAxis, *, holidays: frozenset[dt.date] = frozenset(), southern: bool = False, dynamic: bool = True
) -> Floats:
    """Return the published profile H0 on the axis, shape (steps,) [W for about 1000 kWh a year].

    Parameters
    ----------
    axis
        The time axis; the profile runs by local wall time, so an hour that the clock skips is skipped and an hour that
        comes twice is used twice.
    holidays
        Civil dates that count as Sundays.
    southern
        Whether the seasons are moved by half a year.
    dynamic
        Whether the factor of the day is applied, as the publishers ask for households.

    Notes
    -----
    24 and 31 December count as Saturdays unless they are Sundays (or holidays). Source: VDEW M-32/99 and M-05/2000.
    The publishers round the factor to four digits and the product to 0.1 W; neither is done here.
    """
    season, day_type = kinds_of_days(axis.dates, holidays, southern=southern)
    table = quarter_hours().reshape(len(SEASONS), len(DAY_TYPES), -1, axis.step_minutes // QUARTER_MINUTES).mean(axis=3)
    watts = table[season[axis.day], day_type[axis.day], axis.minute_of_day // axis.step_minutes]
    return watts * dynamic_factor(axis.dates, southern=southern)[axis.day] if dynamic else watts


def kinds_of_days(
    dates: Dates, holidays: frozenset[dt.date] = frozenset(), *, southern: bool = False
) -> tuple[Ints, Ints]:
    """Return the profile's season and day type of each date, shape (days,), as indices into SEASONS and DAY_TYPES.

    Winter runs from 1 November to 20 March, summer from 15 May to 14 September (VDEW M-32/99).
    """
    month, day = month_and_day(dates)
    code = ((month + 5) % 12 + 1 if southern else month) * 100 + day
    winter, summer = (code >= 1101) | (code <= 320), (code >= 515) & (code <= 914)
    weekday = (dates.astype("datetime64[D]").astype(np.int64) + 3) % 7  # 1 January 1970 was a Thursday
    sunday = (weekday == 6) | np.isin(dates, np.array(sorted(holidays), dtype="datetime64[D]"))
    saturday = (weekday == 5) | ((month == 12) & np.isin(day, (24, 31)))
    return np.where(winter, 0, np.where(summer, 2, 1)), np.where(sunday, 2, np.where(saturday, 1, 0))


def month_and_day(dates: Dates) -> tuple[Ints, Ints]:
    """Return month and day of the month of each date, shape (days,), from 1."""
    days = dates.astype("datetime64[D]")
    months = days.astype("datetime64[M]")
    return months.astype(np.int64) % 12 + 1, (days - months.astype("datetime64[D]")).astype(np.int64) + 1


def dynamic_factor(dates: Dates, *, southern: bool = False) -> Floats:
    """Return the factor of each date that smooths the profile's seasons, shape (days,) [-], about 0.8 to 1.25.

    F = −3.92e-10·t⁴ + 3.20e-7·t³ − 7.02e-5·t² + 2.10e-3·t + 1.24 with t the day of the year, 1 to 366
    (VDEW M-05/2000, step 4b).
    """
    days = dates.astype("datetime64[D]")
    start = days.astype("datetime64[Y]").astype("datetime64[D]")
    day_of_year = (days - start).astype(np.int64) + 1
    if southern:
        length = ((start.astype("datetime64[Y]") + np.timedelta64(1, "Y")).astype("datetime64[D]") - start).astype(
            np.int64
        )
        day_of_year = (day_of_year - 1 + length // 2) % length + 1
    return np.polyval(DYNAMIC_FACTOR, day_of_year.astype(np.float64))


def public_holidays(country: str | None, year: int) -> frozenset[dt.date]:
    """Return the nationwide public holidays of a country, or none without a country; regional ones are not known here.

    Raises
    ------
    CaseError
        For a country without a calendar.
    """
    if country is None:
        return frozenset()
    try:
        return frozenset(holiday_dates(country, None, (year,)))
    except NotImplementedError:  # asked for only now: the list of countries loads every one of them
        from holidays import list_supported_countries

        near = nearest(country.upper(), [code for code in list_supported_countries() if len(code) == 2])
        allowed = "is not a country whose public holidays are known"
        remedy = f"Write {near}" if near else "Write the two letters of ISO 3166, for example IE"
        raise CaseError(Fault("[site]", f'country = "{country}"', allowed, remedy)) from None


@cache
def quarter_hours() -> Floats:
    """The published static values, shape (seasons, day types, 96) [W for 1000 kWh a year]."""
    text = files("simkit.profiles").joinpath("bdew_h0.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
    columns = [[float(row[f"{season}_{day_type}"]) for row in rows] for season in SEASONS for day_type in DAY_TYPES]
    return np.array(columns).reshape(len(SEASONS), len(DAY_TYPES), len(rows))
