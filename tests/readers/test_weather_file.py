"""The format is told from the text; a file that isn't what it is said to be is answered."""

from __future__ import annotations

from pathlib import Path

import pytest
from real_weather import GREENSBORO, in_package

from readers.rows import PLACE, write_epw, write_pvgis, write_tmy3, year_of_hours
from readers.test_plain_csv import COLUMNS, table
from simkit.case.home.weather import Columns, WeatherSource
from simkit.errors import MESSAGE_CHARACTERS, DataError, Fault
from simkit.readers.epw import read_epw
from simkit.readers.pvgis import read_pvgis
from simkit.readers.tmy3 import read_tmy3
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


NASTY = ("nan", "inf", "1e400", "9" * 400, "-" + "9" * 400, "9" * 25, "1e18", "9999", "25", "1_000", "x" * 1000)


@pytest.mark.parametrize(
    ("write", "read", "spots"),
    [
        (write_epw, read_epw, [(0, 6), (0, 7), (0, 8), (0, 9), (4000, 0), (4000, 1), (4000, 3), (4000, 6), (4000, 13)]),
        (write_tmy3, read_tmy3, [(0, 3), (0, 4), (0, 6), (4000, 0), (4000, 1), (4000, 4)]),
        (write_pvgis, read_pvgis, [(4000, 0), (4000, 1), (4000, 3)]),
    ],
    ids=["epw", "tmy3", "pvgis"],
)
def test_no_cell_of_a_weather_file_is_more_than_a_fault(tmp_path: Path, write, read, spots) -> None:
    """A place off the Earth, a year 9999, hundreds of digits: refused in words, or the row is missing; never more."""
    text = write(tmp_path / "a", year_of_hours()).read_text(encoding="utf-8").splitlines()
    for k, (line, place) in enumerate(spots):
        for cell in (NASTY[(2 * k) % len(NASTY)], NASTY[(2 * k + 1) % len(NASTY)]):
            cells = text[line].split(",")
            cells[place] = cell
            changed = [*text[:line], ",".join(cells), *text[line + 1 :]]
            refused: tuple[Fault, ...] = ()
            try:
                _, found = read(tmp_path / "a", text="\n".join(changed) + "\n")
            except DataError as error:
                refused = error.faults
            assert all(len(str(one)) <= MESSAGE_CHARACTERS for one in refused)
            assert refused or found.gaps or found.suspicious or float(cell) < 1e3, (line, place, cell)
