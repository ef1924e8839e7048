"""The coldest week: seven whole civil days, however long a step is and whichever way the clock goes."""

from __future__ import annotations

import numpy as np
import pytest

from simkit.weather.coldest import coldest_week

pytestmark = pytest.mark.short


@pytest.mark.parametrize("per_day", [24, 48])
def test_it_is_the_coldest_week_and_not_the_week_about_the_coldest_day(per_day: int) -> None:
    means = np.full(40, 5.0)
    means[3] = -9.0  # one very cold day on its own: the mean of any week that holds it is 3 °C
    means[20:27] = 1.0
    rows = coldest_week(np.repeat(means, per_day), np.repeat(np.arange(40), per_day), 24.0 / per_day)
    assert (rows.start, rows.stop) == (20 * per_day, 27 * per_day)


def test_moved_by_a_day_it_is_milder() -> None:
    means = 5.0 + np.abs(np.arange(60) - 30.0)  # own: the seven days about day 30 hold the lowest mean, 5 + 12 / 7
    rows = coldest_week(np.repeat(means, 24), np.repeat(np.arange(60), 24), 1.0)
    assert (rows.start, rows.stop) == (27 * 24, 34 * 24)
    assert np.repeat(means, 24)[rows].mean() == pytest.approx(5.0 + 12.0 / 7.0)


def test_days_held_in_part_do_not_count_and_short_frames_are_taken_whole() -> None:
    day = np.repeat(np.arange(9), 24)[12:]  # the first day has twelve hours, and is the coldest
    outdoor = np.where(day == 0, -20.0, 5.0 + day)
    assert coldest_week(outdoor, day, 1.0) == slice(12, 12 + 7 * 24)
    assert coldest_week(np.zeros(48), np.repeat(np.arange(2), 24), 1.0) == slice(0, 48)


def test_a_day_of_23_hours_is_whole() -> None:
    day = np.repeat(np.arange(8), [24, 24, 24, 23, 24, 24, 24, 24])
    rows = coldest_week(np.where(day < 7, 0.0, 9.0), day, 1.0)
    assert (rows.start, rows.stop) == (0, 7 * 24 - 1)
