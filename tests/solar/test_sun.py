"""Sun, planes and windows against published values and limits known by hand; panels have a file of their own."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from weather.climates import INLAND, inland_site, months

from simkit.case.home.home import Window
from simkit.clock import TimeAxis
from simkit.solar.sun import (
    GLASS_OBLIQUE,
    clear_sky_w_m2,
    plane_w_m2,
    split_beam_diffuse,
    sun_at,
    sun_offset_h,
    sun_position,
    window_gain_kw,
)
from simkit.weather.monthly import synthesise
from simkit.weather.record import Weather

AXIS = TimeAxis("Europe/Berlin", 2025, 60)
HERE = inland_site()
WEATHER = synthesise(HERE, months(INLAND), AXIS)


def window(**other) -> Window:
    keys = {"area_m2": 2.0, "azimuth_deg": 180.0, "tilt_deg": 90.0, "transmittance": 0.6, "shading": 0.7}
    return Window(**(keys | other))


def test_importing_the_module_does_not_import_pvlib():
    code = "import sys, simkit.solar.sun; sys.exit('pvlib' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


# The sun


def test_sun_is_taken_at_the_middle_of_steps():
    quarter = TimeAxis("Europe/Berlin", 2025, 15)
    fine, hourly = (sun_position(axis, 52.4, 13.1, 80.0).zenith_deg for axis in (quarter, AXIS))
    up = hourly < 85.0  # nearer the horizon the air bends the light unevenly
    assert ((fine[1::4] + fine[2::4]) / 2.0)[up] == pytest.approx(hourly[up], abs=0.1)


def test_sun_is_computed_once_and_can_not_be_written_to():
    first, again = (sun_position(TimeAxis("Europe/Berlin", 2025, 60), 52.4, 13.1, 80.0) for _ in range(2))
    assert first is again
    with pytest.raises(ValueError, match="read-only"):
        first.zenith_deg[0] = 0.0


def test_height_is_0_at_night():
    sun = sun_position(AXIS, 52.4, 13.1, 80.0)
    assert np.all(sun.height[sun.zenith_deg >= 90.0] == 0.0)
    assert sun.height.max() == pytest.approx(np.cos(np.radians(52.4 - 23.44)), abs=0.003)


@pytest.mark.parametrize("late", [-1.5, 0.0, 0.35, 1.0, 3.0])
def test_offset_of_the_sun_is_found(late):
    middle = AXIS.utc + pd.Timedelta(minutes=30)
    ghi = clear_sky_w_m2(sun_at(middle - pd.Timedelta(hours=late), 52.4, 13.1, 80.0))
    assert sun_offset_h(middle, ghi, 52.4, 13.1) == pytest.approx(late, abs=0.05)


def test_offset_of_cloudy_hours_is_found():
    middle = AXIS.utc + pd.Timedelta(minutes=30)
    assert sun_offset_h(middle, WEATHER.frame["ghi_w_m2"].to_numpy(), 52.4, 13.1) == pytest.approx(0.0, abs=0.1)


def test_split_closes_and_night_is_dark():
    sun = sun_position(AXIS, 52.4, 13.1, 80.0)
    ghi = 0.6 * clear_sky_w_m2(sun)
    beam, diffuse = split_beam_diffuse(ghi, sun)
    assert beam * sun.height + diffuse == pytest.approx(ghi, abs=1e-9)
    assert np.all(beam[sun.zenith_deg > 87.0] == 0.0)


# Planes


def test_level_plane_sees_global_radiation():
    found = plane_w_m2(WEATHER, HERE, 0.0, 180.0)
    sun = sun_position(AXIS, HERE.latitude_deg, HERE.longitude_deg, HERE.altitude_m)
    high = sun.zenith_deg < 86.0
    assert found[high] == pytest.approx(WEATHER.frame["ghi_w_m2"].to_numpy()[high], rel=1e-9, abs=1e-9)


def test_overcast_wall_sees_half_the_sky_and_half_the_ground():
    frame = WEATHER.frame.assign(dni_w_m2=0.0, ghi_w_m2=100.0, dhi_w_m2=100.0)
    wall = plane_w_m2(Weather(AXIS, frame), HERE, 90.0, 180.0)
    noon = AXIS.minute_of_day == 12 * 60
    assert wall[noon] == pytest.approx(np.full(noon.sum(), 50.0 + 0.2 * 50.0)), "isotropic without beam, albedo 0.2"


def test_south_gets_more_than_east_and_west_and_they_alike():
    year = {
        name: plane_w_m2(WEATHER, HERE, 90.0, angle).sum()
        for name, angle in (("north", 0.0), ("east", 90.0), ("south", 180.0), ("west", 270.0))
    }
    assert year["south"] > 1.2 * year["east"] > 1.2 * year["north"]
    assert year["east"] == pytest.approx(year["west"], rel=0.1)


@settings(max_examples=25, deadline=None)
@given(tilt=st.floats(0.0, 90.0), azimuth=st.floats(0.0, 360.0))
def test_never_at_night_and_never_negative(tilt, azimuth):
    found = plane_w_m2(WEATHER, HERE, tilt, azimuth)
    sun = sun_position(AXIS, HERE.latitude_deg, HERE.longitude_deg, HERE.altitude_m)
    assert found.min() >= 0.0
    assert np.all(found[sun.zenith_deg > 97.5] == 0.0)
    assert found.max() < 1400.0


def test_radiation_recorded_at_night_is_struck_out():
    frame = WEATHER.frame.assign(ghi_w_m2=50.0, dhi_w_m2=50.0, dni_w_m2=50.0)
    midnight = AXIS.minute_of_day == 0
    assert np.all(plane_w_m2(Weather(AXIS, frame), HERE, 30.0, 180.0)[midnight] == 0.0)


def test_equator_facing_side_turns_round_in_the_south():
    axis = TimeAxis("Pacific/Auckland", 2025, 60)
    place = inland_site(latitude_deg=-37.0, longitude_deg=175.0, zone="Pacific/Auckland", country="NZ")
    climate = {key: values[6:] + values[:6] for key, values in INLAND.items()}
    weather = synthesise(place, months(climate, radiation_kwh_m2=None), axis)
    assert plane_w_m2(weather, place, 40.0, 0.0).sum() > 1.2 * plane_w_m2(weather, place, 40.0, 180.0).sum()


# Windows


def test_window_gain_by_hand():
    one = window_gain_kw(WEATHER, HERE, [window()])
    expected = plane_w_m2(WEATHER, HERE, 90.0, 180.0) * 2.0 * 0.6 * 0.7 * GLASS_OBLIQUE / 1000.0
    assert one == pytest.approx(expected)


def test_window_gains_add_up_and_no_window_is_no_gain():
    pair = [window(), window(azimuth_deg=90.0, area_m2=1.0)]
    together = window_gain_kw(WEATHER, HERE, pair)
    assert together == pytest.approx(sum(window_gain_kw(WEATHER, HERE, [one]) for one in pair))
    assert np.all(window_gain_kw(WEATHER, HERE, []) == 0.0)


def test_average_climate_of_the_regulation_gives_its_order_of_gain():
    """A south window through a German heating season: own band, 150 to 400 kWh/m² of pane area on the wall."""
    season = np.isin(AXIS.month, (10, 11, 12, 1, 2, 3, 4))
    wall = plane_w_m2(WEATHER, HERE, 90.0, 180.0)[season].sum() / 1000.0
    assert 300.0 < wall < 500.0
