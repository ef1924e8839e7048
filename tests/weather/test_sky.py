"""Radiation: published worked examples, totals kept, and days and hours like those of real years."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from real_weather import DUBLIN_DAILY, german_year, open_data
from references import Reference

from simkit.clock import TimeAxis
from simkit.weather import sky
from simkit.weather.draws import normals
from simkit.weather.months import day_starts, mean_daily_range, month_sums

AXIS = TimeAxis("Europe/Berlin", 2025, 60)
PLACE = (52.4, 13.1, 80.0)


def over(axis=AXIS, place=PLACE):
    return sky.heaven(axis, *place)


@pytest.mark.parametrize("region", range(1, 16))
def test_estimate_from_range_is_good_to_a_fifth_or_so(region):
    year = german_year(region)
    axis = TimeAxis("Etc/GMT-1", 2010, 60)
    there = sky.heaven(axis, year.latitude_deg, year.longitude_deg, year.altitude_m)
    estimate = sky.estimated_kwh_m2(axis, there, daily_range_k=mean_daily_range(axis, year.outdoor_c)).sum()
    real = year.ghi_w_m2.sum() / 1000.0
    source = f"own: global radiation of German test reference year {region} (DWD 2010)"
    Reference(real, source, 0.25 * real, "an estimate from daily range, said to be good to a fifth").check(estimate)


def test_estimate_from_sunshine_against_dublin():
    import pandas as pd

    daily = pd.read_csv(open_data(DUBLIN_DAILY), index_col=0, parse_dates=True).loc["2017"]
    axis = TimeAxis("Europe/Dublin", 2017, 60)
    there = sky.heaven(axis, 53.428, -6.241, 71.0)
    by_month = daily.groupby(daily.index.month)
    estimate = sky.estimated_kwh_m2(axis, there, sunshine_hours=by_month["sunshine_h"].sum().to_numpy()).sum()
    real = daily["global_radiation_J_cm2"].sum() / 360.0
    source = "own: Dublin Airport 2017 (Copyright Met Éireann, source www.met.ie, CC BY 4.0)"
    Reference(real, source, 0.12 * real, "Ångström's coefficients differ from place to place").check(estimate)


@settings(max_examples=25, deadline=None)
@given(shares=st.lists(st.floats(0.08, 0.97), min_size=12, max_size=12), sequence=st.integers(0, 50))
def test_months_keep_their_totals_and_no_hour_is_clearer_than_clear(shares, sequence):
    there = over()
    wanted = np.array(shares) * there.month_clear_kwh_m2
    clearness = sky.daily_clearness(AXIS, there, wanted, normals(365, sequence, 2))
    assert clearness.min() >= sky.DARKEST / sky.CLEAREST - 1e-9
    assert clearness.max() <= 1.0 + 1e-9
    ghi, beam, diffuse = sky.hours_of_sky(AXIS, there, clearness, sequence)
    assert month_sums(AXIS, ghi) / 1000.0 == pytest.approx(wanted, rel=1e-6)
    assert np.all(ghi <= there.clear_w_m2 + 1e-9)
    assert np.all(ghi[there.sun.zenith_deg > 90.0] == 0.0)
    assert min(beam.min(), diffuse.min()) >= 0.0
    assert beam * there.sun.height + diffuse == pytest.approx(ghi, abs=1e-9)


def test_a_clearer_number_is_a_brighter_day():
    there = over()
    order = np.linspace(-2.0, 2.0, 365)
    clearness = sky.daily_clearness(AXIS, there, 0.5 * there.month_clear_kwh_m2, order)
    month = AXIS.month[day_starts(AXIS)]
    assert all(np.all(np.diff(clearness[month == number]) > 0.0) for number in range(1, 13))


@pytest.mark.parametrize("region", [2, 3, 4, 9, 12])
def test_diffuse_share_is_that_of_measured_german_years(region):
    """Only the five years whose beam was measured near the sun's true hours: the others' beam is itself modelled."""
    year = german_year(region)
    axis = TimeAxis("Etc/GMT-1", 2010, 60)
    there = sky.heaven(axis, year.latitude_deg, year.longitude_deg, year.altitude_m)
    monthly = month_sums(axis, year.ghi_w_m2) / 1000.0
    clearness = sky.daily_clearness(axis, there, monthly, normals(365, 0, 2))
    ghi, _, diffuse = sky.hours_of_sky(axis, there, clearness, 0)
    source = f"own: diffuse share of German test reference year {region} (DWD 2010)"
    Reference(year.dhi_w_m2.sum() / year.ghi_w_m2.sum(), source, 0.05, "share; made-up clouds, Erbs' split").check(
        diffuse.sum() / ghi.sum()
    )


def test_spread_of_days_is_that_of_measured_german_years():
    axis = TimeAxis("Etc/GMT-1", 2010, 60)
    measured, made = [], []
    for region in (2, 3, 4, 9, 12):
        year = german_year(region)
        there = sky.heaven(axis, year.latitude_deg, year.longitude_deg, year.altitude_m)
        clear = there.clear_w_m2.reshape(-1, 24).sum(axis=1)
        measured.append(np.quantile(year.ghi_w_m2.reshape(-1, 24).sum(axis=1) / clear, [0.1, 0.5, 0.9]))
        monthly = month_sums(axis, year.ghi_w_m2) / 1000.0
        made.append(np.quantile(sky.daily_clearness(axis, there, monthly, normals(365, 0, 2)), [0.1, 0.5, 0.9]))
    source = "own: tenth, half and nine tenths of the days' clearness in five German test reference years (DWD 2010)"
    for real, ours in zip(np.mean(measured, axis=0), np.mean(made, axis=0), strict=True):
        Reference(float(real), source, 0.07, "share of a clear sky").check(float(ours))


def test_cloudless_months_and_dark_months_are_met_too():
    there = over()
    most = there.month_clear_kwh_m2
    for share in (sky.DARKEST / sky.CLEAREST + 1e-4, 0.9999):
        clearness = sky.daily_clearness(AXIS, there, share * most, normals(365, 0, 2))
        ghi = sky.hours_of_sky(AXIS, there, clearness, 0)[0]
        assert month_sums(AXIS, ghi) / 1000.0 == pytest.approx(share * most, rel=1e-3)


def test_arctic_winter_stays_dark():
    axis = TimeAxis("Europe/Oslo", 2025, 60)
    there = sky.heaven(axis, 66.0, 14.0, 0.0)
    wanted = 0.5 * there.month_clear_kwh_m2
    ghi = sky.hours_of_sky(axis, there, sky.daily_clearness(axis, there, wanted, normals(365, 0, 2)), 0)[0]
    assert np.isfinite(ghi).all()
    assert month_sums(axis, ghi) / 1000.0 == pytest.approx(wanted, rel=1e-6)
