"""Panels against published values, arithmetic by hand, measured yields and pvlib's own plant model."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from real_weather import german_year
from references import Reference
from weather.climates import INLAND, inland_site, months

from simkit.case.home.site import Site
from simkit.case.power.solar import Losses, Solar, SolarArray
from simkit.clock import TimeAxis
from simkit.readers.found import Found
from simkit.solar.sun import INVERTER_EFFICIENCY, array_and_clipped_kw, combined_loss, plane_w_m2, sun_position
from simkit.validation.published import published
from simkit.weather.hours import from_series
from simkit.weather.monthly import synthesise
from simkit.weather.record import Weather

AXIS = TimeAxis("Europe/Berlin", 2025, 60)
HERE = inland_site()
WEATHER = synthesise(HERE, months(INLAND), AXIS)
YIELDS, YIELD_ROWS = published("pv_specific_yield")
DOBOS = "Dobos 2014, PVWatts Version 5 Manual (NREL/TP-6A20-62641)"
USUAL_LOSSES = Losses(dirt=0.02, shade=0.03, wiring=1.0 - 0.98 * 0.98 * 0.995 * 0.985 * 0.99, downtime=0.03)


def plant(*, kwp=1.0, tilt=35.0, azimuth=180.0, inverter=1.0, losses=USUAL_LOSSES, **more) -> Solar:
    array = SolarArray(kwp=kwp, tilt_deg=tilt, azimuth_deg=azimuth)
    return several((array,), inverter_kw=inverter, losses=losses, **more)


def several(arrays, *, inverter_kw=1.0, losses=USUAL_LOSSES, **more) -> Solar:
    new = {"age_years": 0.0, "ageing_per_year": 0.005}
    return Solar(array=arrays, inverter_kw=inverter_kw, losses=losses, **(new | more))


def array_kw(weather: Weather, site: Site, solar: Solar) -> np.ndarray:
    return array_and_clipped_kw(weather, site, solar)[0]


def strong(sun_w_m2: float, outdoor_c: float) -> Weather:
    """Weather of one unlikely kind: all light diffuse, so that a level plane sees just it."""
    frame = WEATHER.frame.assign(dni_w_m2=0.0, ghi_w_m2=sun_w_m2, dhi_w_m2=sun_w_m2, outdoor_c=outdoor_c)
    return Weather(AXIS, frame)


def test_chain_by_hand_on_a_level_panel():
    """Diffuse light only, so that every step of the chain can be done on paper."""
    from pvlib import iam, temperature

    lossless = Losses(dirt=0.0, shade=0.0, wiring=0.0, downtime=0.0)
    found = array_kw(strong(800.0, 10.0), HERE, plant(kwp=2.0, tilt=0.0, inverter=10.0, losses=lossless))
    noon = int(np.flatnonzero(AXIS.minute_of_day == 720)[180])
    cell = 800.0 * np.exp(-2.98 - 0.0471) + 10.0 + 0.8
    assert cell == pytest.approx(
        float(
            temperature.sapm_cell(
                800.0, 10.0, 1.0, **temperature.TEMPERATURE_MODEL_PARAMETERS["sapm"]["close_mount_glass_glass"]
            )
        )
    )
    dc_kw = 2.0 * 0.8 * float(iam.physical(58.0)) * (1.0 - 0.0035 * (cell - 25.0))
    load = dc_kw / (10.0 / INVERTER_EFFICIENCY)
    efficiency = INVERTER_EFFICIENCY / 0.9637 * (-0.0162 * load - 0.0059 / load + 0.9858)
    source = f"own arithmetic on {DOBOS}: inverter curve with 0.9637, -0.0162, -0.0059, 0.9858"
    Reference(dc_kw * efficiency, source, 1e-9, "same formulas").check(float(found[noon]))


def test_inverter_limits_and_losses_multiply():
    bright = strong(1000.0, 0.0)
    small = array_kw(bright, HERE, plant(kwp=5.0, tilt=0.0, inverter=2.0))
    assert small.max() == pytest.approx(2.0)
    lossless = Losses(dirt=0.0, shade=0.0, wiring=0.0, downtime=0.0)
    half = Losses(dirt=0.5, shade=0.0, wiring=0.0, downtime=0.5)
    assert combined_loss(half) == 0.75
    big = [array_kw(bright, HERE, plant(tilt=0.0, inverter=50.0, losses=losses)).sum() for losses in (lossless, half)]
    assert big[1] < 0.26 * big[0]


def test_cold_makes_panels_better():
    cold, hot = (array_kw(strong(600.0, celsius), HERE, plant(tilt=0.0)).sum() for celsius in (0.0, 30.0))
    Reference(1.0 + 30.0 * 0.0035, "own: -0.35 % a kelvin", 0.02, "relative to 25 °C, inverter curve").check(cold / hot)


def test_two_arrays_share_one_inverter():
    east, west = (SolarArray(kwp=1.0, tilt_deg=30.0, azimuth_deg=angle) for angle in (90.0, 270.0))
    both = several((east, west))
    found = array_kw(WEATHER, HERE, both)
    alone = [array_kw(WEATHER, HERE, several((one,))) for one in (east, west)]
    assert found.max() <= 1.0 + 1e-9
    assert found.sum() == pytest.approx(sum(part.sum() for part in alone), rel=0.05)


def test_held_hours_give_the_same_year_on_shorter_steps():
    """Mid-step sun on held radiation: own bound, 1 % of a year."""
    quarter = synthesise(HERE, months(INLAND), TimeAxis("Europe/Berlin", 2025, 15))
    fine, hourly = array_kw(quarter, HERE, plant()).sum() / 4.0, array_kw(WEATHER, HERE, plant()).sum()
    assert fine == pytest.approx(hourly, rel=0.01)


def on_real_year(region: int) -> tuple[Weather, Site]:
    """A German test reference year on an axis of its own clock."""
    year = german_year(region)
    axis = TimeAxis("Etc/GMT-1", 2010, 60)
    place = inland_site(
        latitude_deg=year.latitude_deg, longitude_deg=year.longitude_deg, altitude_m=year.altitude_m, zone="Etc/GMT-1"
    )
    frame = pd.DataFrame(
        {"outdoor_c": year.outdoor_c, "humidity": year.humidity, "ghi_w_m2": year.ghi_w_m2, "dhi_w_m2": year.dhi_w_m2},
        index=axis.utc,
    )
    found = Found(
        file="year",
        kind="CSV",
        rows=axis.steps,
        first=axis.utc[0],
        last=axis.utc[-1],
        step_minutes=60,
        clock="UTC+01:00",
        label="end",
        years=(2010,),
        typical=False,
        columns=tuple(frame.columns),
    )
    return from_series(place, frame, found, axis), place


@pytest.mark.parametrize("region", [4, 9, 12])
def test_german_yield_and_performance_ratio(region):
    """Roofs of all kinds against a good one: the ratio to the radiation on the plane is the stricter check."""
    weather, place = on_real_year(region)
    measured = next(row for row in YIELD_ROWS if row["country"] == "Germany")
    produced = array_kw(weather, place, plant()).sum()
    ratio = produced / (plane_w_m2(weather, place, 35.0, 180.0).sum() / 1000.0)
    specific = float(measured["specific_yield_kWh_per_kWp"])
    reason = "12 %: years of 1988-2007 had less sun than 2015-2019, a good roof instead of all roofs"
    Reference(specific, YIELDS, 0.12 * specific, reason).check(produced)
    Reference(float(measured["performance_ratio"]), YIELDS, 0.04, "own losses, mean of all roofs").check(ratio)


# Invented monthly radiation [kWh/m²] and temperatures of the right order for the middle of each country.
COUNTRIES = {
    "Netherlands": (52.2, 5.3, 1050.0, 10.5),
    "Belgium": (50.6, 4.7, 1070.0, 10.5),
    "Luxembourg": (49.7, 6.1, 1100.0, 9.8),
    "Germany": (50.5, 10.0, 1110.0, 9.8),
    "France": (46.5, 2.5, 1290.0, 12.0),
    "Italy": (43.0, 12.5, 1490.0, 14.5),
}


@pytest.mark.parametrize("row", YIELD_ROWS, ids=lambda row: row["country"])
def test_measured_yields_of_countries(row):
    """Made-up climates: yearly radiation and temperature are ours, invented for the latitude; hence a band."""
    latitude, longitude, radiation, mean = COUNTRIES[row["country"]]
    place = inland_site(latitude_deg=latitude, longitude_deg=longitude, design_outdoor_c=mean - 17.0)
    clear = np.array([0.38, 0.44, 0.50, 0.55, 0.57, 0.58, 0.59, 0.58, 0.55, 0.48, 0.40, 0.35])
    from simkit.weather.sky import heaven

    monthly = clear * heaven(AXIS, latitude, longitude, 80.0).month_clear_kwh_m2
    climate = {
        "mean_c": tuple(mean - 8.5 * np.cos(2.0 * np.pi * (np.arange(12) - 0.5) / 12.0)),
        "daily_range_k": (8.0,) * 12,
        "humidity": (0.75,) * 12,
        "radiation_kwh_m2": tuple(monthly * radiation / monthly.sum()),
    }
    weather = synthesise(place, months(climate), AXIS)
    produced = array_kw(weather, place, plant(tilt=30.0)).sum()
    ratio = produced / (plane_w_m2(weather, place, 30.0, 180.0).sum() / 1000.0)
    measured = float(row["specific_yield_kWh_per_kWp"])
    reason = "15 %: an invented climate, and a good roof instead of the mean of all roofs"
    Reference(measured, YIELDS, 0.15 * measured, reason).check(produced)
    Reference(float(row["performance_ratio"]), YIELDS, 0.05, "own losses, mean of all roofs").check(ratio)


def test_a_horizon_takes_the_low_sun_and_a_free_one_takes_nothing():
    """A skyline of 0° all round changes no digit; a sun below a higher one sends no beam."""
    from simkit.case.power.solar import HorizonPoint

    def ring(height):
        return tuple(HorizonPoint(azimuth_deg=float(angle), height_deg=height) for angle in (0, 90, 180, 270))

    free, low, high = (array_kw(WEATHER, HERE, plant(horizon=ring(height))) for height in (0.0, 12.0, 80.0))
    bare = array_kw(WEATHER, HERE, plant())
    assert np.allclose(free, bare, atol=1e-12)
    sun = sun_position(AXIS, HERE.latitude_deg, HERE.longitude_deg, HERE.altitude_m)
    hidden = (90.0 - sun.zenith_deg < 12.0) & (bare > 0.02)
    diffuse = array_kw(Weather(AXIS, WEATHER.frame.assign(dni_w_m2=0.0)), HERE, plant())
    assert np.all(low[hidden] <= diffuse[hidden] + 1e-12)
    assert 0.80 < low.sum() / bare.sum() < 0.98
    assert high.sum() < 0.1 * bare.sum()


def test_shade_by_month_and_age_take_their_share():
    bare = array_kw(WEATHER, HERE, plant(inverter=50.0, losses=LOSSLESS))
    shaded = array_kw(WEATHER, HERE, plant(inverter=50.0, losses=LOSSLESS, shade_by_month=(0.5, *([0.0] * 10), 1.0)))
    january, december, rest = (AXIS.month == 1), (AXIS.month == 12), (AXIS.month > 1) & (AXIS.month < 12)
    assert np.all(shaded[december] == 0.0)
    assert shaded[january].sum() < 0.5 * bare[january].sum()
    assert np.array_equal(shaded[rest], bare[rest])
    old = array_kw(WEATHER, HERE, plant(age_years=20.0))
    new = array_kw(WEATHER, HERE, plant())
    reason = "the inverter's limit takes less of aged panels"
    Reference(0.995**20, "own arithmetic: 0.5 % of what is left, each year", 0.01, reason).check(old.sum() / new.sum())


def test_weather_without_radiation_is_said_and_panels_take_the_made_up_sun(tmp_path):
    """A file that lacks every radiation: a home with panels is told what is missing and what stands for it."""
    from decide.invented import ROOF, terrace
    from readers.rows import write_epw, year_of_hours

    from simkit.case.build import vary
    from simkit.year.simulate import simulate

    dark = year_of_hours().copy()
    dark[["ghi_w_m2", "dni_w_m2", "dhi_w_m2"]] = 9999  # the mark of a missing value in an EPW file
    path = write_epw(tmp_path / "dark.epw", dark)
    year = simulate(vary(terrace(), {"weather": {"file": str(path)}, "solar": ROOF}))
    assert any("dark.epw has no global radiation: it is estimated from latitude" in note for note in year.notes)
    # own: 4 kWp facing south in the middle latitudes of Europe give 700 to 1,300 kWh/kWp under any sun
    assert 700.0 < year.totals["solar"] / 4.0 < 1300.0


LOSSLESS = Losses(dirt=0.0, shade=0.0, wiring=0.0, downtime=0.0)


def test_nothing_at_night_even_where_radiation_was_recorded():
    frame = WEATHER.frame.assign(ghi_w_m2=50.0, dhi_w_m2=50.0, dni_w_m2=50.0)
    assert np.all(array_kw(Weather(AXIS, frame), HERE, plant())[AXIS.minute_of_day == 0] == 0.0)
