"""Times of day "HH:MM" in, minutes since midnight, windows cut at midnight and the step that fits their edges out."""

from __future__ import annotations

from collections.abc import Iterable
from zoneinfo import ZoneInfo

from simkit.errors import CaseError, Fault
from simkit.kept.memory import memo

STEPS_MINUTES = (60, 30, 15)
DAY_MINUTES = 24 * 60
ALL_DAYS = frozenset(range(7))
WORKDAYS = frozenset(range(5))
WEEKEND = frozenset({5, 6})
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip


def minute_of(text: str, where: str = "") -> int:
    """Turn a time of day "HH:MM" into minutes since midnight, 0 to 1440 ("24:00").

    Parameters
    ----------
    text
        Time of day in 24 hours, two digits each.
    where
        Place that a fault names.

    Returns
    -------
    int
        Minutes since midnight [min].
    """
    parts = str(text).split(":")
    good = len(parts) == 2 and all(len(part) == 2 and part.isascii() and part.isdigit() for part in parts)
    hour, minute = (int(part) for part in parts) if good else (99, 99)
    if minute >= 60 or hour * 60 + minute > DAY_MINUTES:
        allowed = "is not a time of day from 00:00 to 24:00"
        raise CaseError(Fault(where, f'"{text}"', allowed, "Write two digits for the hour and for the minute: 07:30"))
    return hour * 60 + minute


_minute = memo(minute_of)  # the same few edges are asked for with every home


def time_of(minute: int) -> str:
    """Turn minutes since midnight [min] into "HH:MM"; 1440 gives "24:00"."""
    return f"{minute // 60:02d}:{minute % 60:02d}"


def pieces_of_day(start: str, end: str, *, where: str = "") -> tuple[tuple[int, int], ...]:
    """Cut the daily window [start, end) at midnight: one or two (from, to) pairs in minutes of one day [min].

    A window whose end is not later than its start runs over midnight ("23:00" to "07:00").
    """
    first, last = minute_of(start, where), minute_of(end, where)
    if first == last or (first, last) == (DAY_MINUTES, 0):
        remedy = "Write 00:00 to 24:00 for the whole day, or leave the window out"
        raise CaseError(Fault(where, f"{start} to {end}", "is a window without length", remedy))
    if first < last:
        return ((first, last),)
    return tuple(piece for piece in ((first, DAY_MINUTES), (0, last)) if piece[0] < piece[1])


def shortest_step(edges: Iterable[str], longest: int = 60) -> tuple[int, list[str]]:
    """Find the longest step on which every edge of a day falls, so that no window is smeared over a step.

    Parameters
    ----------
    edges
        Times of day "HH:MM" in local wall time.
    longest
        Longest step wanted [min].

    Returns
    -------
    step_minutes
        60, 30 or 15, at most `longest` [min].
    left
        The edges that fall inside a step even so, sorted; those are split by share of the step.
    """
    minutes = sorted(set(map(_minute, edges)))
    finest = min(STEPS_MINUTES)
    left = [time_of(minute) for minute in minutes if minute % finest]
    fitting = [minute for minute in minutes if not minute % finest]
    allowed = [step for step in STEPS_MINUTES if step <= longest]
    step = next((step for step in allowed if all(minute % step == 0 for minute in fitting)), finest)
    return step, left


def is_zone(name: str) -> bool:
    """Whether the IANA database knows a time zone of that name."""
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError, TypeError):
        return False
    return True
