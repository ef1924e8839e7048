"""EPW files: hours, clocks, typical months, and a head that names a clock its rows don't keep."""

from __future__ import annotations

import pandas as pd
import pytest
from real_weather import PVGIS_CSV, PVGIS_EPW, open_data
from references import Reference

from readers.rows import PLACE, TYPICAL, write_epw, write_pvgis, write_tmy3, year_of_hours
from simkit.errors import DataError
from simkit.readers.epw import read_epw
from simkit.readers.pvgis import read_pvgis
from simkit.readers.tmy3 import read_tmy3


def refusal(path) -> str:
    with pytest.raises(DataError) as caught:
        read_epw(path)
    assert caught.value.exit_code == 3
    return str(caught.value)


def test_hours_end_labels_and_clock(tmp_path):
    frame, found = read_epw(write_epw(tmp_path / "a.epw", year_of_hours()))
    assert frame.index[0] == pd.Timestamp("2022-12-31 23:00", tz="UTC")
    assert len(frame) == found.rows == 8760
    assert (found.kind, found.clock, found.label, found.years, found.typical) == (
        "EPW",
        "UTC+01:00",
        "end",
        (2023,),
        False,
    )
    assert (found.latitude_deg, found.longitude_deg, found.altitude_m) == PLACE
    assert frame["humidity"].between(0.5, 1.0).all()
    assert found.sun_offset_h == pytest.approx(0.0, abs=0.1)
    assert found.shifted_h == 0.0
    assert found.sentences() == (
        "a.epw is read as EPW: 8,760 rows of 60 minutes, 2023, clock UTC+01:00, stamps at the end of the interval.",
    )


def test_typical_months_are_laid_on_one_year(tmp_path):
    frame, found = read_epw(write_epw(tmp_path / "a.epw", year_of_hours(), years=TYPICAL))
    assert found.typical
    assert len(found.years) > 5
    assert frame.index.is_monotonic_increasing
    assert len(frame) == 8760
    assert "typical months of 2004 to 2014" in found.sentences()[0]


@pytest.mark.parametrize(("zone", "moved"), [(2.0, 1.0), (0.0, -1.0), (1.0, 0.0)])
def test_clock_of_the_head_is_held_against_the_sun(tmp_path, zone, moved):
    frame, found = read_epw(write_epw(tmp_path / "a.epw", year_of_hours(), zone=zone))
    assert found.shifted_h == moved
    assert found.sun_offset_h == pytest.approx(-moved, abs=0.1)
    assert frame.index[0] == pd.Timestamp("2022-12-31 23:00", tz="UTC")
    if moved:
        side = "early" if moved > 0 else "late"
        assert found.sentences()[1] == (
            f"The stamps of a.epw are 1 h {side} against the sun in its own radiation, so all rows are moved by "
            f"{format(moved, '+g').replace('-', '−')} h."
        )


def test_half_an_hour_is_a_matter_of_labels_and_only_told(tmp_path):
    _, found = read_epw(write_epw(tmp_path / "a.epw", year_of_hours(shift_h=0.4)))
    assert found.shifted_h == 0.0
    assert found.suspicious == (
        "The stamps of a.epw are 0.40 h late against the sun in its radiation; the sun is taken in the middle of each "
        "step all the same.",
    )


def test_a_wrong_place_is_told(tmp_path):
    path = write_epw(tmp_path / "a.epw", year_of_hours())
    path.write_text(path.read_text().replace(",10.0,1.0,", ",-110.0,1.0,", 1))
    assert refusal(path) == (
        "a.epw: the sun in its radiation stands 8.0 h off the computed sun, more than a wrong clock in a file's head "
        "explains. Check latitude and longitude (west is negative) and the clock of the stamps."
    )


def test_hours_from_0_to_23_are_starts(tmp_path):
    path = write_epw(tmp_path / "a.epw", year_of_hours())
    lines = path.read_text().splitlines()
    for k in range(8, len(lines)):
        fields = lines[k].split(",")
        fields[3] = str(int(fields[3]) - 1)
        lines[k] = ",".join(fields)
    path.write_text("\n".join(lines))
    frame, found = read_epw(path)
    assert found.label == "start"
    assert "Its hours run from 0 to 23, so they are taken as starts." in found.sentences()
    assert frame.index[0] == pd.Timestamp("2022-12-31 23:00", tz="UTC")


def test_missing_marks_are_gaps(tmp_path):
    frame = year_of_hours().copy()
    frame.iloc[100, 0] = 99.9
    assert refusal(write_epw(tmp_path / "a.epw", frame)) == (
        "a.epw: 8,760 rows, 1 step without a value at 2023-01-05 03:00 to 04:00 UTC (outdoor_c), and gaps are not filled "
        "silently. Mend the file, or set bridge_hours = 1 under [weather] for a straight line over gaps."
    )


def test_a_file_without_radiation_is_taken(tmp_path):
    frame = year_of_hours().copy()
    frame[["ghi_w_m2", "dni_w_m2", "dhi_w_m2"]] = 9999
    read, found = read_epw(write_epw(tmp_path / "a.epw", frame))
    assert tuple(read.columns) == found.columns == ("outdoor_c", "humidity")
    assert found.sun_offset_h is None


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            lambda text: text.replace("LOCATION", "PLACE", 1),
            'a.epw: the first line begins with "PLACE,Invented,-,XXX", and an EPW file begins with "LOCATION". Name '
            "the right file, or say its format under [weather] format.",
        ),
        (
            lambda text: text.replace(",50.0,10.0,", ",north,10.0,", 1),
            "a.epw: its LOCATION line doesn't hold latitude, longitude, clock and altitude in its seventh to tenth "
            "fields. Fetch the file again.",
        ),
        (
            lambda text: "\n".join(text.splitlines()[:8]),
            'a.epw: the file has no rows after a "DATA PERIODS" line. Fetch the file again: it seems cut short.',
        ),
        (
            lambda text: text.replace("DATA PERIODS,1,1", "DATA PERIODS,1,4", 1),
            "a.epw: 4 records an hour are not one, the only form read here. Take the hourly version of the file.",
        ),
        (
            lambda text: "\n".join(text.splitlines()[:8] + ["1,2,3"] * 9),
            "a.epw: its rows don't have the columns of an EPW file. Fetch the file again: lines were cut or the "
            "columns "
            "changed.",
        ),
        (
            lambda text: text.replace("2023,1,1,5,", "2023,1,x,5,", 1),
            "a.epw: 1 row without a readable date. Fetch the file again: it seems damaged.",
        ),
        (
            lambda text: text.replace("2023,2,28,5,", "2023,2,31,5,", 1),
            "a.epw: 2023-2-31 in row 1397 is no day of the calendar. Mend or take out the row.",
        ),
    ],
)
def test_damaged_files(tmp_path, change, sentence):
    path = write_epw(tmp_path / "a.epw", year_of_hours())
    path.write_text(change(path.read_text()))
    assert refusal(path) == sentence


def test_no_29_february_in_typical_months(tmp_path):
    path = write_epw(tmp_path / "a.epw", year_of_hours(), years=TYPICAL)
    text = path.read_text().replace(",2,28,5,", ",2,29,5,", 1)
    path.write_text(text)
    assert "is no day of the calendar of typical months, which have no 29 February." in refusal(path)


def test_epw_and_csv_of_one_place_agree():
    """The EPW says UTC+01:00 in its head, and its rows are the UTC rows of the CSV."""
    source = "own: PVGIS TMY 45° N 8° E, SARAH3/ERA5 (PVGIS © European Union, 2001-2025), from both files"
    (epw, found), (csv, _) = read_epw(open_data(PVGIS_EPW)), read_pvgis(open_data(PVGIS_CSV))
    assert found.shifted_h == 1.0
    for frame in (epw, csv):
        Reference(1435.861, source, 0.001, "sum of printed values").check(frame["ghi_w_m2"].sum() / 1000.0)
        Reference(13.564, source, 0.0006, "printed to a thousandth").check(frame["outdoor_c"].mean())
    pd.testing.assert_frame_equal(epw, csv, check_exact=False, atol=0.006, check_freq=False)


@pytest.mark.parametrize(
    ("write", "read", "cells"), [(write_epw, read_epw, 35), (write_tmy3, read_tmy3, 7), (write_pvgis, read_pvgis, 10)]
)
def test_a_decimal_comma_never_moves_values_into_another_column(tmp_path, write, read, cells):
    lines = write(tmp_path / "a.csv", year_of_hours()).read_text(encoding="utf-8").splitlines()
    place = next(k for k, line in enumerate(lines) if line.count(",") >= cells - 1 and k > 20)
    lines[place:] = [line.replace(".", ",", 1) for line in lines[place:]]
    path = tmp_path / "b.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(
        DataError, match=rf"b\.csv: {cells + 1} cells in row \d+ of its data are more than the {cells} "
    ):
        read(path)
