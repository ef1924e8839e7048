"""A fitted home's year over weather years, and what would narrow it."""

from __future__ import annotations

from functools import cache

import numpy as np
import pandas as pd
import pytest

from meter.homes import fitted
from simkit.assemble.setting import setting_for
from simkit.billing.charge import fixed_cost
from simkit.meter.fitting.narrowing import Step, what_next
from simkit.meter.fitting.projection import Projection, project


@cache
def _projection() -> Projection:
    return project(fitted(), lanes=64, weather_count=8)


def test_months_add_up_and_ranges_are_in_order() -> None:
    made = _projection()
    assert made.cost.shape == (12, 64)
    assert made.year_cost.low < made.year_cost.middle < made.year_cost.high
    months = made.months
    assert (months["import_kwh_low"] < months["import_kwh_high"]).all()
    assert made.year_kwh.middle == pytest.approx(
        months["import_kwh_middle"].sum(), rel=0.08
    )  # own: medians don't add up
    assert months["month_cost_middle"].idxmax() in (1, 2, 12)


def test_a_home_that_is_spared_heat_buys_in_summer_what_its_people_use() -> None:
    """Own: less than no heat can't be spared, and at a flat tariff every month costs its energy and its standing."""
    made = _projection()
    assert made.fit.table.loc["steady_kwh", "high"] < 0.0
    case = made.fit.case
    july = made.months.loc[7, "import_kwh_low"]
    assert july > 0.8 * 31 / 365 * made.fit.table.loc["base_kwh", "low"]
    standing = made.cost - case.tariff.band[0].price_per_kwh * case.tariff.tax_factor * made.import_kwh
    assert standing.std(axis=1) == pytest.approx(np.zeros(12), abs=0.02)
    assert standing.mean(axis=1).sum() == pytest.approx(fixed_cost(case.tariff, setting_for(case).axis), abs=0.1)


def test_the_width_comes_from_home_and_weather() -> None:
    home, weather = _projection().parts
    assert home > 0
    assert weather > 0
    total = _projection().cost.sum(axis=0)
    assert np.hypot(home, weather) == pytest.approx(float(np.std(total)), rel=0.35)


def test_measurements_never_widen_the_year_and_are_ranked() -> None:
    made = _projection()
    table = pd.DataFrame(what_next(made))
    np.testing.assert_allclose(table["width_now"], made.year_cost.high - made.year_cost.low)  # the range beside it
    assert (table["width_then"] <= table["width_now"] + 1e-9).all()
    assert (table["loss_then"] <= table["loss_now"] + 1e-12).all()
    assert (np.diff(table["width_then"]) > -0.002 * table["width_now"][0]).all()
    assert {"a cool-down night", "a heat meter, for a month", "a month more of the same meter"} <= set(table["what"])


def test_what_would_tell_next_to_nothing_is_known() -> None:
    assert Step("a heat meter, for a month", 489.0, 488.0, 0.08, 0.02).tells
    assert not Step("a cool-down night", 489.0, 488.6, 0.08, 0.079).tells
