"""What a figure is given: the coldest week, one date by any clock, bins of COP; and the sentence for what lacks."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from figures.invented import hourly_frame
from simkit.errors import CaseError
from simkit.figures.selecting import by_outdoor, coldest_week, given, in_zone, need, one_date


def days_of(values: list[float], zone: str = "Europe/Berlin", start: str = "2026-03-24") -> pd.DataFrame:
    index = pd.date_range(start, periods=24 * len(values), freq="h", tz=zone)
    return pd.DataFrame({"outdoor_c": np.repeat(values, 24)}, index=index)


def test_the_coldest_week_by_hand() -> None:
    frame = days_of([5, 5, 1, 1, 1, 1, 1, 1, 1, 5, 5, 0.0], start="2026-01-01")
    week = coldest_week(frame)
    assert [str(week.index[0]), str(week.index[-1])] == ["2026-01-03 00:00:00+01:00", "2026-01-09 23:00:00+01:00"]


def test_the_coldest_week_counts_civil_days_over_a_clock_change() -> None:
    frame = in_zone(days_of([9.0] * 14, zone="UTC", start="2026-03-22"), "Europe/Berlin")
    frame.loc["2026-03-25":"2026-03-31", "outdoor_c"] = 2.0
    week = coldest_week(frame)
    assert len(week) == 7 * 24 - 1  # 29 March has 23 hours
    assert str(week.index[0]) == "2026-03-25 00:00:00+01:00"


def test_days_in_part_do_not_make_a_week() -> None:
    frame = days_of([5.0] * 8).iloc[10:]
    frame.iloc[:5] = -30.0
    assert str(coldest_week(frame).index[0].date()) == "2026-03-25"
    short = days_of([5.0] * 3)
    assert coldest_week(short).equals(short)


def test_one_date_follows_the_wall_clock() -> None:
    frame = in_zone(hourly_frame(), "Europe/Dublin")
    assert len(one_date(frame, "2026-03-29")) == 23
    assert len(one_date(frame, "2026-10-25")) == 25
    assert one_date(frame, "2026-07-01").index[0] == pd.Timestamp("2026-06-30T23:00Z")


def test_bins_by_hand() -> None:
    frame = pd.DataFrame(
        {
            "outdoor_c": [0.9, 0.2, -0.9, 0.0, 0.4, 7.0, 7.0, 7.0],
            "cop": [2.0, 3.0, 4.0, 5.0, np.nan, 3.0, 3.0, 3.0],
            "heat_pump_kw": [1.0, 1.0, 1.0, 0.0, 1.0, 1.0, 1.0, 1.0],
            "water_share": [0.0, 0.2, 0.5, 0.0, 0.0, 0.6, 0.9, 1.0],
        }
    )
    table = by_outdoor(frame, width_k=2.0, fewest=3).set_index("use")
    assert table.loc["space heat", ["outdoor_c", "low", "cop", "high", "steps"]].tolist() == pytest.approx(
        [0.0, 2.2, 3.0, 3.8, 3.0]
    )
    assert table.loc["hot water", ["outdoor_c", "cop", "steps"]].tolist() == [8.0, 3.0, 3.0]
    assert len(by_outdoor(frame, fewest=4)) == 0
    assert set(by_outdoor(frame.drop(columns="water_share"), fewest=1)["use"]) == {"space heat"}


def test_given_leaves_out_what_is_only_zero() -> None:
    frame = pd.DataFrame({"a": [0.0, 0.0], "b": [1.0, np.nan]})
    assert given(frame, ["a"]) is None
    assert given(frame, ["missing"]) is None
    assert given(frame, ["a", "b"]).tolist() == [1.0, 0.0]


def test_a_missing_column_is_named_with_the_nearest() -> None:
    with pytest.raises(CaseError) as caught:
        need(pd.DataFrame({"outdoor": [1.0]}), ["outdoor_c", "import_kw"], "coldest week")
    assert str(caught.value).splitlines() == [
        "coldest week: column outdoor_c is missing: outdoor temperature. Rename outdoor, or pass the frame of a year.",
        "coldest week: column import_kw is missing: import. Pass the frame of a year.",
    ]


def test_a_frame_without_time_and_dates_that_are_none() -> None:
    with pytest.raises(CaseError) as caught:
        in_zone(pd.DataFrame({"outdoor_c": [1.0]}), None)
    assert str(caught.value) == (
        "frame: an index of int64 has no time. Pass the frame of a year, which carries its stamps in the index."
    )
    frame = days_of([5.0, 6.0])
    with pytest.raises(CaseError) as caught:
        one_date(frame, "2026-05-01")
    assert str(caught.value) == (
        "date: 2026-05-01 is not in the frame, which runs from 2026-03-24 to 2026-03-25. Choose a date inside it."
    )
    with pytest.raises(CaseError) as caught:
        one_date(frame, "yester")
    assert str(caught.value) == 'date: "yester" is not a date. Write year-month-day: 2026-01-15.'
