"""Other years of a climate: spread as asked for, months too, the same everywhere."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from real_weather import DUBLIN_DAILY, open_data
from references import Reference
from scipy.stats import norm

from simkit.clock import TimeAxis
from simkit.errors import CaseError
from simkit.weather.monthly import synthesise
from simkit.weather.months import mean_daily_range, month_means, month_spreads
from simkit.weather.record import COLUMNS, Weather
from simkit.weather.years import MONTH_SPREAD, variant, weather_years
from weather.climates import INLAND, MARITIME, inland_site, months, site

AXIS = TimeAxis("Europe/Dublin", 2025, 60)
USUAL = synthesise(site(), months(), AXIS)
INLAND_USUAL = synthesise(inland_site(), months(INLAND), TimeAxis("Europe/Berlin", 2025, 60))
FROM_FILE = Weather(AXIS, USUAL.frame.copy(), ("from a file",))


def outdoor(weather):
    return weather.frame["outdoor_c"].to_numpy()


@pytest.mark.parametrize("usual", [USUAL, FROM_FILE], ids=["made up", "file"])
def test_means_of_years_are_the_middles_of_equal_slices(usual):
    years = weather_years(usual, 16, 0.5, seed=3)
    shifts = [month_means(AXIS, outdoor(year) - outdoor(usual)).mean() for year in years]
    assert sorted(shifts) == pytest.approx(0.5 * norm.ppf((np.arange(16) + 0.5) / 16), abs=1e-6)
    assert shifts != sorted(shifts), "own: the order is shuffled, so that parts of the set cover the spread too"


def test_years_repeat_and_differ_between_sets():
    first, again, other = (weather_years(USUAL, 2, 0.5, seed=seed) for seed in (1, 1, 2))
    for one, two in zip(first, again, strict=True):
        assert np.array_equal(one.frame.to_numpy(), two.frame.to_numpy())
    assert not np.array_equal(outdoor(first[0]), outdoor(other[0]))
    assert not np.array_equal(outdoor(first[0]), outdoor(first[1]))


def heat_and_cost(weather):
    """Degree-days of two bases, and what a home that needs heat below 14 °C pays a machine whose COP falls with it."""
    air = outdoor(weather)
    need = np.maximum(14.0 - air, 0.0)
    cop = 3.4 - 0.07 * need  # own: between a flow that rises as it gets colder and an efficiency that falls
    return np.array([np.maximum(15.5 - air, 0.0).sum(), np.maximum(13.0 - air, 0.0).sum(), (need / cop).sum()])


@pytest.mark.parametrize(("usual", "sd_k"), [(USUAL, 0.3), (USUAL, 0.6), (INLAND_USUAL, 0.3), (INLAND_USUAL, 0.6)])
def test_usual_year_is_the_mean_of_the_years(usual, sd_k):
    """Own bound: an estimate that lies a per cent beside the mean of its samples lies outside a narrow range."""
    for seed, bound in ((0, 0.006), (1, 0.006)):
        found = np.mean([heat_and_cost(year) for year in weather_years(usual, 8, sd_k, seed=seed)], axis=0)
        assert found == pytest.approx(heat_and_cost(usual), rel=bound)
    many = np.mean([heat_and_cost(year) for year in weather_years(usual, 64, sd_k, seed=2)], axis=0)
    assert many[[0, 2]] == pytest.approx(heat_and_cost(usual)[[0, 2]], rel=0.003)


@pytest.mark.parametrize("sd_k", [0.3, 0.6])
def test_usual_year_of_a_file_is_the_mean_of_the_years(sd_k):
    found = np.mean([heat_and_cost(year) for year in weather_years(FROM_FILE, 8, sd_k, seed=0)], axis=0)
    assert found == pytest.approx(heat_and_cost(FROM_FILE), rel=0.003)


def test_years_that_do_not_spread_are_the_usual_year():
    for usual in (USUAL, FROM_FILE):
        assert all(np.array_equal(outdoor(year), outdoor(usual)) for year in weather_years(usual, 4, 0.0))


def test_months_of_all_years_together_spread_as_the_usual_months_do():
    years = np.concatenate([outdoor(year) for year in weather_years(USUAL, 16, 0.2, seed=4)])
    month = np.tile(AXIS.month, 16)
    together = [years[month == number].std() for number in range(1, 13)]
    assert together == pytest.approx(month_spreads(AXIS, outdoor(USUAL)), rel=0.02), "days may not go entirely"
    assert [years[month == number].mean() for number in range(1, 13)] == pytest.approx(MARITIME["mean_c"], abs=1e-9)


def test_made_up_years_have_their_own_order_of_days():
    year = weather_years(USUAL, 1, 0.001, seed=0)[0]
    assert month_means(AXIS, outdoor(year)) == pytest.approx(MARITIME["mean_c"], abs=1e-9)
    assert np.corrcoef(outdoor(year) - outdoor(USUAL), outdoor(USUAL))[0, 1] < 0.2
    assert mean_daily_range(AXIS, outdoor(year)) == pytest.approx(MARITIME["daily_range_k"], abs=1.0)


def test_years_from_a_file_keep_their_days():
    shifted = variant(FROM_FILE, months_k=[0.9, -0.9] * 6)
    assert np.abs(np.diff(outdoor(shifted) - outdoor(FROM_FILE))).max() < 0.02, "own: months shift smoothly"
    year = weather_years(FROM_FILE, 4, 0.5, seed=0)[1]
    change = outdoor(year) - outdoor(FROM_FILE)
    assert np.abs(np.diff(change)).max() < 0.1, "own: days depart less, hours keep their course"
    days, usual_days = (np.diff(outdoor(weather).reshape(-1, 24).mean(axis=1)) for weather in (year, FROM_FILE))
    assert np.corrcoef(days, usual_days)[0, 1] > 0.98, "own: storms stay where they were"
    for name in COLUMNS[1:]:
        assert np.array_equal(year.frame[name], FROM_FILE.frame[name])


def test_coldest_hours_of_years_scatter_about_the_stated_cold():
    cold = [np.quantile(outdoor(year), 0.004) for year in weather_years(USUAL, 32, 0.4, seed=1)]
    assert np.mean(cold) == pytest.approx(-2.0, abs=0.8)
    assert 0.4 < np.std(cold) < 2.0, "own"


def test_months_depart_further_than_years():
    years = weather_years(FROM_FILE, 200, 0.4, seed=5)
    departures = np.array([month_means(AXIS, outdoor(year) - outdoor(FROM_FILE)) for year in years])
    beside = departures - departures.mean(axis=1, keepdims=True)
    assert departures.mean(axis=1).std() == pytest.approx(0.4, abs=0.01)
    assert beside[:, 0].std() == pytest.approx(0.4 * MONTH_SPREAD[0], rel=0.15)
    assert beside[:, 6].std() == pytest.approx(0.4 * MONTH_SPREAD[1], rel=0.15)


def test_spread_of_months_against_nine_years_at_dublin():
    daily = pd.read_csv(open_data(DUBLIN_DAILY), index_col=0, parse_dates=True)
    middle = (daily["max_temp_C"] + daily["min_temp_C"]) / 2.0
    table = middle.groupby([middle.index.year, middle.index.month]).mean().unstack()
    year_sd = float(table.mean(axis="columns").std())
    month_sd = float(table.sub(table.mean(axis="columns"), axis="index").std().mean())
    source = "own: Dublin Airport 2016 to 2024 (Copyright Met Éireann, source www.met.ie, CC BY 4.0)"
    Reference(month_sd / year_sd, source, 0.5, "nine years only").check(float(np.mean(MONTH_SPREAD)))


def test_variant_shifts_and_says_so():
    warmer = variant(USUAL, 1.5)
    assert outdoor(warmer) - outdoor(USUAL) == pytest.approx(np.full(AXIS.steps, 1.5), abs=1e-6)
    assert warmer.notes[-1] == "Temperatures are shifted by +1.50 K on the mean of the months."
    monthly = np.arange(12) / 10.0
    changed = variant(USUAL, months_k=list(monthly))
    assert month_means(AXIS, outdoor(changed) - outdoor(USUAL)) == pytest.approx(monthly, abs=1e-9)


def test_variant_keeps_relative_humidity_and_radiation_of_months():
    colder = variant(USUAL, -2.0)
    damp = month_means(AXIS, colder.frame["humidity"].to_numpy())
    assert damp == pytest.approx(MARITIME["humidity"], abs=1e-5)
    assert np.array_equal(colder.frame["ghi_w_m2"], USUAL.frame["ghi_w_m2"])


def test_another_step_gives_the_same_other_years():
    fine = synthesise(site(), months(), TimeAxis("Europe/Dublin", 2025, 30))
    pair = [weather_years(weather, 2, 0.5, seed=1)[1] for weather in (USUAL, fine)]
    assert np.array_equal(outdoor(pair[1])[::2], outdoor(pair[0]))


@pytest.mark.parametrize(
    ("count", "sd_k", "sentence"),
    [
        (0, 0.5, "weather years: count = 0 is less than one year. Ask for 16 years with 0.5 K, for example."),
        (
            4,
            -0.5,
            "weather years: sd_k = -0.5 is negative, and a standard deviation can't be. Ask for 16 years with 0.5 K, "
            "for example.",
        ),
    ],
)
def test_impossible_wishes(count, sd_k, sentence):
    with pytest.raises(CaseError) as caught:
        weather_years(USUAL, count, sd_k)
    assert str(caught.value) == sentence


def test_weather_can_be_remembered_by():
    assert {USUAL: 1, FROM_FILE: 2}[USUAL] == 1
    assert USUAL != FROM_FILE
