"""Weather of the days of some readings: temperatures that can't be of the home's place say so."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from meter.homes import flagship, twin
from simkit.meter.fitting import weather_then
from simkit.meter.fitting.weather_then import from_temperatures, usual_weather


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
