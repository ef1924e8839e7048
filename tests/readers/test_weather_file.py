"""The format is told from the text; a file that isn't what it is said to be is answered."""

from __future__ import annotations

import pytest
from real_weather import GREENSBORO, in_package

from readers.rows import PLACE, write_epw, write_pvgis, write_tmy3, year_of_hours
from readers.test_plain_csv import COLUMNS, table
from simkit.case.home.weather import Columns, WeatherSource
from simkit.errors import DataError
from simkit.readers.weather_file import format_of, read_weather

WRITERS = {"epw": write_epw, "tmy3": write_tmy3, "pvgis": write_pvgis}
PLAIN = {"label": "start", "clock": "+01:00", "columns": Columns(**COLUMNS)}


def refusal(path, **keys) -> str:
    with pytest.raises(DataError) as caught:
        read_weather(path, source=WeatherSource(file=path.name, **keys))
    return str(caught.value)


@pytest.mark.parametrize("kind", WRITERS)
def test_format_is_found_whatever_the_name(tmp_path, kind):
    path = WRITERS[kind](tmp_path / "weather.txt", year_of_hours())
    assert format_of(path.read_text()) == kind
    assert read_weather(path)[1].kind == kind.upper()
    assert read_weather(path, source=WeatherSource(file="weather.txt", format=kind))[1].kind == kind.upper()


def test_plain_table_with_its_words(tmp_path):
    path = tmp_path / "a.csv"
    table().to_csv(path, index=False)
    frame, found = read_weather(path, source=WeatherSource(file="a.csv", format="csv", **PLAIN), place=PLACE)
    assert (found.kind, len(frame)) == ("CSV", 8760)


def test_bridging_goes_through(tmp_path):
    hours = year_of_hours().copy()
    hours.iloc[100, 0] = 99.9
    path = write_epw(tmp_path / "a.epw", hours)
    assert read_weather(path, source=WeatherSource(file="a.epw", bridge_hours=1))[1].bridged_steps == 1


@pytest.mark.parametrize(
    ("said", "wrote", "what"),
    [("epw", "pvgis", "a typical year from PVGIS"), ("pvgis", "tmy3", "a TMY3 file"), ("tmy3", "epw", "an EPW file")],
)
def test_a_file_that_is_something_else(tmp_path, said, wrote, what):
    path = WRITERS[wrote](tmp_path / "a.dat", year_of_hours())
    assert refusal(path, format=said) == (
        f'a.dat: format = "{said}" is said, and the file is {what}. Write format = "{wrote}", or name the right file.'
    )


def test_a_picture_of_words_said_to_be_epw(tmp_path):
    path = tmp_path / "a.epw"
    path.write_text("Dear neighbour,\nhere is the file.\n")
    assert refusal(path, format="epw").startswith(
        'a.epw: the first line begins with "Dear neighbour,", and an EPW file'
    )


def test_a_plain_table_without_its_words(tmp_path):
    path = tmp_path / "a.csv"
    table().to_csv(path, index=False)
    assert refusal(path) == (
        "a.csv: the file is a plain table or no weather at all, and [weather] doesn't say its label, clock, columns. "
        "Say "
        'label = "start", "middle" or "end", clock = "utc", "local" or "+01:00", and columns = {outdoor_c = ..}.'
    )


def test_empty_file(tmp_path):
    path = tmp_path / "a.epw"
    path.write_text("")
    assert refusal(path).startswith("a.epw: the file is empty.")


def test_a_real_tmy3_file():
    assert read_weather(in_package(*GREENSBORO))[1].kind == "TMY3"
