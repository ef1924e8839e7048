"""Weather of the days of some readings: temperatures that can't be of the home's place say so."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from meter.homes import flagship, twin
from simkit.meter.fitting import weather_then
from simkit.meter.fitting.weather_then import MEANS, from_temperatures, usual_weather


def test_weather_of_another_place_is_told_by_its_days(monkeypatch: pytest.MonkeyPatch) -> None:
    """Own: the same days with a biased and noisy thermometer, and the same days of a place with weather of its own."""
    case, made = flagship(), twin()
    outdoor = made.weather.years[2025].frame["outdoor_c"]["2025-01-01":"2025-02-25"].resample("60min").mean()
    own = usual_weather(case, outdoor.index[0], outdoor.index[-1], 30)
    dated = replace(own, known_from=outdoor.index[0])  # as a file of those very days would be
    monkeypatch.setattr(weather_then, "usual_weather", lambda *_: dated)
    told = from_temperatures(case, outdoor, 30).notes[-1]
    assert told.startswith("From day to day the temperatures that were logged go with the case's own weather file by ")
    assert told.endswith("one of the two is of another place or of another time.")
    held = own.years[2025].frame["outdoor_c"]["2025-01-01":"2025-02-25"].resample("60min").mean()
    noisy = 1.1 * held + 2.0 + np.random.default_rng(5).normal(0.0, 0.5, len(held))
    assert not any("another place" in note for note in from_temperatures(case, noisy, 30).notes)
    assert not any("another place" in note for note in from_temperatures(case, outdoor.iloc[:360], 30).notes)


def test_means_of_days_move_the_usual_days_and_keep_their_rise_and_fall() -> None:
    case = flagship()
    days = pd.date_range("2025-01-10", periods=30, tz="Europe/Dublin").tz_convert("UTC")
    means = pd.Series(4.0 + 3.0 * np.sin(np.arange(30)), index=days)
    usual = usual_weather(case, days[0], days[-1], 60).years[2025].frame["outdoor_c"]
    then = from_temperatures(case, means, 60)
    assert MEANS in then.notes
    made = then.years[2025].frame["outdoor_c"]
    inside = slice(days[0], days[-1] + pd.Timedelta(hours=23))
    np.testing.assert_allclose(made[inside].resample("1D").mean(), means, atol=1e-9)
    apart = (made - usual)[inside]
    np.testing.assert_allclose(apart.groupby(apart.index.floor("D")).std(), 0.0, atol=1e-9)
    assert made.notna().all()
