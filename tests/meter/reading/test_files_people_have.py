"""More of the files that people have, beside the layouts of half-hours: bills, swaps, loggers, mixed units, two meters."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from meter.written import ZONE, put, truth, utc_start
from simkit.errors import DataError
from simkit.meter.reading.reading import Readings, read_meter


def _read(folder: Path, text: str, **more: object) -> Readings:
    return read_meter(put(folder, text), zone=ZONE, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "last", [("31.01.2025", "28.02.2025", "31.03.2025"), ("01.02.2025", "01.03.2025", "01.04.2025")]
)
def test_bills_with_a_start_an_end_and_an_estimate(tmp_path: Path, last: tuple[str, str, str]) -> None:
    text = (
        f"from;to;kWh;type;price\n01.01.2025;{last[0]};812;actual;0,29\n01.02.2025;{last[1]};900;estimated;0,29\n"
        f"01.03.2025;{last[2]};1640;actual;0,33\n"
    )
    found = _read(tmp_path, text)
    assert found.frame["import_kwh"].tolist() == [812.0, 900.0, 1640.0]
    days = (found.frame["end"] - found.frame.index) / pd.Timedelta(days=1)
    np.testing.assert_allclose(days, [31.0, 28.0, 31.0 - 1 / 24])  # March has the day of 23 hours
    assert found.frame["estimated"].tolist() == [False, True, False]
    assert found.report.estimated == 1


def test_bills_that_overlap_say_so(tmp_path: Path) -> None:
    text = "from,to,kWh\n2025-01-01,2025-02-10,812\n2025-02-01,2025-02-28,700\n2025-03-01,2025-03-31,640\n"
    assert any("begin before the one above has ended" in note for note in _read(tmp_path, text).report.suspicious)


def test_a_meter_swapped_with_both_readings_of_that_day_loses_nothing(tmp_path: Path) -> None:
    text = (
        "date,meter serial,reading kWh\n2025-01-01,A1,9100\n2025-02-01,A1,9800\n2025-03-01,A1,10300\n"
        "2025-03-01,B7,2\n2025-04-01,B7,402\n2025-05-01,B7,702\n"
    )
    found = _read(tmp_path, text)
    assert found.frame["import_kwh"].tolist() == [700.0, 500.0, 400.0, 300.0]
    assert found.report.swapped == 1


def test_a_room_logger_with_humidity_and_one_in_fahrenheit(tmp_path: Path) -> None:
    stamps = [f"2025-01-{20 + k // 24:02d} {k % 24:02d}:00" for k in range(72)]
    text = "Timestamp;Temperature(C);Humidity(%)\n" + "\n".join(f"{t};{20 + k % 5 / 10:.1f};45" for k, t in enumerate(stamps))  # fmt: skip
    assert _read(tmp_path, text).quantities == ("room_c",)
    text = "time,room °F,outdoor °F\n" + "\n".join(f"{t},68.0,{32 + k % 9}" for k, t in enumerate(stamps))
    found = _read(tmp_path, text)
    assert found.quantities == ("room_c", "outdoor_c")
    np.testing.assert_allclose(found.frame["room_c"], 20.0)  # 68 °F is 20 °C by definition, 32 °F is 0 °C
    assert found.frame["outdoor_c"].iloc[0] == pytest.approx(0.0)
    assert found.report.spikes == 0


def test_a_controllers_whole_kwh_by_the_day_and_by_the_hour(tmp_path: Path) -> None:
    text = "Date,Consumed (kWh),Produced (kWh)\n" + "".join(f"2025-01-{k:02d},{20 + k % 3},{60 + k % 5}\n" for k in range(1, 31))  # fmt: skip
    found = _read(tmp_path, text)
    assert found.quantities == ("import_kwh", "heat_kwh")
    assert found.frame["heat_kwh"].sum() == sum(60 + k % 5 for k in range(1, 31))
    text = "time,heat pump electricity total kWh\n" + "".join(
        f"2025-01-{1 + h // 24:02d} {h % 24:02d}:00,{5000 + int(0.8 * h)}\n" for h in range(240)
    )
    hours = _read(tmp_path, text)
    assert hours.quantities == ("heat_pump_kwh",)
    assert hours.frame["heat_pump_kwh"].sum() == int(0.8 * 239)
    assert set(hours.frame["heat_pump_kwh"]) == {0.0, 1.0}


def test_quarter_hours_that_never_change_are_no_counter(tmp_path: Path) -> None:
    stamps = pd.date_range("2025-01-01", "2025-01-06", freq="15min")
    found = _read(tmp_path, "time (UTC),kWh\n" + "\n".join(f"{t:%Y-%m-%d %H:%M},0.2" for t in stamps))
    assert found.step_minutes == 15
    assert found.report.totals_kwh["import_kwh"] == pytest.approx(0.2 * len(stamps))


def test_wh_and_kwh_mixed_in_one_column_are_told(tmp_path: Path) -> None:
    s = truth()
    values = [v * (1000 if k >= 1500 else 1) for k, v in enumerate(s)]
    report = _read(tmp_path, utc_start(pd.Series(values, s.index))).report
    said = next(sentence for sentence in report.suspicious if "a thousand times" in sentence)
    assert said == (
        f"{len(s) - 1500} values of import_kwh are about a thousand times the others, first at "
        f"{s.index[1500]:%Y-%m-%d %H:%M} UTC: Wh and kWh are mixed in one column. "
        "They are left out; cut the file where its unit changes."
    )
    assert report.used == 1500
    assert not report.is_good


def test_two_meters_beside_each_other_are_said_to_be_added(tmp_path: Path) -> None:
    s = truth()
    text = "start (UTC),meter 1 kWh,meter 2 kWh\n" + "\n".join(f"{t:%Y-%m-%d %H:%M},{v:.3f},{2 * v:.3f}" for t, v in s.items())  # fmt: skip
    found = _read(tmp_path, text)
    assert found.frame["import_kwh"].sum() == pytest.approx(3 * s.sum(), rel=1e-3)
    assert (
        "2 columns are added up as import_kwh (meter 1 kWh, meter 2 kWh): where they are two homes, or one holds the "
        "other, name the right one in a mapping." in found.report.notes
    )


@pytest.mark.parametrize("start", [b"\x1f\x8b\x08\x00", b"PK\x03\x04"])
def test_packed_files_and_spreadsheets_are_refused(tmp_path: Path, start: bytes) -> None:
    path = tmp_path / "readings.csv"
    path.write_bytes(start + bytes(range(256)) * 20)
    with pytest.raises(DataError, match="packed file, and plain text is needed"):
        read_meter(path, zone=ZONE)
    assert path.read_bytes().startswith(start)


def test_text_of_other_encodings_is_read(tmp_path: Path) -> None:
    s = truth()
    path = tmp_path / "readings.csv"
    path.write_bytes(utc_start(s).encode("utf-16"))
    np.testing.assert_allclose(read_meter(path, zone=ZONE).frame["import_kwh"], s.to_numpy())
    path.write_bytes("Zeit;Raum °C\n".encode("latin-1") + b"".join(b"01.02.2025 %02d:00;20,5\n" % h for h in range(24)))
    assert read_meter(path, zone=ZONE).quantities == ("room_c",)


def test_volume_labelled_kwh_is_suspected_without_a_bill_too(tmp_path: Path) -> None:
    rng = np.random.default_rng(4)
    kwh = 70.0 + 25.0 * rng.normal(size=60)
    days = pd.date_range("2025-01-01", periods=60)
    labelled = "date,gas kWh\n" + "\n".join(f"{d:%Y-%m-%d},{v / 11.2:.2f}" for d, v in zip(days, kwh, strict=True))
    said = _read(tmp_path, labelled).report.suspicious
    assert len(said) == 1
    assert said[0].startswith("fuel_kwh comes to 6.") or said[0].startswith("fuel_kwh comes to 5.")
    assert "kWh a day: if the file is in m³, it is about " in said[0]
    right = "date,gas kWh\n" + "\n".join(f"{d:%Y-%m-%d},{v:.1f}" for d, v in zip(days, kwh, strict=True))
    assert not _read(tmp_path, right).report.suspicious
