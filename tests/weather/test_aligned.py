"""A file's series laid on a year: real years, other years, typical months, edges, leap days, odd clocks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from simkit.clock import TimeAxis
from simkit.errors import DataError
from simkit.readers.found import Found
from simkit.weather.aligned import aligned


def series(first: str, last: str, minutes: int = 60, **other) -> tuple[pd.DataFrame, Found]:
    """Hours that carry their own stamp: days since 2000 as the value."""
    index = pd.date_range(first, last, freq=f"{minutes}min", tz="UTC")
    value = (index - pd.Timestamp("2000-01-01", tz="UTC")) / pd.Timedelta(days=1)
    years = tuple(sorted({int(year) for year in index.year}))
    facts = {
        "file": "a.csv",
        "kind": "CSV",
        "rows": len(index),
        "first": index[0],
        "last": index[-1],
        "step_minutes": minutes,
        "clock": "UTC",
        "label": "start",
        "years": years,
        "typical": False,
        "columns": ("outdoor_c",),
    }
    return pd.DataFrame({"outdoor_c": value}, index=index), Found(**(facts | other))


def stamps(frame: pd.DataFrame) -> pd.DatetimeIndex:
    """The stamps that the values carry."""
    days = pd.to_timedelta(frame["outdoor_c"].to_numpy() * 1440.0, unit="m").round("min")
    return pd.Timestamp("2000-01-01", tz="UTC") + days


def refusal(frame, found, axis) -> str:
    with pytest.raises(DataError) as caught:
        aligned(frame, found, axis)
    return str(caught.value)


def test_a_real_year_is_taken_hour_by_hour():
    axis = TimeAxis("Europe/Dublin", 2024, 60)
    laid, notes = aligned(*series("2023-12-31 00:00", "2025-01-01 23:00"), axis)
    assert (stamps(laid) == axis.utc).all()
    assert notes == ()


def test_the_edge_of_a_local_year_is_borrowed_from_the_other_end():
    axis = TimeAxis("Europe/Berlin", 2023, 60)
    laid, notes = aligned(*series("2023-01-01 00:00", "2023-12-31 23:00"), axis)
    taken = stamps(laid)
    assert taken[0] == pd.Timestamp("2023-12-31 23:00", tz="UTC")
    assert (taken[1:] == axis.utc[1:]).all()
    assert notes == ("1 h at the edge of the local year lie outside a.csv and are taken from its other end.",)


def test_a_real_year_with_months_missing():
    axis = TimeAxis("Europe/Dublin", 2023, 60)
    assert refusal(*series("2023-02-10 00:00", "2023-12-20 23:00"), axis) == (
        "a.csv: its rows from 2023-02-10 to 2023-12-20 don't cover the year 2023: 2023-01-01 to 2023-02-09, 2023-12-21 "
        "to 2023-12-31 (UTC) are missing. Take a file of a whole year, or set [site] year to a year that it holds "
        "entirely."
    )


def test_several_real_years_without_the_one_asked_for():
    axis = TimeAxis("Europe/Dublin", 2025, 60)
    message = refusal(*series("2020-01-01 00:00", "2023-12-31 23:00"), axis)
    assert "don't cover the year 2025: 2025-01-01 to 2025-12-31 (UTC) are missing." in message


def test_several_real_years_with_the_one_asked_for():
    axis = TimeAxis("Europe/Dublin", 2022, 60)
    assert (stamps(aligned(*series("2020-01-01 00:00", "2023-12-31 23:00"), axis)[0]) == axis.utc).all()


def test_another_year_is_laid_by_month_day_and_hour():
    axis = TimeAxis("Europe/Berlin", 2025, 60)
    laid, notes = aligned(*series("2019-01-01 00:00", "2019-12-31 23:00"), axis)
    taken = stamps(laid)
    for part in ("month", "day", "hour"):
        assert np.array_equal(getattr(taken, part), getattr(axis.utc, part))
    assert notes == ("a.csv holds the year 2019: it is laid on 2025 by month, day and hour in UTC.",)


def test_29_february_repeats_the_28th():
    axis = TimeAxis("Europe/Dublin", 2024, 60)
    laid, notes = aligned(*series("2019-01-01 00:00", "2019-12-31 23:00"), axis)
    leap = (axis.utc.month == 2) & (axis.utc.day == 29)
    taken = stamps(laid)[leap]
    assert leap.sum() == 24
    assert np.array_equal(taken.hour, np.arange(24))
    assert set(taken.day) == {28}
    assert notes[1] == "29 February 2024 repeats the 28th, because a.csv has none."


def test_29_february_of_the_file_is_used_or_left_out():
    frame, found = series("2020-01-01 00:00", "2020-12-31 23:00")
    laid, notes = aligned(frame, found, TimeAxis("Europe/Dublin", 2024, 60))
    assert 29 in set(stamps(laid)[stamps(laid).month == 2].day)
    assert len(notes) == 1
    laid, _ = aligned(frame, found, TimeAxis("Europe/Dublin", 2025, 60))
    assert 29 not in set(stamps(laid)[stamps(laid).month == 2].day)


def test_typical_months_wrap_round_the_year():
    frame, found = series("2001-01-01 05:00", "2002-01-01 04:00")
    found = replace(found, typical=True, years=(1988, 1995))
    laid, notes = aligned(frame, found, TimeAxis("America/New_York", 2025, 60))
    assert np.array_equal(stamps(laid).hour, TimeAxis("America/New_York", 2025, 60).utc.hour)
    assert len(set(stamps(laid))) == 8760
    assert notes == ("a.csv holds typical months: it is laid on 2025 by month, day and hour in UTC.",)


def test_half_a_year_of_another_year_is_refused():
    message = refusal(*series("2019-01-01 00:00", "2019-06-30 23:00"), TimeAxis("Europe/Dublin", 2025, 60))
    assert "don't cover the year 2025: 2025-07-01 to 2025-12-31 (UTC) are missing." in message


@pytest.mark.parametrize("minutes", [30, 15])
def test_hours_are_held_over_shorter_steps(minutes):
    axis = TimeAxis("Europe/Dublin", 2023, minutes)
    laid, _ = aligned(*series("2022-12-31 00:00", "2024-01-01 23:00"), axis)
    assert (stamps(laid) == axis.utc.floor("h")).all()


@pytest.mark.parametrize("minutes", [30, 15, 10])
def test_shorter_steps_are_averaged(minutes):
    axis = TimeAxis("Europe/Dublin", 2023, 60)
    laid, _ = aligned(*series("2022-12-31 00:00", "2024-01-01 23:50", minutes), axis)
    middle = axis.utc + pd.Timedelta(minutes=(60 - minutes) / 2)
    assert laid["outdoor_c"].to_numpy() == pytest.approx(
        (middle - pd.Timestamp("2000-01-01", tz="UTC")) / pd.Timedelta(days=1)
    )


def test_hours_that_begin_at_half_past():
    """In India local hours begin at half past a UTC hour: each takes half of two hours of the file."""
    axis = TimeAxis("Asia/Kolkata", 2023, 60)
    frame, found = series("2022-12-31 00:00", "2024-01-01 23:00")
    laid, _ = aligned(frame, found, axis)
    values = frame["outdoor_c"]
    first = axis.utc[0]
    assert first.minute == 30
    low, high = values[first - pd.Timedelta(minutes=30)], values[first + pd.Timedelta(minutes=30)]
    assert laid["outdoor_c"].iloc[0] == pytest.approx((low + high) / 2.0)


def test_many_missing_spans_are_cut_short():
    frame, found = series("2019-01-01 00:00", "2019-12-31 23:00")
    kept = frame[frame.index.day > 3]
    message = refusal(kept, found, TimeAxis("Europe/Dublin", 2025, 60))
    assert "2025-06-01 to 2025-06-03 and 6 more (UTC) are missing." in message
