"""PVGIS files of a typical year."""

from __future__ import annotations

import pandas as pd
import pytest
from real_weather import PVGIS_CSV, open_data

from readers.rows import PLACE, TYPICAL, write_pvgis, year_of_hours
from simkit.errors import DataError
from simkit.readers.pvgis import read_pvgis


def refusal(path) -> str:
    with pytest.raises(DataError) as caught:
        read_pvgis(path)
    return str(caught.value)


def in_utc() -> pd.DataFrame:
    """The invented year moved by an hour, so that its stamps are UTC."""
    return year_of_hours().shift(-1).ffill()


def test_invented_file(tmp_path):
    hours = in_utc()
    frame, found = read_pvgis(write_pvgis(tmp_path / "a.csv", hours, TYPICAL))
    assert (found.kind, found.clock, found.label, found.typical) == ("PVGIS", "UTC", "start", True)
    assert (found.latitude_deg, found.longitude_deg, found.altitude_m) == PLACE
    assert frame.index[0] == pd.Timestamp("2001-01-01", tz="UTC")
    assert frame["outdoor_c"].to_numpy() == pytest.approx(hours["outdoor_c"].to_numpy())
    assert found.sun_offset_h == pytest.approx(0.0, abs=0.1)
    assert (
        found.sentences()[1] == "Its radiation is that of the instant 30 minutes after each stamp, held over the hour."
    )


def test_offset_of_a_real_file_is_found_from_its_own_sun():
    _, found = read_pvgis(open_data(PVGIS_CSV))
    assert found.notes == ("Its radiation is that of the instant 11 minutes after each stamp, held over the hour.",)
    assert found.sun_offset_h == pytest.approx(0.5 - 0.1761, abs=0.06), "PVGIS © European Union, 2001-2025: 0.1761 h"
    assert found.shifted_h == 0.0


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            lambda text: text.replace("time(UTC)", "time", 1),
            'a.csv: the file has no column "time(UTC)", as a typical year from PVGIS has. Fetch the typical '
            "meteorological year (TMY) as CSV; hourly series of tilted planes are not read.",
        ),
        (
            lambda text: text.replace("T2m,RH,G(h)", "T2m,RH,G(i)", 1),
            "a.csv: the file lacks G(h) of a typical year from PVGIS. Fetch the typical meteorological year (TMY) as "
            "CSV "
            "again.",
        ),
        (
            lambda text: text.replace("Elevation", "Height", 1),
            "a.csv: the head of the file lacks latitude, longitude or elevation. Fetch the file again.",
        ),
        (
            lambda text: text.replace("20230101:0400", "2023-01-01 04:00", 1),
            'a.csv: "2023-01-01 04:00" in row 5 is not a stamp such as 20180131:0700. Fetch the file again.',
        ),
        (
            lambda text: text.replace("20230101:0400,", "20230101:0400,1,2,3,4,5,6,7,8,9,10,11,12,", 1),
            "a.csv: 22 cells in row 6 of its data are more than the 10 of its format: a decimal comma, or two rows run "
            "together. Fetch the file again, or write decimals with a point.",
        ),
    ],
)
def test_damaged_files(tmp_path, change, sentence):
    path = write_pvgis(tmp_path / "a.csv", in_utc())
    path.write_text(change(path.read_text()))
    assert refusal(path) == sentence
