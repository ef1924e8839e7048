"""A tariff and one civil date in; what a kilowatt-hour costs in every minute of that date, by the wall clock, out.

Minutes are counted from local midnight to local midnight: 1,380 on the day on which the clock goes forward, 1,500 on
that on which it goes back.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from simkit.arrays import Bools, Floats, Ints
from simkit.billing.charges.hours import SUNDAY, free_dates
from simkit.clock import TimeAxis
from simkit.readers.prices import prices_on
from simkit.tariff.tariff import Band, Tariff
from simkit.times_of_day import DAY_MINUTES, minute_of, time_of


@dataclass(frozen=True)
class Stretch:
    """Minutes of one price.

    Attributes
    ----------
    first, last
        From and to, counted from local midnight [min].
    start, end
        The same as the clock on the wall shows it, "HH:MM".
    name
        The band; empty where only a file of prices has one.
    price
        Price of a kWh with tax, levies by kWh included [currency/kWh].
    """

    first: int
    last: int
    start: str
    end: str
    name: str
    price: float


def stretches_of(tariff: Tariff, axis: TimeAxis, date: dt.date, *, country: str | None = None) -> list[Stretch]:
    """Cut one civil date into stretches of one price.

    Parameters
    ----------
    tariff
        The tariff; tiers, peak power and rebates are no price of a minute and are left out.
    axis
        Zone and year; a file of prices is laid on its steps.
    date
        A local civil date of that year.
    country
        Country of the home, asked of tariffs that price public holidays.
    """
    utc, wall = _minutes_of(axis, date)
    terms = next((v for v in reversed(tariff.versions) if v.valid_from <= date), tariff.versions[0])
    price, names = np.zeros(len(utc)), np.full(len(utc), "", dtype=object)
    factor = terms.tax_factor
    for band in terms.band:
        mine = _inside(band, terms, wall if terms.clock == "local" else utc, axis.year, country)
        price[mine] += band.price_per_kwh * factor
        names[mine] = band.name
    if terms.series is not None:
        starts = axis.utc.tz_localize(None).to_numpy().astype("datetime64[m]").astype(np.int64)
        per_kwh = prices_on(axis, terms.series, currency=terms.currency).per_kwh
        price += per_kwh[np.searchsorted(starts, utc, side="right") - 1] * factor
    for levy in terms.levy or ():
        price += (levy.per_kwh or 0.0) * (factor if levy.taxed else 1.0)
    return _cut(price, names, wall)


def _minutes_of(axis: TimeAxis, date: dt.date) -> tuple[Ints, Ints]:
    """UTC and wall time of each minute of a civil date [min since 1970]."""
    ends = [
        pd.Timestamp(day).tz_localize(axis.zone, ambiguous=True, nonexistent="shift_forward").timestamp()
        for day in (date, date + dt.timedelta(days=1))
    ]
    utc = np.arange(int(ends[0]) // 60, int(ends[1]) // 60)
    index = pd.DatetimeIndex(utc.astype("datetime64[m]").astype("datetime64[s]"), tz="UTC").tz_convert(axis.zone)
    wall: Ints = index.tz_localize(None).to_numpy().astype("datetime64[m]").astype(np.int64)
    return utc, wall


def _inside(band: Band, terms: Tariff, clock: Ints, year: int, country: str | None) -> Bools:
    meter = clock - (terms.meter_offset_minutes or 0)
    minute, day = meter % DAY_MINUTES, (meter // DAY_MINUTES).astype("datetime64[D]")
    first, last = minute_of(band.start), minute_of(band.end)
    inside = (minute >= first) & (minute < last) if first < last else (minute >= first) | (minute < last)
    weekday = (day.astype(np.int64) + 3) % 7
    if terms.holidays_as:
        weekday = np.where(np.isin(day, free_dates(year, country, tariff=terms.name)), SUNDAY, weekday)
    inside &= np.isin(weekday, list(band.weekdays))
    if band.months is not None:
        inside &= np.isin(day.astype("datetime64[M]").astype(np.int64) % 12 + 1, band.months)
    if band.first_date is not None:
        inside &= day >= np.datetime64(band.first_date)
    if band.last_date is not None:
        inside &= day <= np.datetime64(band.last_date)
    return inside


def _cut(price: Floats, names: NDArray[np.object_], wall: Ints) -> list[Stretch]:
    rounded = np.round(price, 9)
    change = np.flatnonzero((np.diff(rounded) != 0) | (names[1:] != names[:-1])) + 1
    firsts, lasts = [0, *change.tolist()], [*change.tolist(), len(price)]
    return [
        Stretch(
            a,
            b,
            time_of(int(wall[a]) % DAY_MINUTES),
            time_of(int(wall[b - 1]) % DAY_MINUTES + 1),
            str(names[a]),
            float(rounded[a]),
        )
        for a, b in zip(firsts, lasts, strict=True)
    ]
