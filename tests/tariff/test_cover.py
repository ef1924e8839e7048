"""Holes and overlaps between bands, named by minute, weekday, month and date."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tariffs import band

from simkit.errors import either
from simkit.tariff.cover import cover_faults, days_in_words, months_in_words
from simkit.times_of_day import time_of

SINCE = dt.date(2025, 1, 1)
HOLE, TWICE = "is not covered by any band", "is covered more than once, by"


def told(*bands: object) -> list[str]:
    return [f"{fault.given} {fault.allowed}" for fault in cover_faults(bands, SINCE)]


def test_a_whole_day_and_a_day_cut_up_are_covered() -> None:
    assert told(band("All", 0.3, "00:00", "24:00")) == []
    assert told(band("a", 0.3, "23:00", "07:00"), band("b", 0.3, "07:00", "23:00")) == []


def test_a_hole_on_workdays_names_its_minutes() -> None:
    assert told(
        band("Day", 0.3, "07:00", "23:00", days="workdays"),
        band("Night", 0.2, "00:00", "07:00", days="workdays"),
        band("Free", 0.1, "00:00", "24:00", days="weekend"),
    ) == [f"workdays 23:00 to 24:00 {HOLE}"]


def test_a_night_without_its_weekend_is_a_hole_of_two_days() -> None:
    assert told(band("Night", 0.2, "22:00", "07:00", days="workdays"), band("Day", 0.3, "07:00", "22:00")) == [
        f"weekend 00:00 to 07:00 {HOLE}",
        f"weekend 22:00 to 24:00 {HOLE}",
    ]


def test_holes_and_overlaps_of_a_season_name_its_months() -> None:
    assert told(
        band("Winter", 0.3, "00:00", "24:00", months=(11, 12, 1, 2, 3)),
        band("Summer", 0.2, "00:00", "24:00", months=(3, 5, 6, 7, 8)),
    ) == [
        f"every day 00:00 to 24:00 in April and September to October {HOLE}",
        f'every day 00:00 to 24:00 in March {TWICE} "Winter" (1) and "Summer" (2)',
    ]


def test_a_price_change_leaves_no_day_out_and_doubles_none() -> None:
    old = {"last_date": dt.date(2025, 6, 15)}
    assert (
        told(band("a", 0.3, "00:00", "24:00", **old), band("b", 0.3, "00:00", "24:00", first_date=dt.date(2025, 6, 16)))
        == []
    )
    assert told(
        band("a", 0.3, "00:00", "24:00", **old), band("b", 0.3, "00:00", "24:00", first_date=dt.date(2025, 6, 18))
    ) == [f"Monday and Tuesday 00:00 to 24:00 in June from 2025-06-16 to 2025-06-17 {HOLE}"]
    assert told(
        band("a", 0.3, "00:00", "24:00", **old), band("b", 0.3, "00:00", "24:00", first_date=dt.date(2025, 6, 15))
    ) == [f'Sunday 00:00 to 24:00 in June from 2025-06-15 to 2025-06-15 {TWICE} "a" (1) and "b" (2)']


def test_a_tariff_that_begins_later_than_it_is_valid_has_a_hole() -> None:
    assert told(band("a", 0.3, "00:00", "24:00", first_date=dt.date(2025, 1, 3))) == [
        f"Wednesday and Thursday 00:00 to 24:00 in January from 2025-01-01 to 2025-01-02 {HOLE}"
    ]


def test_a_tariff_may_end() -> None:
    one_year = {"first_date": dt.date(2025, 1, 1), "last_date": dt.date(2025, 12, 31)}
    assert told(band("a", 0.3, "00:00", "24:00", **one_year)) == []


def test_an_open_end_and_an_open_beginning_are_worded() -> None:
    assert told(band("a", 0.3, "00:00", "24:00"), band("b", 0.3, "00:00", "12:00", first_date=dt.date(2025, 4, 1))) == [
        f'every day 00:00 to 12:00 from 2025-04-01 {TWICE} "a" (1) and "b" (2)'
    ]
    assert told(band("a", 0.3, "00:00", "24:00"), band("b", 0.3, "00:00", "12:00", last_date=dt.date(2025, 4, 1))) == [
        f'every day 00:00 to 12:00 until 2025-04-01 {TWICE} "a" (1) and "b" (2)'
    ]


@pytest.mark.parametrize(
    ("months", "words"),
    [
        (tuple(range(1, 13)), ""),
        ((2,), " in February"),
        ((1, 2, 11, 12), " in November to February"),
        ((1, 3, 4, 5, 12), " in March to May and December to January"),
        ((1, 3, 5), " in January, March and May"),
    ],
)
def test_months_in_words(months: tuple[int, ...], words: str) -> None:
    assert months_in_words(months) == words


def test_days_in_words() -> None:
    found = [days_in_words(frozenset(days)) for days in (range(7), range(5), (5, 6), (0, 2, 6))]
    assert found == ["every day", "workdays", "weekend", "Monday, Wednesday and Sunday"]
    assert either(["a"]) == "a"


@settings(max_examples=80, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 1439), st.integers(0, 1439)), min_size=1, max_size=4))
def test_minutes_told_are_those_counted_one_by_one(windows: list[tuple[int, int]]) -> None:
    windows = [(low, high) for low, high in windows if low != high]
    claims = np.zeros(1440, dtype=int)
    for low, high in windows:
        claims += [low <= m < high if low < high else m >= low or m < high for m in range(1440)]
    faults = cover_faults([band("x", 0.3, time_of(low), time_of(high)) for low, high in windows], SINCE)
    wrong = np.zeros(1440, dtype=bool)
    for fault in faults:
        start, end = (
            int(text[:2]) * 60 + int(text[3:]) for text in fault.given.removeprefix("every day ").split(" to ")
        )
        assert not wrong[start:end].any(), "no minute is told twice"
        assert set(claims[start:end] == 0) == {fault.allowed == HOLE}
        wrong[start:end] = True
    assert np.array_equal(wrong, claims != 1)


def test_time_is_looked_at_from_its_beginning_where_one_band_has_none() -> None:
    """The day has a price always, the night from June on only: what is before June has a hole at night."""
    day = band("Day", 0.3, "08:00", "23:00")
    night = band("Night", 0.1, "23:00", "08:00", first_date=dt.date(2025, 6, 1))
    found = " ".join(map(str, cover_faults([day, night], dt.date(2025, 1, 1))))
    assert "23:00" in found
    assert not cover_faults([day, band("Night", 0.1, "23:00", "08:00")], dt.date(2025, 1, 1))
