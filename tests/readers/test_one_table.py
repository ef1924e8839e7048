"""One and the same stamped table, in the notations that people use, gives every reader the same times and values."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from simkit.clock import TimeAxis
from simkit.errors import DataError
from simkit.meter.reading.reading import read_meter
from simkit.profiles.household_file import kw_from_file
from simkit.readers.plain_csv import read_plain
from simkit.readers.prices import prices_on
from simkit.readers.table import read_table
from simkit.tariff.tariff import PriceSeries

ZONE = "Europe/Dublin"
AXIS = TimeAxis(ZONE, 2025, 60)
VALUES = np.round(1.0 + 0.9 * np.sin(np.arange(AXIS.steps) / 3.7), 3)  # invented: any of kWh, °C and a price
HEAD = ("start", "use kWh")

NOTATIONS = {
    "UTC": ("%Y-%m-%dT%H:%M:%SZ", ",", ".", "utc"),
    "UTC without a mark": ("%Y-%m-%d %H:%M", ",", ".", "utc"),
    "offsets": ("%Y-%m-%dT%H:%M:%S%z", ";", ",", "local"),
    "an offset of hours": ("%Y-%m-%d %H:%M:%S.000+00", "\t", ",", "utc"),
    "wall time, points and commas": ("%d.%m.%Y %H:%M", ";", ",", "local"),
    "wall time, the month first": ("%m/%d/%Y %I:%M %p", ",", ".", "local"),
    "wall time, the month by name": ("%d-%b-%Y %H:%M", "|", ".", "local"),
    "wall time, two digits of the year": ("%d/%m/%y %H.%M", "\t", ".", "local"),
    "wall time, a date and a time apart": ("%Y-%m-%d|%H:%M", "|", ",", "local"),
    "seconds of a minute that is not full": ("%Y-%m-%d %H:%M", ",", ".", "utc"),
    "digits alone": ("%Y%m%d%H%M", ";", ".", "utc"),
    "digits and a colon": ("%Y%m%d:%H%M", ";", ",", "local"),
    "seconds since 1970": ("%s", ";", ".", "utc"),
    "intervals": ("%Y-%m-%dT%H:%MZ/PT1H", ",", ".", "utc"),
}


def written(folder: Path, notation: str, *, comments: bool = False, newest_first: bool = False) -> tuple[Path, str]:
    form, separator, decimal, clock = NOTATIONS[notation]
    shown = AXIS.utc.tz_convert(ZONE) if clock == "local" else AXIS.utc
    if form == "%s":
        stamps = [str(int(stamp.timestamp())) for stamp in AXIS.utc]
    elif "full" in notation:
        stamps = [f"{stamp - pd.Timedelta(seconds=1):%Y-%m-%d %H:%M:%S}" for stamp in AXIS.utc]
    else:
        stamps = list(shown.strftime(form))
    values = [f"{value:.3f}".replace(".", decimal) for value in VALUES]
    rows = [f"{stamp}{separator}{value}" for stamp, value in zip(stamps, values, strict=True)]
    head = separator.join((HEAD[0], "time", HEAD[1]) if "apart" in notation else HEAD)
    before = ["# made up for a test", "Site of the meter", ""] if comments else []
    rows = rows[::-1] if newest_first else rows
    lines = [*before, head, *rows[:50], *(["# a remark", ""] if comments else []), *rows[50:], ""]
    path = folder / "table.csv"
    path.write_bytes(("\ufeff" if comments else "").encode() + "\r\n".join(lines).encode())
    return path, clock


def read_by_all(path: Path, clock: str) -> dict[str, np.ndarray]:
    """Values on the hours of the year, in UTC, by reader."""
    meter = read_meter(path, zone=ZONE, mapping={"clock": clock} if clock == "local" else None).frame["import_kwh"]
    weather, _ = read_plain(path, columns={"outdoor_c": HEAD[1]}, label="start", clock=clock, zone=ZONE)
    terms = {"name": "x", "file": str(path), "per": "kWh", "interval_minutes": 60, "clock": clock}
    prices = prices_on(AXIS, PriceSeries.model_validate(terms), currency="EUR").per_kwh
    hours = pd.DatetimeIndex(AXIS.utc)
    return {
        "meter": meter.reindex(hours).to_numpy(),
        "weather": weather["outdoor_c"].reindex(hours).to_numpy(),
        "prices": prices,
    }


@pytest.mark.parametrize("notation", NOTATIONS)
def test_one_notation_is_read_alike_by_all(tmp_path: Path, notation: str) -> None:
    path, clock = written(tmp_path, notation)
    for reader, found in read_by_all(path, clock).items():
        np.testing.assert_allclose(found, VALUES, rtol=1e-12, err_msg=reader)
    told = NOTATIONS[notation][0].endswith(("Z", "%z", "+00", "PT1H", "%s"))
    if told or clock == "local":  # a household's file without offsets is in wall time
        np.testing.assert_allclose(kw_from_file(AXIS, path), VALUES, rtol=1e-12)


@pytest.mark.parametrize("newest_first", [False, True])
def test_remarks_blank_lines_and_the_newest_first_change_nothing(tmp_path: Path, newest_first: bool) -> None:
    path, clock = written(tmp_path, "wall time, points and commas", comments=True, newest_first=newest_first)
    for reader, found in read_by_all(path, clock).items():
        np.testing.assert_allclose(found, VALUES, rtol=1e-12, err_msg=reader)
    np.testing.assert_allclose(kw_from_file(AXIS, path), VALUES, rtol=1e-12)


@pytest.mark.parametrize(
    "raw", [b"", b"\n \n", b"\xef\xbb\xbf", b"\xff\xfe\n\x00"], ids=["nothing", "blank", "a mark", "two"]
)
def test_a_file_with_nothing_in_it_is_empty(tmp_path, raw):
    (tmp_path / "a.csv").write_bytes(raw)
    with pytest.raises(DataError, match=r"^a\.csv: the file is empty\. "):
        read_table(tmp_path / "a.csv")


def test_a_file_of_separators_alone_holds_no_row(tmp_path):
    (tmp_path / "a.csv").write_text(";;;\n;;;\n")
    with pytest.raises(DataError, match=r"holds no row with a date and a number beside it"):
        read_table(tmp_path / "a.csv")
