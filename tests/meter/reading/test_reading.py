"""Ten and more layouts of the same data give one result; what can't be read says why, and nothing is filled in."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from meter.written import AUTUMN, LAYOUTS, SPRING, ZONE, put, truth, utc_start, wide_times_total
from simkit.errors import CaseError, DataError
from simkit.meter.reading.mapping import read_mapping, write_mapping
from simkit.meter.reading.reading import Readings, read_meter


def _read(folder: Path, text: str, **more: object) -> Readings:
    return read_meter(put(folder, text), zone=ZONE, **more)  # type: ignore[arg-type]


def _refused(folder: Path, text: str, **more: object) -> str:
    before = sorted(folder.iterdir())
    with pytest.raises(DataError) as refused:
        _read(folder, text, **more)
    assert set(folder.iterdir()) - set(before) <= {folder / "readings.csv"}
    return str(refused.value)


@pytest.mark.parametrize("days", [SPRING, AUTUMN])
@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda f: f.__name__)
def test_every_layout_gives_the_same_readings(
    tmp_path: Path, layout: Callable[[pd.Series], str], days: tuple[str, str]
) -> None:
    expected = truth(days)
    found = _read(tmp_path, layout(expected))
    assert found.quantities == ("import_kwh",)
    made = found.frame["import_kwh"]
    assert made.index.equals(expected.index)
    lost = 2 if (layout is wide_times_total and days == AUTUMN) else 0  # 48 columns can't hold a day of 50
    assert int(made.isna().sum()) == lost == sum(gap.steps for gap in found.report.gaps)
    good = made.notna().to_numpy()
    np.testing.assert_allclose(
        made.to_numpy()[good], expected.to_numpy()[good], atol=6e-4
    )  # Wh and kW are rounded in the file
    assert found.report.contradictions == found.report.spikes == found.report.negatives == 0


def test_days_of_46_48_and_50_rows_are_told_and_placed(tmp_path: Path) -> None:
    for days, day, count in ((SPRING, "2025-03-30", 46), (AUTUMN, "2025-10-26", 50)):
        found = _read(tmp_path, LAYOUTS[1](truth(days)))
        assert found.report.change_days == ((day, count),)
        daily = found.daily("import_kwh")
        inside = truth(days)
        local = inside.index.tz_convert(ZONE).tz_localize(None).normalize()
        np.testing.assert_allclose(daily.to_numpy(), inside.groupby(local).sum().to_numpy(), atol=1e-9)


@pytest.mark.parametrize("offset", ["-04:00", "+05:30"])
def test_stamps_behind_and_ahead_of_utc_name_the_same_instants(tmp_path: Path, offset: str) -> None:
    expected = truth()
    local = expected.index.tz_convert(offset)
    rows = [f"{t:%Y-%m-%d %H:%M},{v:.3f}" for t, v in zip(local, expected, strict=True)]
    for ending, said in ((offset, None), ("", {"clock": offset})):
        text = "\n".join(["start,energy (kWh)", *(row.replace(",", f"{ending},", 1) for row in rows)]) + "\n"
        made = _read(tmp_path, text, mapping=said).frame["import_kwh"]
        assert made.index.equals(expected.index)
        np.testing.assert_allclose(made.to_numpy(), expected.to_numpy(), atol=1e-9)


def test_a_day_counts_with_a_quarter_of_an_hour_missing_and_not_with_half_an_hour(tmp_path: Path) -> None:
    """own: a fiftieth of 24 hours are 28.8 minutes."""
    stamps = pd.date_range("2025-02-01", periods=4 * 96, freq="15min", tz="UTC")
    rows = [f"{t:%Y-%m-%dT%H:%M}Z,0.1{k % 7}0" for k, t in enumerate(stamps)]
    kept = [row for k, row in enumerate(rows) if k not in (100, 200, 210)]  # one of the second day, two of the third
    daily = _read(tmp_path, "\n".join(["start,energy (kWh)", *kept]) + "\n").daily("import_kwh")
    assert daily.isna().tolist() == [False, False, True, False]


def test_a_gap_stays_a_gap_and_is_told(tmp_path: Path) -> None:
    lines = utc_start(truth()).splitlines()
    found = _read(tmp_path, "\n".join(lines[:101] + lines[149:]))
    assert found.frame["import_kwh"].isna().sum() == 48
    assert [str(gap) for gap in found.report.gaps] == ["2025-03-12 02:00 to 2025-03-13 02:00 UTC"]
    assert found.report.gaps[0].steps == 48
    assert not found.report.is_good
    assert found.daily("import_kwh").isna().sum() == 2


def test_doubtful_values_are_counted_and_left_out(tmp_path: Path) -> None:
    lines = utc_start(truth()).splitlines()
    lines[5] = lines[5].split(",")[0] + ",99.0"
    lines[6] = lines[6].split(",")[0] + ",-0.4"
    lines[7] = lines[7].split(",")[0] + ",-999"
    lines[8] = lines[8].split(",")[0] + ","
    lines += [lines[20], lines[21].split(",")[0] + ",3.2", "Total,1234.5"]
    report = _read(tmp_path, "\n".join(lines)).report
    assert (report.spikes, report.negatives, report.duplicates, report.contradictions) == (1, 1, 1, 1)
    assert sum(gap.steps for gap in report.gaps) == 5
    assert report.unread == {"totals": 1}


def test_time_that_goes_backwards_is_put_in_order_and_told(tmp_path: Path) -> None:
    expected = truth()
    lines = utc_start(expected).splitlines()
    moved = [*lines[:1], *lines[700:], *lines[1:700]]
    found = _read(tmp_path, "\n".join(moved))
    np.testing.assert_allclose(found.frame["import_kwh"].to_numpy(), expected.to_numpy())
    assert any("Time goes backwards 1 times" in note and "all are kept" in note for note in found.report.notes)


def test_a_years_hole_is_one_gap(tmp_path: Path) -> None:
    first, second = truth(), truth(("2026-03-10", "2026-03-20"))
    found = _read(tmp_path, utc_start(pd.concat([first, second])))
    assert len(found.report.gaps) == 1
    assert found.report.gaps[0].steps == (second.index[0] - first.index[-1]) // pd.Timedelta("30min") - 1


def test_manual_readings_at_odd_dates_with_two_registers_a_roll_over_and_a_swap(tmp_path: Path) -> None:
    text = (
        "date;day register kWh;night register kWh\n01.11.2025;99 210,5;40 100\n19.11.2025;99 602,0;40 230\n"
        "04.12.2025;6,5;40 400\n22.12.2025;420,0;40 612\n09.01.2026;12,0;3,0\n28.01.2026;390,0;190,5\n"
    )
    found = _read(tmp_path, text)
    use = found.frame["import_kwh"]
    np.testing.assert_allclose(use.to_numpy()[:3], [391.5 + 130, 404.5 + 170, 413.5 + 212])
    assert np.isnan(use.iloc[3])
    assert use.iloc[4] == pytest.approx(378 + 187.5)
    assert (found.report.rolled, found.report.swapped) == (1, 2)
    assert found.step_minutes == 0
    assert "Readings without a time of day are taken at noon: half a day either way at most." in found.report.notes


def test_gas_in_volume_needs_its_energy_and_is_turned_into_it(tmp_path: Path) -> None:
    text = "time,gas m3\n" + "".join(
        f"2025-01-{d:02d} {h:02d}:00,{0.1 * (h % 5):.1f}\n" for d in range(1, 9) for h in range(24)
    )
    assert _refused(tmp_path, text) == (
        "readings.csv: gas in m3 is a volume, and its energy depends on the gas: nothing was kept. "
        "Say kwh_per_unit, kWh a m³ gross as the gas bill states it (volume correction × calorific value / 3.6)."
    )
    # 1 m³ at 39.5 MJ/m³ is 11.2206 kWh gross: 1.02264 × CV / 3.6 (UK billing, SI 1996/439)
    found = _read(tmp_path, text, kwh_per_unit=1.02264 * 39.5 / 3.6)
    volume = 8 * sum(0.1 * (h % 5) for h in range(24))
    assert found.frame["fuel_kwh"].sum() == pytest.approx(11.2206 * volume, rel=1e-5)
    hundred = _read(tmp_path, text.replace("gas m3", "gas hcf"), kwh_per_unit=11.2206)
    assert hundred.frame["fuel_kwh"].sum() == pytest.approx(2.83 * 11.2206 * volume, rel=1e-3)  # 100 ft³ = 2.83 m³


def test_volume_labelled_kwh_is_found_by_the_bill(tmp_path: Path) -> None:
    s = truth(("2025-03-01", "2025-04-01"))
    text = utc_start(s / 11.2).replace("energy (kWh)", "gas (kWh)")
    billed = float(s.sum())
    said = _refused(tmp_path, text, bill_kwh={"2025-03": billed})
    assert "it is in m³ and was read as kWh; nothing was kept" in said
    assert said.endswith("Say its unit in the mapping: columns.fuel_kwh.unit.")
    assert "Say its unit" not in str(_read(tmp_path, utc_start(s), bill_kwh={"2025-03": billed}))


def test_months_are_held_against_a_bill(tmp_path: Path) -> None:
    s = truth(("2025-03-01", "2025-04-10"))
    march = float(s[s.index.tz_convert(ZONE).month == 3].sum())
    report = _read(tmp_path, utc_start(s), bill_kwh={"2025-03": march * 1.02, "2025-04": 500.0}).report
    assert [check.month for check in report.against_bill] == ["2025-03", "2025-04"]
    assert report.against_bill[0].covered == pytest.approx(1.0)
    assert report.against_bill[1].covered == pytest.approx(9 / 30)
    assert report.against_bill[0].read_kwh == pytest.approx(march)
    assert report.against_bill[0].billed_kwh == pytest.approx(1.02 * march)


def test_a_controller_log_of_several_columns(tmp_path: Path) -> None:
    rows = "".join(
        f"2025-01-{d:02d} {h:02d}:00;{1 + h % 3};{3 * (1 + h % 3)};{4.5 + 0.1 * h:.1f};{20 + 0.05 * h:.2f};35,1\n".replace(".", ",")
        for d in range(1, 6) for h in range(24)
    )  # fmt: skip
    found = _read(
        tmp_path, "time;heat pump electricity kWh;heat produced kWh;outdoor °C;room °C;flow rate l/min\n" + rows
    )
    assert found.quantities == ("heat_pump_kwh", "heat_kwh", "outdoor_c", "room_c")
    assert found.frame["heat_kwh"].sum() == 3 * found.frame["heat_pump_kwh"].sum()
    assert found.frame["outdoor_c"].iloc[10] == pytest.approx(5.5)


def test_a_heat_meters_totals_become_uses(tmp_path: Path) -> None:
    text = "time,heat meter total kWh\n" + "".join(
        f"2025-01-{d:02d} {h:02d}:00,{20_000 + 24 * d + h}\n" for d in range(1, 9) for h in range(24)
    )
    found = _read(tmp_path, text)
    assert found.quantities == ("heat_kwh",)
    np.testing.assert_allclose(found.frame["heat_kwh"].to_numpy(), 1.0)


def test_two_meters_import_and_export_and_mixed_units(tmp_path: Path) -> None:
    s = truth()
    lines = [f"{t:%Y-%m-%dT%H:%M}Z,{name},{v:.3f}" for t, v in s.items() for name in ("A17", "B20")]
    said = _refused(tmp_path, "start,meter id,kWh\n" + "\n".join(lines))
    assert said == (
        "readings.csv: the file holds 2 meters (A17, B20), and their readings would be added up; none was kept. "
        'Choose one in the mapping: meter = "A17".'
    )
    chosen = _read(tmp_path, "start,meter id,kWh\n" + "\n".join(lines), mapping={"meter": "B20"})
    np.testing.assert_allclose(chosen.frame["import_kwh"].to_numpy(), s.to_numpy())
    both = "start,direction,kWh\n" + "\n".join(
        f"{t:%Y-%m-%dT%H:%M}Z,{way},{v:.3f}" for t, v in s.items() for way in ("import", "export")
    )
    assert _read(tmp_path, both).quantities == ("import_kwh", "export_kwh")
    plain = "start,kWh\n" + "\n".join(f"{t:%Y-%m-%dT%H:%M}Z,{v + k:.3f}" for t, v in s.items() for k in (0, 1))
    assert "two meters or two homes, or import and export, are in one file; nothing was kept" in _refused(
        tmp_path, plain
    )
    netted = _read(tmp_path, utc_start(s - 0.5))
    assert netted.quantities == ("import_kwh", "export_kwh")
    assert any("netted in one column" in note for note in netted.report.notes)
    mixed = "start,use,unit\n" + "\n".join(
        f"{t:%Y-%m-%dT%H:%M}Z,{v * (1000 if k % 2 else 1):.3f},{'Wh' if k % 2 else 'kWh'}"
        for k, (t, v) in enumerate(s.items())
    )
    np.testing.assert_allclose(_read(tmp_path, mixed).frame["import_kwh"].to_numpy(), s.to_numpy(), atol=1e-6)


def test_what_is_no_file_of_readings_says_so(tmp_path: Path) -> None:
    assert _refused(tmp_path, "") == (
        "readings.csv: the file is empty. Fetch or export it again; a file of a year has thousands of lines."
    )
    assert _refused(tmp_path, "hello\nworld\n") == (
        "readings.csv: the file holds no row with a date and a number beside it; nothing was read. "
        "Export it as a table: a date and time, and a value, in each row."
    )
    (tmp_path / "binary.csv").write_bytes(bytes(range(256)) * 40)
    with pytest.raises(DataError, match="is binary, and plain text is needed"):
        read_meter(tmp_path / "binary.csv", zone=ZONE)
    with pytest.raises(DataError, match="is not there"):
        read_meter(tmp_path / "nowhere.csv", zone=ZONE)


def test_a_file_of_200_mb_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "huge.csv"
    with path.open("wb") as file:
        file.truncate(200_000_000)
    with pytest.raises(DataError) as refused:
        read_meter(path, zone=ZONE)
    assert str(refused.value) == (
        "huge.csv: the file of 200 MB is larger than 60 MB, which thirty years of half-hours don't fill; nothing of it "
        "was read. Export one meter or one place, and fewer years."
    )


def test_a_truncated_file_keeps_its_whole_rows(tmp_path: Path) -> None:
    s = truth()
    text = utc_start(s)
    found = _read(tmp_path, text[: len(text) // 2])
    assert 0 < len(s) // 2 - found.report.used <= 1
    assert not found.report.gaps


def test_a_mapping_is_remembered_and_read_back(tmp_path: Path) -> None:
    found = _read(tmp_path, LAYOUTS[2](truth()))
    write_mapping(found.mapping, tmp_path / "mapping.toml")
    held = read_mapping(tmp_path / "mapping.toml")
    assert held["label"] == "end"
    assert held["columns"]["import_kwh"]["unit"] == "Wh"
    again = read_meter(tmp_path / "readings.csv", zone=ZONE, mapping=tmp_path / "mapping.toml")
    pd.testing.assert_frame_equal(again.frame, found.frame)
    (tmp_path / "wrong.toml").write_text('labell = "end"\ndecimal = "x"\n')
    with pytest.raises(CaseError) as refused:
        read_mapping(tmp_path / "wrong.toml")
    assert str(refused.value).splitlines() == [
        "wrong.toml: labell is not a key of a mapping. Perhaps label is meant.",
        'wrong.toml: decimal = "x" is none of the choices. Write one of: ".", ",".',
    ]
    with pytest.raises(DataError, match='column "engery" is not among the columns of its head'):
        _read(tmp_path, utc_start(truth()), mapping={"columns": {"import_kwh": {"column": "engery"}}})


def test_guesses_say_how_sure_they_are_and_why(tmp_path: Path) -> None:
    layout = _read(tmp_path, LAYOUTS[1](truth())).layout
    assert layout is not None
    guesses = {one.what: (one.answer, one.confidence, one.why) for one in layout.guesses}
    shown = "2025-03-30 lacks the hour that the wall clock skips"
    assert guesses["clock"] == ("wall time in Europe/Dublin", 0.99, shown)
    assert guesses["decimal sign"] == (",", 0.99, "only commas stand in the numbers")


@pytest.mark.parametrize(("unit", "scale", "digits"), [("kWh", 1.0, 1), ("Wh", 1e3, 0), ("MWh", 1e-3, 4)])
def test_a_register_without_a_unit_is_known_by_what_it_rises_in_a_day(
    tmp_path: Path, unit: str, scale: float, digits: int
) -> None:
    days = pd.date_range("2025-01-01", periods=60)
    rows = [f"{day:%d.%m.%Y};{(4000 + 12.3 * k + k * k % 7) * scale:.{digits}f}" for k, day in enumerate(days)]
    found = _read(tmp_path, "date;reading\n" + "\n".join(rows))
    assert found.layout is not None
    assert next(one.answer for one in found.layout.guesses if one.key == "unit") == unit
    assert found.frame["import_kwh"].sum() == pytest.approx(12.3 * 59 + 59 * 59 % 7, abs=0.2)


def test_estimates_are_kept_and_marked(tmp_path: Path) -> None:
    lines = [f"{t:%Y-%m-%dT%H:%M}Z,{v:.3f},{'E' if k < 10 else 'A'}" for k, (t, v) in enumerate(truth().items())]
    found = _read(tmp_path, "start,kWh,status\n" + "\n".join(lines))
    assert found.frame["estimated"].sum() == found.report.estimated == 10


def test_noughts_that_may_be_a_gap_are_told_and_left(tmp_path: Path) -> None:
    s = truth()
    s.iloc[100:200] = 0.0
    found = _read(tmp_path, utc_start(s))
    assert found.report.suspicious == (
        "import_kwh is exactly zero for 50 hours on end: a gap may have been written as 0.",
    )
    assert (found.frame["import_kwh"] == 0).sum() == 100


def test_two_years_of_half_hours_are_not_slow(tmp_path: Path) -> None:
    path = put(tmp_path, LAYOUTS[1](truth(("2024-01-01", "2026-01-01"))))
    began = time.perf_counter()
    found = read_meter(path, zone=ZONE)
    assert found.report.used == 35_088  # own: 731 days; the measured promise stands in tests/bench
    assert time.perf_counter() - began < 5.0


def test_a_mapping_keeps_what_the_data_prove_and_asks_again_for_the_rest(tmp_path: Path) -> None:
    london = "Europe/London"

    def rows(first: str, last: str) -> str:  # wall time
        stamps = pd.date_range(first, last, freq="30min", tz=london, inclusive="left")
        return "start,import kWh\n" + "\n".join(f"{stamp:%Y-%m-%d %H:%M},0.25" for stamp in stamps) + "\n"

    winter = read_meter(put(tmp_path, rows("2025-01-10", "2025-02-20")), zone=london)
    assert "clock" not in winter.mapping
    spring = read_meter(put(tmp_path, rows("2025-04-10", "2025-05-20")), zone=london, mapping=winter.mapping)
    assert spring.frame.index[0] == pd.Timestamp("2025-04-09 23:00", tz="UTC")
    told = read_meter(put(tmp_path, rows("2025-03-10", "2025-04-20")), zone=london)
    assert told.mapping["clock"] == "local"
    assert told.mapping["label"] == "start"  # the rows begin at midnight and end one interval before it
    lines = rows("2025-03-10", "2025-04-20").splitlines()
    morning = "\n".join(["time,import kWh", *lines[18:-9]])
    assert "label" not in read_meter(put(tmp_path, morning), zone=london).mapping
    ordered = read_meter(
        put(tmp_path, "time,import kWh\n" + "\n".join(f"0{k}/03/2025 00:00,9" for k in range(1, 8))), zone=london
    )
    assert "order" not in ordered.mapping  # no thirteenth month tells day from month


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ("time = nan", "a.toml: time = nan is no text. Write it as it stands in the file, in quotes, such as \"Date\"."),
        ("kwh_per_unit = 0", "a.toml: kwh_per_unit = 0 is no energy of a unit of fuel. Write kWh a m³ gross, as"),
        ("columns = 3", "a.toml: columns says something else than column, unit and register. Write column = \"its head\", and if you"),
        ("columns.import_kwh = true", "a.toml: columns.import_kwh says something else than column, unit and register. Write column"),
        ("columns.import_kwh.column = [1]", "a.toml: columns.import_kwh says something else than column, unit and register."),
    ],
)  # fmt: skip
def test_a_mapping_that_says_nothing(tmp_path: Path, said: str, sentence: str) -> None:
    (tmp_path / "a.toml").write_text(said)
    with pytest.raises(CaseError) as caught:
        read_mapping(tmp_path / "a.toml")
    assert str(caught.value).startswith(sentence)


def test_numbers_of_which_none_can_be_read_are_no_readings(tmp_path: Path) -> None:
    rows = [f"{day:02d}.03.2025;{1000 + 12 * day},5" for day in range(1, 29)]
    path = put(tmp_path, "date;reading kWh\n" + "\n".join(rows))
    with pytest.raises(DataError, match="the rows hold no reading that could be understood"):
        read_meter(path, zone=ZONE, mapping={"decimal": "."})
