"""Degree-days by every definition, against published tables and real years."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from real_weather import DUBLIN_2017, DUBLIN_DAILY, german_year, open_data
from references import Reference

from simkit.clock import TimeAxis
from simkit.errors import CaseError
from simkit.weather import degree_days as dd


@settings(max_examples=60, deadline=None)
@given(mean=st.floats(-40.0, 30.0), days=st.integers(28, 31))
def test_mean_from_degree_days_is_the_inverse(mean, days):
    amount = dd.from_monthly_mean(np.array([mean]), 15.5, np.array([float(days)]))
    assert dd.mean_from_degree_days(amount, 15.5, np.array([float(days)])) == pytest.approx([mean], abs=1e-6)


def test_month_without_degree_days_is_put_far_above_base():
    assert dd.mean_from_degree_days(np.zeros(1), 15.5, np.array([31.0]))[0] > 30.0


def slowly(day: np.ndarray, values: np.ndarray, base: float, method: str) -> float:
    """The definitions written out day by day."""
    total = 0.0
    for number in range(day[-1] + 1):
        hours = [float(value) for value in values[day == number]]
        mean, high, low = sum(hours) / len(hours), max(hours), min(hours)
        if method == dd.BY_HOURS:
            total += sum(max(base - value, 0.0) for value in hours) / len(hours)
        elif method == dd.DAILY_MEAN:
            total += max(base - mean, 0.0)
        elif method == dd.MIDDLE_OF_EXTREMES:
            total += max(base - (high + low) / 2.0, 0.0)
        elif low > base:
            total += 0.0
        elif (high + low) / 2.0 > base:
            total += (base - low) / 4.0
        elif high >= base:
            total += (base - low) / 2.0 - (high - base) / 4.0
        else:
            total += base - (high + low) / 2.0
    return total


@pytest.mark.parametrize("method", dd.METHODS)
@pytest.mark.parametrize("region", [1, 4, 11])
def test_four_methods_on_german_test_reference_years(region, method):
    year = german_year(region)
    day = np.repeat(np.arange(365), 24)
    found = dd.on_days(day, year.outdoor_c, 15.5, method=method).sum()
    source = "own, from the definitions day by day, on a test reference year of the German weather service (DWD 2010)"
    Reference(slowly(day, year.outdoor_c, 15.5, method), source, 1e-6, "same sums in another order").check(found)


ATTRIBUTION = "Copyright Met Éireann, source www.met.ie, CC BY 4.0"


@pytest.mark.parametrize(("method", "value"), [(dd.DAILY_MEAN, 2018.9), (dd.BY_HOURS, 2081.3)])
def test_dublin_2017_from_hours(method, value):
    hours = pd.read_csv(open_data(DUBLIN_2017), index_col=0, parse_dates=True)["temp_air_C"]
    day = np.asarray((hours.index - hours.index[0]) // pd.Timedelta(days=1))
    source = f"own, from hours at Dublin Airport 2017 ({ATTRIBUTION}), UTC days, base 15.5 °C"
    found = dd.on_days(day, hours.to_numpy(), 15.5, method=method).sum()
    Reference(value, source, 0.15, "noted to a tenth, perhaps from rounded days").check(found)
    Reference(slowly(day, hours.to_numpy(), 15.5, method), source, 1e-6, "same sums in another order").check(found)


def test_dublin_2017_from_marked_extremes():
    daily = pd.read_csv(open_data(DUBLIN_DAILY), index_col=0, parse_dates=True).loc["2017"]
    high, low = daily["max_temp_C"].to_numpy(), daily["min_temp_C"].to_numpy()
    source = f"own, from daily extremes at Dublin Airport 2017 ({ATTRIBUTION}), base 15.5 °C"
    middle = np.maximum(15.5 - (high + low) / 2.0, 0.0).sum()
    Reference(2079.5, source, 0.2, "noted to a tenth, perhaps from rounded days").check(middle)
    Reference(2167.9, source, 0.05, "noted to a tenth").check(dd.from_extremes(high, low, 15.5).sum())


@pytest.mark.parametrize("region", range(1, 16))
def test_order_of_methods_holds_on_every_german_year(region):
    day, values = np.repeat(np.arange(365), 24), german_year(region).outdoor_c
    mean, hours = (dd.on_days(day, values, 15.5, method=method) for method in (dd.DAILY_MEAN, dd.BY_HOURS))
    assert np.all(hours >= mean - 1e-9), "a day's hours fall short of the base at least as far as its mean does"
    hitchin = dd.from_monthly_mean(values.mean(), 15.5, 365.0)
    assert hours.sum() > 15.5 * 365 - values.sum()
    assert hitchin < hours.sum(), "one yearly mean can't know winter and summer"


def test_hitchin_is_near_the_sum_of_hours_by_month():
    year, axis = german_year(4), TimeAxis("Etc/GMT-1", 2010, 60)
    hours = dd.monthly_degree_days(axis, year.outdoor_c, 15.5)
    months = np.bincount(axis.month - 1, weights=year.outdoor_c) / np.bincount(axis.month - 1)
    estimate = dd.from_monthly_mean(months, 15.5, np.bincount(axis.month - 1) / 24.0)
    source = "own: hours of a German test reference year (DWD 2010, region 4)"
    Reference(hours.sum(), source, 0.05 * hours.sum(), "an estimate from means, 5 % on a year").check(estimate.sum())


def test_days_of_23_and_25_hours_count_as_one_day_each():
    axis = TimeAxis("Europe/Berlin", 2025, 60)
    constant = np.full(axis.steps, 5.5)
    for method in dd.METHODS:
        assert dd.monthly_degree_days(axis, constant, 15.5, method=method).sum() == pytest.approx(3650.0)


def test_shorter_steps_give_the_same_days():
    hourly, quarter = TimeAxis("Europe/Dublin", 2025, 60), TimeAxis("Europe/Dublin", 2025, 15)
    values = np.sin(np.arange(hourly.steps) / 50.0) * 10.0 + 10.0
    for method in dd.METHODS:
        long = dd.on_days(hourly.day, values, 15.5, method=method)
        assert dd.on_days(quarter.day, np.repeat(values, 4), 15.5, method=method) == pytest.approx(long)


def test_unknown_method_is_told():
    axis = TimeAxis("Europe/Dublin", 2025, 60)
    with pytest.raises(CaseError) as caught:
        dd.on_days(axis.day, np.zeros(axis.steps), 15.5, method="weekly")
    assert str(caught.value) == (
        'method = "weekly" is not a definition of degree-days known here. '
        'Choose one of "hours", "daily mean", "middle of max and min", "four cases of max and min".'
    )
