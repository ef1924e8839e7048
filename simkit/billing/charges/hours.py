"""Hours of a tariff and a time axis in; the share of each step inside them out, holidays and versions counted.

Shares are memoised: two hundred tariffs of one country mostly cut the day at the same few times.
"""

from __future__ import annotations

import numpy as np

from simkit.arrays import Bools, Dates, Floats, Ints, read_only
from simkit.clock import Clock, TimeAxis
from simkit.errors import CaseError, Fault
from simkit.kept.memory import memo
from simkit.schema.public_holidays import holiday_dates
from simkit.tariff.tariff import Hours, Tariff
from simkit.times_of_day import ALL_DAYS

SUNDAY = 6
Span = tuple[str | None, str | None]  # first and last date as text, None for open


@memo
def free_dates(year: int, country: str | None, *, tariff: str) -> Dates:
    """Public holidays of a country in a year and at the turns of it, by the package `holidays`, (n,)."""
    where = f'tariff "{tariff}"'
    remedy = 'Give the country of the home by its ISO 3166 code, for example "IE" or "GB-SCT"'
    if not country:
        why = "needs the country of the home, to know its public holidays"
        raise CaseError(Fault(where, 'holidays_as = "weekend"', why, remedy))
    code, _, part = country.partition("-")
    try:
        found = holiday_dates(code, part or None, (year - 1, year, year + 1))
    except NotImplementedError:
        why = "is not a country or part of one whose public holidays are known"
        raise CaseError(Fault(where, f'country = "{country}"', why, remedy)) from None
    dates = np.array(found, dtype="datetime64[D]")
    return read_only(dates)


def span_of(terms: Tariff, versions: tuple[Tariff, ...]) -> Span:
    """First and last date of one version of a tariff; the first one is applied to all days before it as well."""
    first = None if terms is versions[0] else str(terms.valid_from)
    return first, None if terms.valid_to is None else str(terms.valid_to)


def share_of(hours: Hours | None, terms: Tariff, axis: TimeAxis, *, span: Span, country: str | None = None) -> Floats:
    """Share of each step inside some hours of a tariff, or all, within the dates of its version, (steps,) [-].

    It is read-only, since it is kept.
    """
    clock = (terms.clock, terms.meter_offset_minutes or 0)
    if hours is None:
        return _share(axis, ("00:00", "24:00"), (ALL_DAYS, None), span, clock, None)
    firsts = [str(date) for date in (hours.first_date, span[0]) if date is not None]
    lasts = [str(date) for date in (hours.last_date, span[1]) if date is not None]
    return _share(
        axis,
        (hours.start, hours.end),
        (hours.weekdays, hours.months),
        (max(firsts, default=None), min(lasts, default=None)),
        clock,
        (country, terms.name) if terms.holidays_as else None,
    )


@memo
def _share(  # noqa: PLR0917 - a memo takes its arguments by position
    axis: TimeAxis,
    window: tuple[str, str],
    rules: tuple[frozenset[int], tuple[int, ...] | None],
    span: Span,
    clock: tuple[Clock, int],
    free: tuple[str | None, str] | None,
) -> Floats:
    days = np.arange(axis.dates[0] - np.timedelta64(2, "D"), axis.dates[-1] + np.timedelta64(3, "D"))
    weekday = (days.astype(np.int64) + 3) % 7
    if free is not None:
        weekday[np.isin(days, free_dates(axis.year, free[0], tariff=free[1]))] = SUNDAY
    weekdays, months = rules
    holds = np.isin(weekday, list(weekdays))
    if months is not None:
        holds &= np.isin(days.astype("datetime64[M]").astype(np.int64) % 12 + 1, months)
    first, last = span
    if first is not None:
        holds &= days >= np.datetime64(first)
    if last is not None:
        holds &= days <= np.datetime64(last)
    dates = None if holds.all() else days[holds]
    return read_only(axis.window(*window, dates=dates, clock=clock[0], meter_offset_minutes=clock[1]))


def dates_within(axis: TimeAxis, span: Span) -> Bools:
    """Which civil dates of the year lie inside the dates of a version, (days,)."""
    first, last = (None if date is None else np.datetime64(date, "D") for date in span)
    inside = np.ones(len(axis.dates), dtype=bool)
    if first is not None:
        inside &= axis.dates >= first
    if last is not None:
        inside &= axis.dates <= last
    return inside


def by_month(axis: TimeAxis, dates: Bools) -> Floats:
    """Count dates by month, (12,)."""
    months = axis.dates.astype("datetime64[M]").astype(np.int64) % 12
    return np.bincount(months[dates], minlength=12).astype(np.float64)


def billing_months(axis: TimeAxis, billing_day: int | None) -> Ints:
    """Billing month of each civil date, 0 to 11, (days,); that over the turn of the year is joined from both ends."""
    months = axis.dates.astype("datetime64[M]")
    day = (axis.dates - months.astype("datetime64[D]")).astype(np.int64) + 1
    month: Ints = (months.astype(np.int64) - (day < (billing_day or 1))) % 12
    return month


def runs(*keys: Ints) -> Ints:
    """Starts of the stretches in which no key changes, (n,)."""
    change = np.zeros(len(keys[0]), dtype=bool)
    change[0] = True
    for key in keys:
        change[1:] |= np.diff(key) != 0
    return np.flatnonzero(change)


def interval_starts(axis: TimeAxis, minutes: int, *, utc: bool) -> Ints | None:
    """First step of each interval of the clock, (n,); None where the steps are longer than the interval."""
    if axis.step_minutes > minutes:
        return None
    minute = axis.utc_minute_of_day if utc else axis.minute_of_day
    first = minute % minutes < axis.step_minutes
    first[0] = True
    return np.flatnonzero(first)
