"""TMY3 files, real ones from an installed package among them."""

from __future__ import annotations

import pandas as pd
import pytest
from real_weather import GREENSBORO, SAND_POINT, in_package
from references import Reference

from readers.rows import TYPICAL, write_tmy3, year_of_hours
from simkit.errors import DataError
from simkit.readers.tmy3 import read_tmy3


def refusal(path) -> str:
    with pytest.raises(DataError) as caught:
        read_tmy3(path)
    return str(caught.value)


@pytest.mark.parametrize(
    ("name", "zone_h", "latitude", "longitude"), [(GREENSBORO, -5, 36.1, -79.95), (SAND_POINT, -9, 55.317, -160.517)]
)
def test_real_files(name, zone_h, latitude, longitude):
    path = in_package(*name)
    frame, found = read_tmy3(path)
    raw = pd.read_csv(path, skiprows=1)
    assert len(frame) == 8760
    assert found.typical
    assert found.clock == f"UTC-0{-zone_h}:00"
    assert (found.latitude_deg, found.longitude_deg) == (latitude, longitude)
    source = "own: column sums of the file itself (NSRDB TMY3, as the package pvlib carries it)"
    Reference(raw["GHI (W/m^2)"].sum(), source, 0.5, "same numbers").check(frame["ghi_w_m2"].sum())
    Reference(raw["Dry-bulb (C)"].mean(), source, 1e-6, "same numbers").check(frame["outdoor_c"].mean())
    Reference(0.0, "own: its stamps are known to be right", 0.1, "the search has steps of 0.05 h").check(
        found.sun_offset_h
    )
    first = raw.iloc[0]
    assert (first["Date (MM/DD/YYYY)"][:5], first["Time (HH:MM)"]) == ("01/01", "01:00")
    assert frame.index[0] == pd.Timestamp("2001-01-01 00:00", tz="UTC") - pd.Timedelta(hours=zone_h)


def test_invented_file_reads_as_written(tmp_path):
    hours = year_of_hours()
    frame, found = read_tmy3(write_tmy3(tmp_path / "a.csv", hours, TYPICAL))
    assert found.typical
    assert frame.index[0] == pd.Timestamp("2000-12-31 23:00", tz="UTC")
    for name in ("outdoor_c", "ghi_w_m2", "dni_w_m2", "dhi_w_m2"):
        assert frame[name].to_numpy() == pytest.approx(hours[name].to_numpy())
    assert frame["humidity"].to_numpy() == pytest.approx(hours["humidity"].to_numpy(), abs=6e-4)


def test_a_file_of_one_year_is_that_year(tmp_path):
    frame, found = read_tmy3(write_tmy3(tmp_path / "a.csv", year_of_hours()))
    assert not found.typical
    assert frame.index[0] == pd.Timestamp("2022-12-31 23:00", tz="UTC")
    assert frame["outdoor_c"].to_numpy() == pytest.approx(year_of_hours()["outdoor_c"].to_numpy())


def test_marks_of_missing_values_are_gaps(tmp_path):
    hours = year_of_hours().copy()
    hours.iloc[50:52, 2] = -9900
    assert refusal(write_tmy3(tmp_path / "a.csv", hours)) == (
        "a.csv: 8,760 rows, 2 steps without a value at 2023-01-03 01:00 to 03:00 UTC (ghi_w_m2), and gaps are not "
        "filled silently. Mend the file, or set bridge_hours = 2 under [weather] for a straight line over gaps."
    )


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            lambda text: text.replace(",1.0,50.0,", ",one,50.0,", 1),
            "a.csv: its first line doesn't hold clock, latitude, longitude and altitude in its fourth to seventh "
            "fields. "
            "Name the right file, or say its format under [weather] format.",
        ),
        (
            lambda text: text.replace("Dry-bulb (C)", "Dry-bulb (F)", 1),
            "a.csv: the file lacks Dry-bulb (C) of a TMY3 file. Name the right file, or say its format under [weather] "
            "format.",
        ),
        (
            lambda text: text.replace("01/01/2023,05:00", "01/01/2023,5 am", 1),
            'a.csv: "01/01/2023 5 am" in row 5 is not a date MM/DD/YYYY with a time HH:MM. Fetch the file again.',
        ),
    ],
)
def test_damaged_files(tmp_path, change, sentence):
    path = write_tmy3(tmp_path / "a.csv", year_of_hours())
    path.write_text(change(path.read_text()))
    assert refusal(path) == sentence
