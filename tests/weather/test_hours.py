"""Weather from files on the axis of a case: columns completed, assumptions told, real years kept."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from readers.rows import PLACE, TYPICAL, write_epw, write_pvgis, year_of_hours
from readers.test_plain_csv import table
from real_weather import DUBLIN_2017, GREENSBORO, PVGIS_CSV, PVGIS_EPW, german_year, in_package, open_data
from references import Reference

from simkit.case.home.weather import Columns, WeatherSource
from simkit.clock import TimeAxis
from simkit.errors import DataError
from simkit.notation import PLAIN
from simkit.solar.sun import sun_position
from simkit.weather.degree_days import BY_HOURS, DAILY_MEAN, monthly_degree_days, on_days
from simkit.weather.hours import weather_on
from simkit.weather.record import COLUMNS as OURS
from weather.climates import inland_site, site

BERLIN = TimeAxis("Europe/Berlin", 2023, 60)
HERE = inland_site(latitude_deg=PLACE[0], longitude_deg=PLACE[1], altitude_m=PLACE[2], design_outdoor_c=-3.5)


def plain(file: str, **columns) -> WeatherSource:
    return WeatherSource(file=file, format="csv", label="start", clock="+01:00", columns=Columns(**columns))


def write_table(folder, **columns):
    rows = table()
    hours = year_of_hours()
    rows["beam"], rows["sky"] = hours["dni_w_m2"].to_numpy(), hours["dhi_w_m2"].to_numpy()
    rows.to_csv(folder / "a.csv", index=False)
    return plain("a.csv", time="when", outdoor_c="temp", **columns)


def test_a_real_year_from_an_epw_file(tmp_path):
    write_epw(tmp_path / "a.epw", year_of_hours())
    weather = weather_on(HERE, WeatherSource(file="a.epw"), BERLIN, folder=tmp_path)
    assert tuple(weather.frame.columns) == OURS
    assert weather.frame.index.equals(BERLIN.utc)
    assert weather.frame["outdoor_c"].to_numpy() == pytest.approx(year_of_hours()["outdoor_c"].to_numpy())
    assert weather.notes == (
        "a.epw is read as EPW: 8,760 rows of 60 minutes, 2023, clock UTC+01:00, stamps at the end of the interval.",
    )


def test_wrong_head_and_right_head_give_the_same_weather(tmp_path):
    write_epw(tmp_path / "right.epw", year_of_hours(), years=TYPICAL)
    write_epw(tmp_path / "wrong.epw", year_of_hours(), zone=2.0, years=TYPICAL)
    pair = [weather_on(HERE, WeatherSource(file=f"{name}.epw"), BERLIN, folder=tmp_path) for name in ("right", "wrong")]
    assert np.array_equal(pair[0].frame.to_numpy(), pair[1].frame.to_numpy())


def test_epw_and_pvgis_of_one_invented_place_agree(tmp_path):
    """The twin of the check on the open files: same hours, one file in UTC, the other in an hour's clock beside it."""
    hours = year_of_hours()
    rolled = hours.set_axis(hours.index, axis=0).copy()
    rolled[:] = np.roll(hours.to_numpy(), -1, axis=0)
    write_epw(tmp_path / "a.epw", hours, zone=1.0, years=TYPICAL)
    write_pvgis(tmp_path / "a.csv", rolled, TYPICAL)
    epw, pvgis = (weather_on(HERE, WeatherSource(file=f"a.{end}"), BERLIN, folder=tmp_path) for end in ("epw", "csv"))
    assert epw.frame.to_numpy() == pytest.approx(pvgis.frame.to_numpy(), abs=6e-4)


def test_epw_and_pvgis_of_one_real_place_agree():
    place = inland_site(latitude_deg=45.0, longitude_deg=8.0, altitude_m=250.0, zone="Europe/Rome", country="IT")
    axis = TimeAxis("Europe/Rome", 2025, 60)
    source = "own: PVGIS TMY 45° N 8° E (PVGIS © European Union, 2001-2025), from both files"
    pair = [weather_on(place, WeatherSource(file=str(open_data(name))), axis) for name in (PVGIS_CSV, PVGIS_EPW)]
    for weather in pair:
        Reference(1435.861, source, 0.001, "a year of 365 days takes each hour once").check(
            weather.frame["ghi_w_m2"].sum() / 1000.0
        )
        Reference(13.564, source, 0.0006, "printed to a thousandth").check(weather.frame["outdoor_c"].mean())
    assert pair[0].frame.to_numpy() == pytest.approx(pair[1].frame.to_numpy(), abs=0.006)
    assert "are 1 h early against the sun in its own radiation" in pair[1].notes[1]


def test_dublin_2017_keeps_its_degree_days():
    axis = TimeAxis("Europe/Dublin", 2017, 60)
    path = open_data(DUBLIN_2017)
    columns = Columns(outdoor_c="temp_air_C", humidity="rh_pct")
    source = WeatherSource(file=str(path), format="csv", label="start", clock="utc", columns=columns)
    weather = weather_on(site(), source, axis)
    outdoor = weather.frame["outdoor_c"].to_numpy()
    told = "own: Dublin Airport 2017 (Copyright Met Éireann, source www.met.ie, CC BY 4.0), base 15.5 °C"
    Reference(2081.3, told, 0.3, "civil days, 23 and 25 hours among them").check(
        monthly_degree_days(axis, outdoor, 15.5, method=BY_HOURS).sum()
    )
    Reference(2018.9, told, 3.0, "civil days instead of UTC days").check(
        monthly_degree_days(axis, outdoor, 15.5, method=DAILY_MEAN).sum()
    )
    Reference(943.0, f"{told}; measured global radiation", 190.0, "an estimate good to about a fifth").check(
        weather.frame["ghi_w_m2"].sum() / 1000.0
    )
    assert any("has no global radiation" in note for note in weather.notes)


@pytest.mark.parametrize("region", [4, 12])
def test_german_year_keeps_its_figures(tmp_path, region):
    year = german_year(region)
    year.write(tmp_path / "a.csv")
    columns = Columns(outdoor_c="t", humidity="rf", ghi_w_m2="global", dhi_w_m2="diffus")
    source = WeatherSource(file="a.csv", format="csv", label="end", clock="+01:00", columns=columns)
    place = inland_site(latitude_deg=year.latitude_deg, longitude_deg=year.longitude_deg, altitude_m=year.altitude_m)
    axis = TimeAxis("Europe/Berlin", 2025, 60)
    weather = weather_on(place, source, axis, folder=tmp_path)
    told = f"own: German test reference year {region} (DWD 2010)"
    outdoor = weather.frame["outdoor_c"].to_numpy()
    Reference(year.outdoor_c.mean(), told, 1e-6, "each hour once").check(outdoor.mean())
    Reference(year.ghi_w_m2.sum(), told, 1e-3, "each hour once").check(weather.frame["ghi_w_m2"].sum())
    days = on_days(np.repeat(np.arange(365), 24), year.outdoor_c, 15.5, method=BY_HOURS).sum()
    Reference(days, told, 1.0, "the two days of clock changes have another length").check(
        monthly_degree_days(axis, outdoor, 15.5).sum()
    )
    assert weather.notes[-1] == "a.csv has no beam radiation: it is what global and diffuse leave for it."


def test_american_year_on_its_own_clock():
    axis = TimeAxis("America/New_York", 2025, 60)
    place = site(zone="America/New_York", country="US", latitude_deg=36.1, longitude_deg=-79.95, altitude_m=273)
    weather = weather_on(place, WeatherSource(file=str(in_package(*GREENSBORO))), axis)
    raw = pd.read_csv(in_package(*GREENSBORO), skiprows=1)
    source = "own: column sums of the file itself (NSRDB TMY3, as the package pvlib carries it)"
    Reference(raw["GHI (W/m^2)"].sum(), source, 0.5, "each hour once").check(weather.frame["ghi_w_m2"].sum())
    height = sun_position(axis, 36.1, -79.95, 273.0).height
    assert np.corrcoef(height, weather.frame["ghi_w_m2"])[0, 1] > 0.85


@pytest.mark.parametrize("minutes", [30, 15])
def test_hours_are_held_over_shorter_steps(tmp_path, minutes):
    write_epw(tmp_path / "a.epw", year_of_hours())
    source = WeatherSource(file="a.epw")
    fine = weather_on(HERE, source, TimeAxis("Europe/Berlin", 2023, minutes), folder=tmp_path)
    hourly = weather_on(HERE, source, BERLIN, folder=tmp_path)
    assert np.array_equal(fine.frame.to_numpy(), np.repeat(hourly.frame.to_numpy(), 60 // minutes, axis=0))


@pytest.mark.parametrize(
    ("given", "note"),
    [
        ({"ghi_w_m2": "sun", "dni_w_m2": "beam", "dhi_w_m2": "sky"}, None),
        (
            {"ghi_w_m2": "sun", "dhi_w_m2": "sky"},
            "a.csv has no beam radiation: it is what global and diffuse leave for it.",
        ),
        (
            {"ghi_w_m2": "sun", "dni_w_m2": "beam"},
            "a.csv has no diffuse radiation: it is what global and beam leave for it.",
        ),
        (
            {"dni_w_m2": "beam", "dhi_w_m2": "sky"},
            "a.csv has no global radiation: it is beam times the sun's height, plus diffuse.",
        ),
        ({"ghi_w_m2": "sun"}, "a.csv has global radiation only: it is split into beam and diffuse after Erbs."),
    ],
    ids=["all", "without beam", "without diffuse", "without global", "global only"],
)
def test_radiation_is_completed_and_told(tmp_path, given, note):
    weather = weather_on(HERE, write_table(tmp_path, humidity="rh", **given), BERLIN, folder=tmp_path)
    assert weather.notes[1:] == (() if note is None else (note,))
    hours = year_of_hours()
    for name, atol in (("ghi_w_m2", 2.0), ("dni_w_m2", 12.0), ("dhi_w_m2", 2.0)):
        assert weather.frame[name].to_numpy() == pytest.approx(hours[name].to_numpy(), abs=atol)


def test_no_radiation_is_estimated_and_told(tmp_path):
    weather = weather_on(HERE, write_table(tmp_path, humidity="rh"), BERLIN, folder=tmp_path)
    total = weather.frame["ghi_w_m2"].sum() / 1000.0
    assert weather.notes[-1] == (
        "a.csv has no global radiation: it is estimated from latitude and daily range (Hargreaves and Samani, 0.16 "
        "as in "
        f"FAO-56), days of wide range being clear ones: {total:,.0f} kWh/m² in the year, good to about a fifth."
    )
    assert 800.0 < total < 1500.0


def test_estimated_radiation_is_bright_on_days_of_wide_range(tmp_path):
    year = german_year(12)
    year.write(tmp_path / "a.csv")
    source = WeatherSource(
        file="a.csv", format="csv", label="end", clock="+01:00", columns=Columns(outdoor_c="t", humidity="rf")
    )
    place = inland_site(latitude_deg=year.latitude_deg, longitude_deg=year.longitude_deg)
    ghi = weather_on(place, source, TimeAxis("Etc/GMT-1", 2025, 60), folder=tmp_path).frame["ghi_w_m2"].to_numpy()
    made, real = (values.reshape(-1, 24).sum(axis=1) for values in (ghi, year.ghi_w_m2))
    summer = slice(150, 240)
    assert np.corrcoef(made[summer], real[summer])[0, 1] > 0.6, "own: range knows most of a summer day's sun"


def test_no_humidity_is_estimated_and_told(tmp_path):
    weather = weather_on(HERE, write_table(tmp_path, ghi_w_m2="sun"), BERLIN, folder=tmp_path)
    assert weather.notes[1] == (
        "a.csv has no humidity: the dew point is taken as each day's lowest temperature (FAO-56)."
    )
    assert weather.frame["humidity"].between(0.2, 1.0).all()


def test_a_cold_that_is_not_the_case_s_is_remarked_on(tmp_path):
    write_epw(tmp_path / "a.epw", year_of_hours())
    place = HERE.model_copy(update={"design_outdoor_c": -9.0})
    weather = weather_on(place, WeatherSource(file="a.epw"), BERLIN, folder=tmp_path)
    cold = float(np.quantile(weather.frame["outdoor_c"], 0.004))
    assert weather.notes[1] == (
        f"99.6 % of the hours in a.epw are warmer than {PLAIN.number(cold, 1)} °C, and "
        "the case says −9 °C: sizes are judged by the one, the year runs on the other."
    )


def test_a_file_from_far_away_is_remarked_on(tmp_path):
    write_epw(tmp_path / "a.epw", year_of_hours())
    weather = weather_on(site(), WeatherSource(file="a.epw"), BERLIN, folder=tmp_path)
    assert weather.notes[1] == (
        "a.epw is from 50.00° north, 10.00° east, far from the site at 53.40° north, −6.20° east."
    )


def test_a_missing_file_is_looked_for_in_the_folder(tmp_path):
    with pytest.raises(DataError) as caught:
        weather_on(HERE, WeatherSource(file="none.epw"), BERLIN, folder=tmp_path)
    assert str(tmp_path / "none.epw") in str(caught.value)
