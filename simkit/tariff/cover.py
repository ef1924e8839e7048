"""Bands in, faults out: proof that every minute of a tariff has exactly one price, or the minutes that have not.

Bands are compared as the tariff's own clock shows time: by minute, weekday, month and date. A later band never
overrides an earlier one, so a hole and an overlap are both faults, and both are named in words.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from simkit.errors import Fault, either
from simkit.times_of_day import ALL_DAYS, MONTHS, WEEKDAYS, WEEKEND, WORKDAYS, pieces_of_day, time_of

if TYPE_CHECKING:
    from simkit.tariff.terms import Band

LONGEST_DAYS = 800  # two years show every pair of month and weekday


Span = tuple[dt.date | None, dt.date | None]
When = tuple[frozenset[int], tuple[int, ...], Span]  # weekdays, months, dates
Hole = tuple[int, int, tuple[int, ...]]  # from minute, to minute, the bands that claim it


def cover_faults(bands: Sequence[Band], valid_from: dt.date, *, where: str = "") -> list[Fault]:
    """Find every stretch of minutes that no band covers, or that more than one does.

    Parameters
    ----------
    bands
        The bands of one tariff, each already right by itself.
    valid_from
        First day of the tariff; from there on there may be no hole.
    where
        Place that the faults name.

    Returns
    -------
    list of Fault
        One for each stretch and set of days, in order of time; empty where each minute has exactly one price.
    """
    found: dict[Hole, dict[Span, dict[int, set[int]]]] = defaultdict(lambda: defaultdict(lambda: defaultdict(set)))
    begin, end = dt.date.min, dt.date.max
    for span in _spans(bands, valid_from):
        first, last = span[0] or begin, span[1] or end
        active = [
            k for k, band in enumerate(bands) if (band.first_date or begin) <= first and last <= (band.last_date or end)
        ]
        for month, weekday in _kinds_of_day(span):
            for hole in _holes(
                bands, [k for k in active if weekday in bands[k].weekdays and month in (bands[k].months or (month,))]
            ):
                found[hole][span][month].add(weekday)
    return [
        _fault(bands, hole, where, (weekdays, some, span))
        for hole, spans in sorted(found.items())
        for span, months in spans.items()
        for weekdays, some in _by_days(months).items()
    ]


def _spans(bands: Sequence[Band], valid_from: dt.date) -> Iterator[Span]:
    """Cut time where a band begins or ends; an open end is None."""
    one = dt.timedelta(days=1)
    firsts = {band.first_date for band in bands if band.first_date}
    cuts = firsts | {band.last_date + one for band in bands if band.last_date and band.last_date < dt.date.max}
    if firsts and all(band.first_date for band in bands):
        cuts.add(min(valid_from, *firsts))
    ordered = sorted(cuts)
    if not bands or any(band.first_date is None for band in bands):
        yield (None, ordered[0] - one) if ordered else (None, None)
    for k, first in enumerate(ordered):
        last = ordered[k + 1] - one if k + 1 < len(ordered) else None
        if last is not None or any(band.last_date is None for band in bands):
            yield first, last


def _kinds_of_day(span: Span) -> list[tuple[int, int]]:
    first, last = span
    if first is None or last is None or (last - first).days > LONGEST_DAYS:
        return [(month, weekday) for month in range(1, 13) for weekday in range(7)]
    days = (first + dt.timedelta(days=k) for k in range((last - first).days + 1))
    return sorted({(day.month, day.weekday()) for day in days})


def _holes(bands: Sequence[Band], active: Iterable[int]) -> Iterator[Hole]:
    pieces = [(low, high, k) for k in active for low, high in pieces_of_day(bands[k].start, bands[k].end)]
    cuts = sorted({0, 24 * 60, *(edge for low, high, _ in pieces for edge in (low, high))})
    begin, before = 0, None
    for low, high in pairwise(cuts):
        owners = tuple(k for first, last, k in pieces if first <= low and high <= last)
        if before is not None and owners != before:
            if len(before) != 1:
                yield begin, low, before
            begin = low
        before = owners
    if before is not None and len(before) != 1:
        yield begin, 24 * 60, before


def _by_days(months: dict[int, set[int]]) -> dict[frozenset[int], tuple[int, ...]]:
    grouped: dict[frozenset[int], list[int]] = defaultdict(list)
    for month, weekdays in sorted(months.items()):
        grouped[frozenset(weekdays)].append(month)
    return {weekdays: tuple(months) for weekdays, months in grouped.items()}


def days_in_words(weekdays: frozenset[int]) -> str:
    """Word a set of weekdays as a tariff file would: "every day", "workdays", "weekend", or the names."""
    known = {ALL_DAYS: "every day", WORKDAYS: "workdays", WEEKEND: "weekend"}
    return known.get(weekdays) or either([WEEKDAYS[day].capitalize() for day in sorted(weekdays)])


def months_in_words(months: tuple[int, ...]) -> str:
    """Word a set of months, runs joined over the turn of the year; nothing when it is all twelve."""
    chosen = set(months)
    if len(chosen) == 12:
        return ""
    runs = []
    for month in sorted(chosen):
        if (month - 2) % 12 + 1 in chosen:
            continue  # not the first of its run
        last = month
        while last % 12 + 1 in chosen:
            last = last % 12 + 1
        runs.append(MONTHS[month - 1] if last == month else f"{MONTHS[month - 1]} to {MONTHS[last - 1]}")
    return f" in {either(runs)}"


def _fault(bands: Sequence[Band], hole: Hole, where: str, when: When) -> Fault:
    low, high, owners = hole
    weekdays, months, (first, last) = when
    since = f" from {first}" if first else ""
    until = (f" to {last}" if first else f" until {last}") if last else ""
    hours = f"{time_of(low)} to {time_of(high)}"
    given = f"{days_in_words(weekdays)} {hours}{months_in_words(months)}{since}{until}"
    if not owners:
        remedy = "Every minute has exactly one price: stretch a band over it, or add one"
        return Fault(where, given, "is not covered by any band", remedy)
    names = either([f'"{bands[k].name}" ({k + 1})' for k in owners])
    remedy = "A later band does not override an earlier one: cut one of them back"
    return Fault(where, given, f"is covered more than once, by {names}", remedy)
