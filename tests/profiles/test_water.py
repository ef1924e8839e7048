"""Draws against the published profiles and the wall clock; the cold feed against its stated season."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from references import Reference

from simkit.clock import TimeAxis
from simkit.profiles.water import HOURLY_SHAPE, cold_water_c, draw_kwh

DAILY_SUMS = {"S": 2.100, "M": 5.845, "L": 11.655, "XL": 19.07, "XXL": 24.53}
BERLIN = TimeAxis("Europe/Berlin", 2026, 30)


def tapping(name: str) -> SimpleNamespace:
    return SimpleNamespace(tapping=name, litres_per_day_at_40=None, cold_water_c=10.0, cold_water_swing_k=4.0)


def litres(amount: float = 130.0, swing: float = 4.0) -> SimpleNamespace:
    return SimpleNamespace(tapping=None, litres_per_day_at_40=amount, cold_water_c=10.0, cold_water_swing_k=swing)


def by_day(axis: TimeAxis, kwh: np.ndarray) -> np.ndarray:
    return np.bincount(axis.day, weights=kwh)


@pytest.mark.parametrize("step_minutes", [60, 30, 15])
@pytest.mark.parametrize("name", DAILY_SUMS)
def test_every_civil_day_holds_the_whole_profile(name: str, step_minutes: int) -> None:
    axis = TimeAxis("Europe/Berlin", 2026, step_minutes)
    np.testing.assert_allclose(by_day(axis, draw_kwh(axis, tapping(name))), DAILY_SUMS[name], rtol=1e-12)


def test_draws_stand_at_their_wall_time_all_year() -> None:
    kwh = draw_kwh(BERLIN, tapping("L"))
    for date in ("2026-01-15", "2026-03-29", "2026-07-15", "2026-10-25"):
        day = BERLIN.dates[BERLIN.day] == np.datetime64(date)
        found = dict(zip(BERLIN.local[day].strftime("%H:%M"), kwh[day].round(9), strict=True))
        assert found["07:00"] == pytest.approx(1.505)  # 07:00 and 07:05
        assert found["08:00"] == pytest.approx(3.605 + 0.105)  # 08:05 and 08:25
        assert found["21:00"] == pytest.approx(3.605)
        assert found["03:00"] == 0


@pytest.mark.parametrize("step_minutes", [60, 30, 15])
def test_litres_follow_the_cold_feed(step_minutes: int) -> None:
    axis = TimeAxis("Europe/Berlin", 2026, step_minutes)
    feed = cold_water_c(axis, litres())
    first = np.flatnonzero(np.diff(axis.day, prepend=-1))
    expected = 130.0 * 1.163e-3 * (40.0 - feed[first])
    np.testing.assert_allclose(by_day(axis, draw_kwh(axis, litres())), expected, rtol=1e-12)


def test_own_day_shape_adds_up_and_peaks_where_the_survey_found_it() -> None:
    source = "DESNZ 2024, Domestic hot water use in the UK: demand peaks at 06:00-08:00 and 17:00-19:00"
    shape = np.array(HOURLY_SHAPE)
    Reference(100.0, "own: per cent of a day", 1e-9, "printed to 0.1").check(shape.sum())
    pairs = shape + np.roll(shape, -1)
    Reference(6, source, 0, "hour at which the morning peak begins").check(np.argmax(pairs[:12]))
    Reference(17, source, 0, "hour at which the evening peak begins").check(12 + np.argmax(pairs[12:]))


def test_an_ordinary_household_is_near_the_survey_median() -> None:
    source = "DESNZ 2024, Domestic hot water use in the UK: median household demand about 4 kWh a day"
    mean = draw_kwh(BERLIN, litres(115.0)).sum() / len(BERLIN.dates)
    Reference(4.0, source, 0.1, "115 l at 40 °C, own choice, from a feed of 10 °C").check(mean)


@pytest.mark.parametrize("year", [2026, 2028])
def test_the_feed_has_the_stated_mean_and_swing_and_is_coldest_in_late_winter(year: int) -> None:
    axis = TimeAxis("Europe/Dublin", year, 60)
    feed = cold_water_c(axis, litres(swing=5.0))
    days = feed[np.flatnonzero(np.diff(axis.day, prepend=-1))]
    assert days.mean() == pytest.approx(10.0, abs=1e-9)
    assert days.min() == pytest.approx(5.0, abs=1e-3)
    assert days.max() == pytest.approx(15.0, abs=1e-3)
    assert str(axis.dates[np.argmin(days)]) == f"{year}-02-19"
    assert axis.month[np.argmax(feed)] == 8


def test_the_south_has_its_coldest_feed_in_august() -> None:
    axis = TimeAxis("Australia/Hobart", 2026, 60)
    assert axis.month[np.argmin(cold_water_c(axis, litres(), southern=True))] == 8
    assert axis.month[np.argmax(draw_kwh(axis, litres(), southern=True))] == 8


@settings(max_examples=25, deadline=None)
@given(
    zone=st.sampled_from(["Europe/Dublin", "America/Sao_Paulo", "Asia/Kathmandu", "America/Santiago", "Africa/Cairo"]),
    year=st.integers(2000, 2040),
    step_minutes=st.sampled_from([30, 15]),
    name=st.sampled_from(sorted(DAILY_SUMS)),
)
def test_days_hold_their_draw_under_every_clock(zone: str, year: int, step_minutes: int, name: str) -> None:
    axis = TimeAxis(zone, year, step_minutes)
    kwh = draw_kwh(axis, tapping(name))
    assert kwh.min() >= 0
    np.testing.assert_allclose(by_day(axis, kwh), DAILY_SUMS[name], rtol=1e-12)
