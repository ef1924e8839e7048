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
from simkit.weather.months import day_starts, mean_daily_range, month_days, month_sums

FAO = "Allen, Pereira, Raes and Smith 1998, FAO Irrigation and Drainage Paper 56, example"
AXIS = TimeAxis("Europe/Berlin", 2025, 60)
PLACE = (52.4, 13.1, 80.0)
MJ_PER_KWH = 3.6


def over(axis=AXIS, place=PLACE):
    return sky.heaven(axis, *place)


def per_day_mj(axis, monthly_kwh, month):
    return monthly_kwh[month - 1] / month_days(axis)[month - 1] * MJ_PER_KWH


def test_radiation_outside_the_air_and_day_length():
    axis = TimeAxis("Africa/Harare", 2025, 60)
    there = sky.heaven(axis, -20.0, 30.0, 0.0)
    day = 246 - 1
    beyond = there.beyond_w_m2.reshape(-1, 24)[day].sum() * 3600.0 / 1e6
    Reference(32.2, f"{FAO} 8, 20° S, 3 September", 0.3, "1 %: hours against an integral, another sun").check(beyond)
    Reference(11.7, f"{FAO} 9, 20° S, 3 September", 0.1, "printed to a tenth, another sun").check(there.daylight_h[day])


def test_radiation_from_sunshine_worked_example():
    axis = TimeAxis("America/Sao_Paulo", 2025, 60)
    there = sky.heaven(axis, -22.9, -43.2, 0.0)
    sunshine = np.full(12, 7.1) * month_days(axis)
    found = per_day_mj(axis, sky.estimated_kwh_m2(axis, there, sunshine_hours=sunshine), 5)
    Reference(14.5, f"{FAO} 10, 22°54' S, May, 7.1 h of 10.9 h", 0.3, "2 %: whole month, not its middle day").check(
        found
    )


def test_radiation_from_range_worked_example():
    axis = TimeAxis("Europe/Paris", 2025, 60)
    there = sky.heaven(axis, 45.72, 5.0, 200.0)
    found = per_day_mj(axis, sky.estimated_kwh_m2(axis, there, daily_range_k=np.full(12, 26.6 - 14.8)), 7)
    Reference(22.3, f"{FAO} 15, 45°43' N, July, 14.8 to 26.6 °C", 0.45, "2 %: whole month, not its middle day").check(
        found
    )


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
