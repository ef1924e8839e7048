"""Periods of the day laid on the year: weekdays, midnight, clock changes, and steps that an edge splits."""

from __future__ import annotations

import numpy as np
import pytest
from homes import changed

from simkit.assemble.schedule import inside, temperature_c
from simkit.case.heating.controls import Period
from simkit.clock import TimeAxis

HOURLY, HALF = TimeAxis("Europe/Brussels", 2025, 60), TimeAxis("Europe/Brussels", 2025, 30)


def periods(*rows: tuple[str, str, float, str]) -> tuple[Period, ...]:
    listed = [{"from": start, "to": end, "c": c, "days": days} for start, end, c, days in rows]
    return changed("canal_terrace", {"controls.periods": listed}).controls.periods


def test_days_and_nights() -> None:
    made = temperature_c(
        periods(("06:00", "22:00", 20.5, "workdays"), ("08:00", "23:00", 19.5, "weekend")), 17.0, HOURLY
    )
    hour, day = HOURLY.minute_of_day // 60, HOURLY.weekday
    workday = (day < 5) & (hour >= 6) & (hour < 22)
    weekend = (day >= 5) & (hour >= 8) & (hour < 23)
    np.testing.assert_array_equal(made, np.where(workday, 20.5, np.where(weekend, 19.5, 17.0)))


def test_over_midnight_and_through_clock_changes() -> None:
    """22:00 to 02:00: on the day the clock goes forward it holds four hours of wall time, one of which is not there."""
    made = inside(periods(("22:00", "02:00", 20.0, "all")), HOURLY)
    hour = HOURLY.minute_of_day // 60
    np.testing.assert_array_equal(made, ((hour >= 22) | (hour < 2)).astype(float))
    by_day = [made[HOURLY.day == d].sum() for d in (0, 88, 298)]  # an ordinary day; 30 March; 26 October
    assert by_day == [4.0, 4.0, 4.0]
    wide = inside(periods(("01:00", "05:00", 20.0, "all")), HOURLY)
    assert [wide[HOURLY.day == d].sum() for d in (0, 88, 298)] == [4.0, 3.0, 5.0]


def test_a_split_step_takes_the_mean_by_its_shares() -> None:
    made = periods(("06:30", "22:00", 21.0, "all"))
    hourly, half = temperature_c(made, 18.0, HOURLY), temperature_c(made, 18.0, HALF)
    assert hourly[6] == pytest.approx(19.5)
    np.testing.assert_array_equal(half[12:14], [18.0, 21.0])
    np.testing.assert_allclose(hourly, half.reshape(-1, 2).mean(axis=1))
