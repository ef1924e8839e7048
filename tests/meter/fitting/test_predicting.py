"""Ranges of days to come: of a twin, of homes that obey another model than the kit's, and of a real house."""

from __future__ import annotations

import os

import numpy as np
import pytest

from meter.homes import fitted, flagship, twin
from meter.real_house import hours_of, pooled
from meter.strangers import degree_day_home, five_node_home
from simkit.errors import DataError
from simkit.meter.fitting.fitted import predicted
from simkit.meter.fitting.fitting import fit

OPEN_DATA = os.environ.get("SIMKIT_OPEN_DATA")
FITTED_DAYS, AFTER = 42, ("2025-02-27", "2025-03-27")


def test_a_span_comes_by_local_day_with_its_total_and_wider_at_a_higher_level() -> None:
    days = fitted().predict("2025-02-19", "2025-04-20")
    assert list(days.columns) == ["low", "middle", "high"]
    assert len(days) == 60
    assert str(days.index[0].date()) == "2025-02-19"
    assert (days["low"] < days["high"]).all()
    true = twin().readings.daily("import_kwh")["2025-02-19":"2025-04-19"].to_numpy()
    assert 0.6 < np.mean((days["low"] <= true) & (true <= days["high"])) <= 1.0
    total = fitted().predict_total("2025-02-19", "2025-04-20")
    assert total.low < total.middle < total.high
    # own: days that share a home and a habit add up to more than the root of their number
    assert total.high - total.low > 1.5 * np.sqrt(((days["high"] - days["low"]) ** 2).sum())
    wider = fitted().predict("2025-02-19", "2025-04-20", level=0.9)
    assert (wider["high"] - wider["low"] > days["high"] - days["low"]).all()


def test_what_the_last_days_left_over_lasts_into_the_next() -> None:
    """Own: with the last residuals moved up by 3 kWh the first day to come moves with them, the hundredth hardly."""
    from dataclasses import replace

    plain = fitted()
    channel = plain.channels[0]
    moved = channel.values.copy()
    moved[-5:] += 3.0
    more = replace(plain, channels=(replace(channel, values=moved),))
    before, after = (predicted(one, "2025-02-19", "2025-04-20")[0].mean(axis=0) for one in (plain, more))
    assert after[0] - before[0] > 0.3
    assert after[-1] - before[-1] < 0.5 * (after[0] - before[0])


def test_weather_that_does_not_reach_and_a_meter_that_was_not_fitted_are_refused() -> None:
    with pytest.raises(DataError, match="has readings and no weather"):
        fitted().predict("2031-01-01", "2031-01-05")
    with pytest.raises(DataError) as refused:
        fitted().predict("2025-02-19", "2025-02-22", meter="fuel_kwh")
    assert str(refused.value) == 'predict: meter = "fuel_kwh" was not fitted. Ask for one of import_kwh.'


@pytest.mark.parametrize("kind", [degree_day_home, five_node_home])
def test_homes_of_another_model_lie_in_their_ranges(kind) -> None:
    """Own: few enough to be quick; the hundreds stand in tests/bench/README.md."""
    inside = []
    for number in range(2):
        made = kind(number)
        found = fit(flagship(), made.part(0, FITTED_DAYS), weather=made.weather, draws=1280, seed=number)
        days = found.predict(*AFTER, level=0.9)
        true = made.readings.frame["import_kwh"].to_numpy()[FITTED_DAYS:]
        inside.append(np.mean((days["low"] <= true) & (true <= days["high"])))
        assert found.metrics["import_kwh"].cv_rmse < 0.25
    assert 0.75 < np.mean(inside) <= 1.0  # of 56 days at 90 %, alike in their habits


@pytest.mark.skipif(
    not OPEN_DATA, reason="SIMKIT_OPEN_DATA is not set: no real house; homes of other models are tested"
)
def test_a_real_house_is_predicted_no_worse_than_by_a_line_and_its_ranges_hold() -> None:
    """Every eighth window; all of them, moved by a day, stand in tests/bench/README.md."""
    print("Data: R package onlineforecast 0.9.3, P. Bacher and H. G. Bergsteinsson, GPL-3")
    made = pooled(hours_of(str(OPEN_DATA)), every=8, draws=2000)
    share = made["days"] / made["days"].sum()
    assert 0.70 < (made["inside"] * share).sum() < 0.90
    assert made["total_inside"].mean() >= 0.6
    assert (made["error"] * share).sum() < (made["line_error"] * share).sum()
    assert (made["width"] * share).sum() < 1.2 * (made["line_width"] * share).sum()
