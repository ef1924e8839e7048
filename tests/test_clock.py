"""The time axis against local midnights of the IANA data, and windows against minutes counted one by one."""

from __future__ import annotations

import datetime as dt
import re
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from simkit.clock import TimeAxis
from simkit.errors import CaseError
from simkit.times_of_day import minute_of, time_of
from simkit.validation.published import published

SOURCE, ROWS = published("dst_local_day_lengths")


def published_days() -> list[tuple[str, str, float]]:
    return [(row["zone"], row["local_date"], float(row["hours"])) for row in ROWS]


def day_lengths(axis: TimeAxis) -> dict[str, float]:
    hours = np.bincount(axis.day) * axis.hours
    return {str(date): float(length) for date, length in zip(axis.dates, hours, strict=True)}


def days_worth_asking(axis: TimeAxis) -> np.ndarray:
    """Steps in the first and last week and in the weeks around clock changes: asking every minute is slow."""
    changed = np.flatnonzero(np.bincount(axis.day) * axis.step_minutes != 24 * 60)
    days = np.unique([day + extra for day in (0, len(axis.dates) - 1, *changed) for extra in range(-4, 5)])
    return np.isin(axis.day, days)


def minutes_inside(axis: TimeAxis, start: str, end: str, **rules: object) -> np.ndarray:
    """The slow twin of `TimeAxis.window`: every minute of the year asked by zoneinfo alone."""
    zone = ZoneInfo(axis.zone) if rules.get("clock", "local") == "local" else dt.UTC
    low, high, late = minute_of(start), minute_of(end), int(rules.get("meter_offset_minutes", 0))
    shares = np.full(axis.steps, np.nan)
    for step in np.flatnonzero(days_worth_asking(axis)):
        stamp = axis.utc[step].to_pydatetime()
        shares[step] = 0.0
        for extra in range(axis.step_minutes):
            wall = (stamp + dt.timedelta(minutes=extra)).astimezone(zone).replace(tzinfo=None)
            wall -= dt.timedelta(minutes=late)
            minute = wall.hour * 60 + wall.minute
            inside = low <= minute < high if low < high else minute >= low or minute < high
            inside &= rules.get("weekdays") is None or wall.weekday() in rules["weekdays"]
            inside &= rules.get("months") is None or wall.month in rules["months"]
            inside &= rules.get("dates") is None or wall.date() in rules["dates"]
            shares[step] += inside / axis.step_minutes
    return shares


@pytest.mark.parametrize(("zone", "year"), sorted({(zone, int(date[:4])) for zone, date, _ in published_days()}))
def test_every_other_day_has_24_hours_and_the_year_keeps_its_hours(zone: str, year: int) -> None:
    changed = {date for name, date, _ in published_days() if name == zone}
    axis = TimeAxis(zone, year, 30)
    assert {length for date, length in day_lengths(axis).items() if date not in changed} == {24.0}
    days = 366 if year % 4 == 0 else 365
    assert (len(axis.dates), axis.steps * axis.hours) == (days, days * 24), SOURCE


@pytest.mark.parametrize("zone", ["Europe/Dublin", "Asia/Kathmandu", "Asia/Kolkata", "Australia/Adelaide", "UTC"])
@pytest.mark.parametrize("step_minutes", [60, 30, 15])
def test_local_midnights_fall_on_steps(zone: str, step_minutes: int) -> None:
    axis = TimeAxis(zone, 2024, step_minutes)
    first = np.flatnonzero(np.diff(axis.day, prepend=-1))
    assert not axis.minute_of_day[first].any()
    assert len(first) == len(axis.dates) == 366
    midnight = dt.datetime(2024, 1, 1, tzinfo=ZoneInfo(zone))
    assert axis.utc[0].to_pydatetime() == midnight, "zoneinfo: the year begins at local midnight"


def test_the_calendar_of_a_leap_year() -> None:
    axis = TimeAxis("Europe/Brussels", 2024, 60)
    noon = {str(axis.local[k].date()): k for k in np.flatnonzero(axis.minute_of_day == 720)}
    leap = noon["2024-02-29"]
    assert (axis.month[leap], axis.weekday[leap], axis.day_of_year[leap], axis.day[leap]) == (2, 3, 60, 59)
    last = noon["2024-12-31"]
    assert (axis.month[last], axis.weekday[last], axis.day_of_year[last]) == (12, 1, 366)
    assert np.array_equal(axis.weekday, axis.local.day_of_week)
    assert np.array_equal(axis.utc_minute_of_day, axis.utc.hour * 60 + axis.utc.minute)
    assert np.array_equal(axis.minute_of_day, axis.local.hour * 60 + axis.local.minute)


@pytest.mark.parametrize("step_minutes", [60, 30, 15])
@pytest.mark.parametrize("zone", ["Europe/Dublin", "Europe/Berlin", "America/New_York"])
def test_a_window_over_the_clock_change_loses_or_gains_the_hour(zone: str, step_minutes: int) -> None:
    start, end = ("00:30", "04:30")  # the change falls inside: at 01:00, 02:00 and 02:00 wall time
    axis = TimeAxis(zone, 2026, step_minutes)
    hours = np.bincount(axis.day, weights=axis.window(start, end)) * axis.hours
    spring, autumn = ("2026-03-08", "2026-11-01") if zone.startswith("America") else ("2026-03-29", "2026-10-25")
    by_date = {str(date): float(value) for date, value in zip(axis.dates, hours, strict=True)}
    assert (by_date.pop(spring), by_date.pop(autumn)) == (3.0, 5.0), "IANA days of 23 and 25 hours"
    assert set(by_date.values()) == {4.0}


def test_a_window_on_half_hour_edges_shares_hourly_steps() -> None:
    axis = TimeAxis("Europe/Dublin", 2026, 60)
    assert list(axis.window("00:30", "04:30")[:6]) == [0.5, 1, 1, 1, 0.5, 0]


def test_a_window_over_midnight_asks_each_minute_for_its_own_day() -> None:
    axis = TimeAxis("Europe/Dublin", 2026, 60)  # 1 January 2026 is a Thursday
    inside = axis.window("22:00", "06:00", weekdays=[3], dates=[dt.date(2026, 1, 1)])
    assert list(np.flatnonzero(inside)) == [0, 1, 2, 3, 4, 5, 22, 23]


def test_utc_windows_stay_while_wall_time_moves() -> None:
    axis = TimeAxis("Europe/London", 2026, 60)
    utc, local = axis.window("00:30", "07:30", clock="utc"), axis.window("00:30", "07:30")
    january, july = axis.month == 1, axis.month == 7
    assert np.array_equal(utc[january], local[january])
    assert np.array_equal(utc[july], axis.window("01:30", "08:30")[july]), (
        "in summer the meter is an hour late on the wall"
    )
    assert utc.sum() == local.sum() == 7 * 365


def test_a_late_meter_switches_late() -> None:
    axis = TimeAxis("Europe/London", 2026, 15)
    late = axis.window("00:30", "07:30", meter_offset_minutes=10)
    assert list(late[1:5] * 15) == [0, 5, 15, 15]
    assert np.allclose(late, axis.window("00:40", "07:40"), atol=1e-15)
    early = axis.window("00:00", "07:00", meter_offset_minutes=-20)
    assert early[-2:] * 15 == pytest.approx([10 - 5, 15]), "23:40 is inside"


@pytest.mark.parametrize(
    ("zone", "step", "window", "rules"),
    [
        ("Pacific/Chatham", 60, ("02:30", "03:10"), {}),
        ("Asia/Kathmandu", 60, ("22:10", "05:50"), {"clock": "utc", "weekdays": (5, 6)}),
        ("Australia/Lord_Howe", 30, ("01:40", "02:20"), {"months": (4, 10), "meter_offset_minutes": 7}),
        ("Europe/Dublin", 60, ("23:50", "00:20"), {"meter_offset_minutes": -11, "weekdays": (6, 0)}),
        ("America/Santiago", 60, ("23:00", "01:00"), {"dates": (dt.date(2026, 4, 4), dt.date(2026, 9, 6))}),
    ],
)
def test_shares_equal_minutes_counted_one_by_one(zone: str, step: int, window: tuple[str, str], rules: dict) -> None:
    axis = TimeAxis(zone, 2026, step)
    counted = minutes_inside(axis, *window, **rules)
    asked = ~np.isnan(counted)
    assert counted[asked].sum() > 0
    assert axis.window(*window, **rules)[asked] == pytest.approx(counted[asked], abs=1e-12)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(0, 1439), min_size=2, max_size=6, unique=True), st.integers(-90, 90), st.booleans())
def test_windows_that_share_out_a_day_share_out_every_step(edges: list[int], offset: int, utc: bool) -> None:
    axis = TimeAxis("Europe/Brussels", 2026, 60)
    times = [time_of(edge) for edge in sorted(edges)]
    clock = "utc" if utc else "local"
    parts = [
        axis.window(start, end, clock=clock, meter_offset_minutes=offset)
        for start, end in zip(times, times[1:] + times[:1], strict=True)
    ]
    assert sum(parts) == pytest.approx(np.ones(axis.steps), abs=1e-12)


def test_axes_are_equal_by_value_and_their_arrays_closed() -> None:
    assert hash(TimeAxis("Europe/Dublin", 2025, 60)) == hash(TimeAxis("Europe/Dublin", 2025, 60))
    assert TimeAxis("Europe/Dublin", 2025, 60) != TimeAxis("Europe/Dublin", 2025, 30)
    for array in (TimeAxis("Europe/Dublin", 2025, 60).day, TimeAxis("Europe/Dublin", 2025, 60).dates):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = array[1]


def test_a_day_that_never_was_is_left_out() -> None:
    axis = TimeAxis("Pacific/Apia", 2011, 60)
    assert len(axis.dates) == 364, "IANA: Samoa skipped 30 December 2011"
    assert np.datetime64("2011-12-30") not in axis.dates


@pytest.mark.parametrize("year", [1972, 2099])
def test_the_first_and_the_last_year_of_the_calendar(year: int) -> None:
    assert TimeAxis("Europe/Dublin", year, 60).steps == (8784 if year == 1972 else 8760)
    with pytest.raises(CaseError, match="is not a year from 1972 to 2099"):
        TimeAxis("Europe/Dublin", 1971 if year == 1972 else 2100, 60)


MESSAGES = [
    (
        lambda: TimeAxis("Europe/Dubln", 2025, 60),
        '[site] zone = "Europe/Dubln" is not a time zone of the IANA database. Perhaps "Europe/Dublin" is meant.',
    ),
    (
        lambda: TimeAxis("../x", 2025, 60),
        '[site] zone = "../x" is not a time zone of the IANA database. Write a name such as "Europe/Dublin".',
    ),
    (
        lambda: TimeAxis("Europe/Dublin", 25, 60),
        "[site] year = 25 is not a year from 1972 to 2099. Write the four digits of the year, for example 2025.",
    ),
    (
        lambda: TimeAxis("Europe/Dublin", 2025, 20),
        "step_minutes = 20 is not 60, 30 or 15. Choose one of the three: the shorter, the finer and the slower.",
    ),
    (
        lambda: TimeAxis("Australia/Lord_Howe", 2026, 60),
        "step_minutes = 60 can't be used in zone Australia/Lord_Howe in 2026: its clock changes by less than a step "
        "and the midnight of 2026-04-06 would fall inside a step. Choose step_minutes = 30.",
    ),
]


@pytest.mark.parametrize(("call", "text"), MESSAGES)
def test_every_fault_is_a_plain_sentence(call: object, text: str) -> None:
    with pytest.raises(CaseError, match=re.escape(text)):
        call()
