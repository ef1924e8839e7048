"""Layouts as utilities, portals and loggers export them, one by one: read right, or told what is wrong."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from meter.reading.invented_meters import PLACES, Home, written
from meter.written import put
from simkit.errors import DataError
from simkit.meter.reading.reading import Readings, read_meter

pytestmark = pytest.mark.short
BRUSSELS = "Europe/Brussels"
DAYS = pd.date_range("2025-01-01", periods=365)
QUARTERS = pd.date_range("2025-01-10", periods=4 * 96, freq="15min")
HOURS = pd.date_range("2025-01-01", periods=31 * 24, freq="h")


def _read(folder: Path, *lines: str, zone: str = BRUSSELS, **more: object) -> Readings:
    return read_meter(put(folder, "\n".join(lines) + "\n"), zone=zone, **more)  # type: ignore[arg-type]


def _told(found: Readings, words: str) -> None:
    """Own: what stands in a warning makes a file one that can't be used as it is."""
    assert any(words in said for said in found.report.suspicious), found.report
    assert not found.report.is_good


@pytest.mark.parametrize("both", [True, False])
def test_day_and_night_registers_as_rows_of_one_file(tmp_path: Path, both: bool) -> None:
    lines = []
    for k, t in enumerate(QUARTERS):
        runs = "Day" if 7 <= t.hour < 22 else "Night"
        for name in ("Day", "Night"):
            for way, value in (("Offtake", 0.1 + 0.01 * (k % 7)), ("Injection", 0.02)):
                if both or name == runs:
                    lines.append(
                        f"{t:%d/%m/%Y;%H:%M:%S};{way} {name};{value if name == runs else 0:.3f};kWh".replace(".", ",")
                    )
    found = _read(tmp_path, "From (date);From (time);Register;Volume;Unit", *lines)
    assert found.quantities == ("import_kwh", "export_kwh")
    assert found.report.totals_kwh["import_kwh"] == pytest.approx(
        sum(0.1 + 0.01 * (k % 7) for k in range(len(QUARTERS)))
    )
    assert found.report.totals_kwh["export_kwh"] == pytest.approx(0.02 * len(QUARTERS))
    assert found.frame["import_kwh"].iloc[3] == pytest.approx(0.13)
    assert found.report.is_good


def test_days_from_midnight_to_midnight_all_year(tmp_path: Path) -> None:
    rows = [f"{t:%Y-%m-%d %H:%M},{t + pd.Timedelta(days=1):%Y-%m-%d %H:%M},{10 + t.day % 3}" for t in DAYS]
    found = _read(tmp_path, "from,to,consumption kWh", *rows)
    assert found.report.used == 365
    assert found.report.totals_kwh["import_kwh"] == sum(10 + t.day % 3 for t in DAYS)
    lengths = (found.frame["end"] - found.frame.index) / pd.Timedelta(hours=1)
    assert sorted(lengths.unique()) == [23.0, 24.0, 25.0]
    assert found.report.is_good


@pytest.mark.parametrize("point", ["1700000000", "1234567890123", "20250101123456"])
def test_the_number_of_a_meter_point_is_no_time(tmp_path: Path, point: str) -> None:
    found = _read(tmp_path, "point,date,kWh", *(f"{point},{t:%Y-%m-%d %H:%M},0.5" for t in HOURS))
    assert found.frame.index[0] == pd.Timestamp("2025-01-01", tz=BRUSSELS)
    assert found.report.totals_kwh == {"import_kwh": pytest.approx(0.5 * len(HOURS))}


def test_a_head_that_says_utc_outweighs_how_files_usually_are(tmp_path: Path) -> None:
    rows = [f"{t + pd.Timedelta(hours=1):%Y-%m-%d %H:%M},{5 + t.hour % 3},{t.hour},{t.day}" for t in HOURS]
    found = _read(tmp_path, "hour ending (UTC),heat (kWh),global radiation (W/m²),wind speed m/s", *rows)
    assert found.frame.index[0] == pd.Timestamp("2025-01-01", tz="UTC")
    assert not found.questions
    assert found.quantities == ("heat_kwh",)
    assert found.report.is_good


@pytest.mark.parametrize(("place", "clock"), [(1, "standard"), (1, "utc"), (9, "standard"), (9, "utc"), (1, "local")])
def test_clocks_that_keep_winter_time_or_utc_are_told_from_wall_time(tmp_path: Path, place: int, clock: str) -> None:
    home = Home(PLACES[place], np.random.default_rng(3))
    zone = home.place.timezone
    starts = pd.date_range("2024-03-01", "2024-05-01", freq="h", tz=zone, inclusive="left").tz_convert("UTC")
    kwh, export = home.both_ways(starts, starts + pd.Timedelta(hours=1))
    stamps = written(starts, clock, home.place, "%Y-%m-%d %H:%M")
    rows = [f"{s},{a:.3f},{b:.3f}" for s, a, b in zip(stamps, kwh, export, strict=True)]
    found = _read(tmp_path, "time,import kWh,export kWh", *rows, zone=zone)
    np.testing.assert_allclose(found.frame["import_kwh"].reindex(starts), kwh, atol=6e-4)
    assert not found.questions
    if clock == "local":  # one stray row in the hour that the wall clock skips never decides
        stray = [*rows, f"{'2024-03-31 02:00' if place == 1 else '2024-04-07 02:00'},0.4,0.0"]
        again = _read(tmp_path, "time,import kWh,export kWh", *stray, zone=zone)
        assert again.layout is not None
        assert again.layout.clock == "local"


def test_columns_beside_each_other_are_read_or_named_and_never_dropped_in_silence(tmp_path: Path) -> None:
    rows = [f"{t:%Y-%m-%dT%H:%M}:00+01:00,0.3,0.4,0.9,{k % 5},17,3" for k, t in enumerate(HOURS)]
    head = (
        "hour start,Electricity 1 (low tariff),Electricity 2 (normal tariff),Gas (kWh),blob,price EUR,flow rate l/min"
    )
    found = _read(tmp_path, head, *rows)
    assert found.report.totals_kwh == {"import_kwh": pytest.approx(0.7 * 744), "fuel_kwh": pytest.approx(0.9 * 744)}
    named = 'Columns that are not read: "price EUR" (another kind of quantity); "flow rate l/min" (another kind of quantity).'
    assert named in found.report.notes
    _told(found, 'column "blob" holds numbers, and nothing says of what: it is not read')


def test_gas_without_a_unit_asks_whether_it_is_energy(tmp_path: Path) -> None:
    rows = [f"{t:%Y-%m-%d %H:%M},0.1{k % 3}" for k, t in enumerate(HOURS)]
    asked = _read(tmp_path, "time,Gas", *rows)
    (question,) = asked.questions
    assert [answer for answer, *_ in question.choices][:2] == ["m3", "kWh"]
    assert asked.frame["fuel_kwh"].iloc[0] == pytest.approx(1.12)  # the likely one, by its size
    said = "A m³ of gas is taken to hold 11.2 kWh gross, as is usual: give what the gas bill states as kwh_per_unit."
    assert said in asked.report.notes
    volume = _read(tmp_path, "time,Gas", *rows, mapping={"unit": "m3"})
    assert (volume.questions, volume.frame["fuel_kwh"].iloc[0]) == ((), pytest.approx(1.12))
    assert _read(tmp_path, "time,Gas", *rows, mapping={"unit": "kWh"}).frame["fuel_kwh"].iloc[0] == pytest.approx(0.10)
    assert _read(tmp_path, "time,Gas", *rows, kwh_per_unit=11.0).frame["fuel_kwh"].iloc[0] == pytest.approx(1.10)


@pytest.mark.parametrize("form", ["%Y-%m-%d", "%d/%m/%Y", "%d.%m.%Y"])
@pytest.mark.parametrize("newest_first", [True, False])
def test_registers_of_the_first_of_each_month_are_months_whichever_end_stands_first(
    tmp_path: Path, form: str, newest_first: bool
) -> None:
    months = pd.date_range("2024-01-01", periods=13, freq="MS")
    rows = [f"{t:{form}};{20_000 + 300 * k}" for k, t in enumerate(months)][:: -1 if newest_first else 1]
    found = _read(tmp_path, "date;meter reading kWh", *rows)
    assert found.frame["import_kwh"].tolist() == [300.0] * 12
    assert found.report.last - found.report.first == pd.Timedelta(days=366)


@pytest.mark.parametrize(("form", "sure"), [("%d/%m/%Y", 1.0), ("%d.%m.%Y", 1.0), ("%Y-%m", 1.0), ("%B %Y", 1.0)])
def test_twelve_monthly_sums_are_no_twelve_days_of_january(tmp_path: Path, form: str, sure: float) -> None:
    months = pd.date_range("2024-01-01", periods=12, freq="MS")
    found = _read(tmp_path, "month,kWh", *(f"{t:{form}},{300 + 7 * k % 12}" for k, t in enumerate(months)))
    assert found.report.totals_kwh["import_kwh"] == sum(300 + 7 * k % 12 for k in range(12))
    assert found.report.last - found.report.first == pd.Timedelta(days=366)
    order = next(one for one in found.layout.guesses if one.what == "order of dates")  # type: ignore[union-attr]
    assert (order.confidence < 0.99) == (form == "%d/%m/%Y")  # a guessed order is among the guesses, and less sure
    assert order.confidence <= sure


def test_twelve_days_of_january_by_an_american_portal_are_days(tmp_path: Path) -> None:
    days = pd.date_range("2024-01-01", periods=12)
    found = _read(
        tmp_path, "date,kWh", *(f"{t:%m/%d/%Y},{20 + 7 * k % 12}" for k, t in enumerate(days)), zone="America/Chicago"
    )
    assert found.report.last - found.report.first == pd.Timedelta(days=12)


def test_holes_in_one_of_several_columns_are_told(tmp_path: Path) -> None:
    rows = [f"{t:%Y-%m-%d %H:%M},{'' if 100 <= k < 110 else 0.5},5.0" for k, t in enumerate(HOURS)]
    found = _read(tmp_path, "start,heat pump (kWh),outdoor temperature (°C)", *rows)
    assert [str(gap) for gap in found.report.gaps] == ["2025-01-05 03:00 to 13:00 UTC (heat_pump_kwh)"]
    assert not found.report.is_good


def test_rows_that_begin_blank(tmp_path: Path) -> None:
    rows = [f"{t:%Y-%m-%d %H:%M},{'' if k < 500 else f'{900 + 0.5 * k:.1f}'}" for k, t in enumerate(HOURS)]
    found = _read(tmp_path, "time,Total electricity used kWh", *rows)
    assert found.report.totals_kwh["import_kwh"] == pytest.approx(0.5 * 243)


@pytest.mark.parametrize("head", [(), ("date,import Wh",)])
def test_watt_hours_by_the_day_with_a_head_and_without(tmp_path: Path, head: tuple[str, ...]) -> None:
    found = _read(tmp_path, *head, *(f"{t:%Y%m%d},{10_514 + t.day}" for t in DAYS))
    assert found.report.totals_kwh["import_kwh"] == pytest.approx(sum(10.514 + t.day / 1000 for t in DAYS))
    assert found.report.used == 365


def test_power_without_a_unit_is_known_by_its_head_and_its_size(tmp_path: Path) -> None:
    rows = [f"{t:%Y-%m-%d %H:%M},{0.3 + 0.1 * (k % 7):.2f}" for k, t in enumerate(QUARTERS)]
    found = _read(tmp_path, "time,mean power", *rows)
    assert found.frame["import_kwh"].iloc[0] == pytest.approx(0.3 / 4)
    used = _read(tmp_path, "time,usage", *rows)
    assert used.frame["import_kwh"].iloc[0] == pytest.approx(0.3)
    unit = next(one for one in used.layout.guesses if one.key == "unit")  # type: ignore[union-attr]
    assert unit.confidence < 0.95  # kWh by custom, and kW could be: it is to be confirmed
    assert [answer for answer, _, _ in unit.choices][:2] == ["kWh", "kW"]


@pytest.mark.parametrize("first", ["Wh", "kWh"])
def test_a_unit_that_changes_half_way_is_told(tmp_path: Path, first: str) -> None:
    values = [(0.4 + 0.1 * (k % 5)) * (1000 if (k < 300) == (first == "Wh") else 1) for k in range(len(HOURS))]
    rows = [f"{t:%Y-%m-%d %H:%M},{v:.3f}" for t, v in zip(HOURS, values, strict=True)]
    _told(_read(tmp_path, "time,usage", *rows), "Wh and kWh are mixed in one column")


def test_rows_whose_separator_changes_are_told(tmp_path: Path) -> None:
    rows = [f"{t:%Y-%m-%d %H:%M}{';' if 300 <= k < 330 else ','}0.5" for k, t in enumerate(HOURS)]
    found = _read(tmp_path, "time,import kWh", *rows)
    assert list(found.report.unread.values()) == [30]  # type: ignore[union-attr]
    assert not found.report.is_good


@pytest.mark.parametrize("cell", ["3 days", "0.3?45", "1,5"])
def test_cells_that_are_no_numbers_are_told(tmp_path: Path, cell: str) -> None:
    rows = [f"{t:%Y-%m-%d %H:%M};{cell if k == 200 else '0.52'}" for k, t in enumerate(HOURS)]
    found = _read(tmp_path, "time;import kWh", *rows)
    assert np.isnan(found.frame["import_kwh"].iloc[200])
    _told(found, f'1 cells of import kWh are no numbers (line 202: "{cell}"): they are gaps.')


def test_a_decimal_comma_among_commas_is_told(tmp_path: Path) -> None:
    rows = [f"{t:%Y-%m-%d %H:%M},{'1,5' if k == 200 else '0.52'}" for k, t in enumerate(HOURS)]
    found = _read(tmp_path, "time,import kWh", *rows)
    assert np.isnan(found.frame["import_kwh"].iloc[200])
    _told(found, "1 rows have a field too many (first in line 202): they are left out.")
    with pytest.raises(DataError, match="decimal commas need semicolons between the fields"):
        _read(tmp_path, "time,import kWh", *(f"{t:%Y-%m-%d %H:%M},0,52" for t in HOURS))


def test_a_fortnight_missing_from_days_is_a_gap(tmp_path: Path) -> None:
    rows = [
        f"{t:%Y-%m-%d},{10 + t.day % 3}"
        for t in DAYS
        if not pd.Timestamp("2025-06-03") <= t < pd.Timestamp("2025-06-17")
    ]
    found = _read(tmp_path, "date,import kWh", *rows)
    assert [gap.steps for gap in found.report.gaps] == [14]
    assert str(found.report.gaps[0]) == "2025-06-02 22:00 to 2025-06-16 22:00 UTC"
    assert not found.report.is_good


@pytest.mark.parametrize("head", ["", "no", "#"])
def test_numbers_of_rows_in_front_are_named_and_not_read(tmp_path: Path, head: str) -> None:
    found = _read(tmp_path, f"{head},time,import kWh", *(f"{k},{t:%Y-%m-%d %H:%M},0.5" for k, t in enumerate(HOURS)))
    assert found.report.totals_kwh == {"import_kwh": pytest.approx(0.5 * len(HOURS))}
    assert any("(numbers of the rows)" in note for note in found.report.notes)


@pytest.mark.parametrize("below", [True, False])
def test_two_homes_in_one_file_are_refused(tmp_path: Path, below: bool) -> None:
    rows = [
        f"{point},{t:%Y-%m-%d %H:%M},{0.5 + k}" for t in HOURS for k, point in enumerate(("10000000011", "10000000028"))
    ]
    rows = sorted(rows) if below else rows
    with pytest.raises(DataError, match="holds 2 meters") as refused:
        _read(tmp_path, "meter number,time,import kWh", *rows)
    assert 'meter = "10000000011"' in str(refused.value)
    chosen = _read(tmp_path, "meter number,time,import kWh", *rows, mapping={"meter": "10000000028"})
    assert chosen.report.totals_kwh["import_kwh"] == pytest.approx(1.5 * len(HOURS))


def test_two_homes_side_by_side_are_a_question(tmp_path: Path) -> None:
    found = _read(tmp_path, "time,upstairs kWh,downstairs kWh", *(f"{t:%Y-%m-%d %H:%M},0.5,0.7" for t in HOURS))
    assert str(found.questions[0]) == (
        "columns of import_kwh: the sum of them (60\u00a0%) or upstairs kWh alone (20\u00a0%) or downstairs kWh alone (20\u00a0%)? "
        'Answer with --say "import_kwh=upstairs kWh+downstairs kWh" or --say "import_kwh=upstairs kWh" or '
        '--say "import_kwh=downstairs kWh"'
    )


def test_a_register_that_ran_over_while_a_hole_lasted(tmp_path: Path) -> None:
    rows = [f"{t:%Y-%m-%d %H:%M},{(99_900 + k) % 100_000}" for k, t in enumerate(HOURS) if not 50 <= k < 150]
    found = _read(tmp_path, "time,meter reading kWh", *rows)
    assert (found.report.rolled, found.report.swapped) == (1, 0)
    assert found.report.totals_kwh["import_kwh"] == len(HOURS) - 1 - 101
    assert "101.0 kWh of the register fell into gaps: they are in no interval." in found.report.notes


def test_an_export_whose_sign_is_turned_is_turned_back_and_told(tmp_path: Path) -> None:
    rows = [f"{t:%Y-%m-%d %H:%M},0.5,{-0.3 if 9 <= t.hour < 15 else 0}" for t in HOURS]
    found = _read(tmp_path, "time,import kWh,export kWh", *rows)
    assert found.report.totals_kwh["export_kwh"] == pytest.approx(0.3 * 6 * 31)
    assert "export_kwh is written below zero all along: its sign is turned." in found.report.notes


def test_a_heat_meter_in_whole_megawatt_hours_tells_no_hours(tmp_path: Path) -> None:
    rows = [f"{t:%Y-%m-%d %H:%M},{int(31.4 + k * 0.006)}" for k, t in enumerate(HOURS)]
    found = _read(tmp_path, "time,heat meter MWh", *rows)
    _told(found, "the register moves in steps of 1,000 kWh, far more than is used in an interval")


def test_the_hour_at_the_end_of_summer_time_that_stands_twice(tmp_path: Path) -> None:
    starts = pd.date_range("2025-10-20", "2025-11-02", freq="30min", tz=BRUSSELS, inclusive="left")
    rows = [f"{t:%d.%m.%Y %H:%M};0,{100 + 37 * k % 800}" for k, t in enumerate(starts)]
    found = _read(tmp_path, "Von;Verbrauch (kWh)", *rows)
    assert found.frame.index.equals(starts.tz_convert("UTC"))
    assert found.frame["import_kwh"].iloc[100] == pytest.approx(0.1 + 3.7 % 0.8)
    assert found.report.contradictions == found.report.duplicates == 0
