"""A household's published profile, put on the calendar by other hands, taken off the whole home's meter."""

from __future__ import annotations

import warnings

import numpy as np
import pandas as pd
import pytest

from meter.homes import flagship, forty, twin
from meter.invented import invent
from simkit.errors import DataError
from simkit.meter.reading.derived import less_household
from simkit.meter.reading.reading import readings_from


def _h0_kw(monkeypatch: pytest.MonkeyPatch, annual_kwh: float) -> pd.Series:
    """Quarter-hours of the profile H0 by demandlib (BDEW; VDEW M-32/99) for 2025, on UTC [kW]."""
    slp = pytest.importorskip("demandlib.bdew")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        monkeypatch.setattr(warnings, "simplefilter", lambda *_, **__: None)  # it turns its own warnings into errors
        shape = slp.ElecSlp(2025).get_profiles("h0_dyn")["h0_dyn"].to_numpy()
    index = pd.date_range("2025-01-01", periods=len(shape), freq="15min", tz="UTC")
    return pd.Series(shape / (shape.sum() * 0.25) * annual_kwh, index)


def test_what_is_left_is_the_heat_pump(monkeypatch: pytest.MonkeyPatch) -> None:
    pump = invent(flagship(), 3, "2025-01-10", "2025-02-19", meters=("heat_pump_kwh",)).readings
    household = _h0_kw(monkeypatch, 3200.0)
    base = (household * 0.25).groupby(household.index.floor("30min")).sum().reindex(pump.frame.index)
    whole = pd.DataFrame({"end": pump.frame["end"], "import_kwh": pump.frame["heat_pump_kwh"] + base})
    left = less_household(readings_from(whole, zone=pump.zone, name="whole"), household)
    np.testing.assert_allclose(left.frame["heat_pump_kwh"], pump.frame["heat_pump_kwh"], atol=1e-12)


def test_on_a_home_of_other_habits_the_days_are_right_on_the_mean(monkeypatch: pytest.MonkeyPatch) -> None:
    left = less_household(forty(), _h0_kw(monkeypatch, twin().truth["base_kwh"]))
    both = invent(flagship(), 3, "2025-01-10", "2025-04-20", meters=("import_kwh", "heat_pump_kwh")).readings
    true = both.daily("heat_pump_kwh").iloc[:40].mean()
    assert left.daily("heat_pump_kwh").mean() == pytest.approx(
        true, rel=0.12
    )  # own: a fifth of scatter over forty days


def test_a_load_that_is_too_large_or_of_other_days_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    household = _h0_kw(monkeypatch, 3200.0)
    with pytest.raises(DataError, match="doesn't cover the readings"):
        less_household(forty(), household.iloc[5000:])
    with pytest.raises(DataError, match="is more than the home used on"):
        less_household(forty(), household * 10)
