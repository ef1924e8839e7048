"""Humidity: saturation against published values, monthly means kept, dry afternoons."""

from __future__ import annotations

import numpy as np
import pytest

from simkit.clock import TimeAxis
from simkit.weather.damp import humidity_from_minimum, humidity_of_steps, vapour_hpa
from simkit.weather.draws import normals
from simkit.weather.months import month_means

AXIS = TimeAxis("Europe/Dublin", 2025, 60)
DAY = 10.0 + 4.0 * np.cos(2.0 * np.pi * (AXIS.minute_of_day / 60.0 - 15.0) / 24.0)


@pytest.mark.parametrize("level", [0.2, 0.6, 0.9, 0.97, 1.0])
def test_months_keep_their_mean(level):
    damp = humidity_of_steps(AXIS, DAY, np.full(12, level), normals(365, 0, 2))
    assert damp.min() > 0.0
    assert damp.max() <= 1.0
    assert month_means(AXIS, damp) == pytest.approx(np.full(12, min(level, 0.999)), abs=1e-5)


def test_humidity_falls_in_the_afternoon_and_the_dew_point_hardly_moves():
    damp = humidity_of_steps(AXIS, DAY, np.full(12, 0.7), normals(365, 0, 2))
    by_hour = np.array([damp[AXIS.minute_of_day == 60 * hour].mean() for hour in range(24)])
    assert int(by_hour.argmin()) in (14, 15, 16)
    size = np.log(damp * vapour_hpa(DAY) / 6.1094)
    dew = 243.04 * size / (17.625 - size)  # the Magnus form turned round
    swings = [np.ptp(dew[AXIS.day == day]) for day in range(365) if damp[AXIS.day == day].max() < 1.0]
    assert len(swings) > 200
    assert np.ptp(DAY[AXIS.day == 100]) > 7.0, "the air itself swings by 8 K a day"
    assert np.quantile(swings, 0.9) < 2.6, "own: what is left is the change from one day to the next"
    assert np.mean(swings) < 1.5


def test_estimate_from_the_days_lowest_temperature():
    damp = humidity_from_minimum(AXIS, DAY)
    middle = AXIS.day == 100
    assert damp[middle].max() == pytest.approx(1.0, abs=1e-6)
    expected = vapour_hpa(np.array([DAY[middle].min()]))[0] / vapour_hpa(np.array([DAY[middle].max()]))[0]
    assert damp[middle].min() == pytest.approx(expected, rel=1e-6)
