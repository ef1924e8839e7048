"""Smooth courses that keep monthly means, on every kind of year."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from simkit.clock import TimeAxis
from simkit.weather.months import (
    day_starts,
    mean_daily_range,
    month_days,
    month_means,
    month_sums,
    over_steps,
    smooth_course,
    with_means,
)

AXES = [
    TimeAxis("Europe/Dublin", 2025, 60),
    TimeAxis("Europe/Berlin", 2024, 60),
    TimeAxis("Asia/Kolkata", 2025, 30),
    TimeAxis("Australia/Lord_Howe", 2025, 30),
]
TWELVE = st.lists(st.floats(-20.0, 30.0), min_size=12, max_size=12)


@pytest.mark.parametrize("axis", AXES, ids=lambda axis: f"{axis.zone} {axis.year}")
def test_month_lengths(axis):
    days = month_days(axis)
    assert days.sum() * 24.0 == pytest.approx(axis.steps * axis.hours)
    assert len(day_starts(axis)) == len(axis.dates)
    assert month_sums(axis, np.ones(axis.steps)).sum() == axis.steps


@settings(max_examples=25, deadline=None)
@given(monthly=TWELVE, number=st.integers(0, len(AXES) - 1))
def test_course_keeps_the_means_of_the_months(monthly, number):
    axis = AXES[number]
    assert month_means(axis, smooth_course(axis, np.array(monthly))) == pytest.approx(monthly, abs=1e-9)


def test_course_of_a_constant_is_that_constant():
    assert smooth_course(AXES[0], np.full(12, 7.0)) == pytest.approx(np.full(AXES[0].steps, 7.0), abs=1e-9)


def test_course_has_no_step_between_months_nor_at_the_turn_of_the_year():
    axis = AXES[0]
    course = smooth_course(axis, np.array([5.3, 5.3, 6.8, 8.3, 10.9, 13.6, 15.6, 15.3, 13.4, 10.5, 7.4, 5.6]))
    steps = np.abs(np.diff(np.append(course, course[0])))
    assert steps.max() < 0.01, "own: the steepest month changes by 3 K in 720 hours"


def test_line_through_days_passes_through_them_at_noon():
    axis = AXES[0]
    daily = np.cos(np.arange(365) / 9.0)
    line = over_steps(axis, daily)
    noon = day_starts(axis)[3] + 12
    assert (line[noon - 1] + line[noon]) / 2.0 == pytest.approx(daily[3], abs=1e-3)
    assert over_steps(axis, np.full(365, 4.0)) == pytest.approx(np.full(axis.steps, 4.0))


def test_with_means_only_shifts_smoothly():
    axis = AXES[0]
    rough = np.sin(np.arange(axis.steps))
    shifted = with_means(axis, rough, np.arange(12.0))
    assert month_means(axis, shifted) == pytest.approx(np.arange(12.0), abs=1e-9)
    assert np.abs(np.diff(shifted - rough)).max() < 0.03, "own: December to January falls by 11 K in a month"


def test_mean_daily_range_by_hand():
    axis = AXES[0]
    values = np.where(axis.minute_of_day == 15 * 60, 9.0, 2.0)
    assert mean_daily_range(axis, values) == pytest.approx(np.full(12, 7.0))
