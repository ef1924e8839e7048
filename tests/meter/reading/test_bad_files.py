"""Files that are not what they seem, and dates that stand across: read right, asked about, or refused, each in words."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from meter.written import put
from simkit.errors import DataError
from simkit.meter.reading.reading import Readings, read_meter

pytestmark = pytest.mark.short
ZONE = "Europe/Dublin"
DAYS = pd.date_range("2025-01-01", periods=90)
HOURS = pd.date_range("2025-01-01", periods=40 * 24, freq="h")
EPOCH = pd.Timestamp("1899-12-30")  # from which spreadsheets count days


def _read(folder: Path, *lines: str, **more: object) -> Readings:
    return read_meter(put(folder, "\n".join(lines) + "\n"), zone=ZONE, **more)  # type: ignore[arg-type]


def _use(count: int, mean: float, seed: int = 0) -> np.ndarray:
    return np.random.default_rng(seed).gamma(6.0, mean / 6.0, count).round(3)


def test_a_single_reading_and_a_temperature_without_a_unit_are_no_error_of_ours(tmp_path: Path) -> None:
    assert len(_read(tmp_path, "01/01/2025,0").report.suspicious) == 2  # a month of nothing, which no home uses
    rows = [f"{hour:%Y-%m-%d %H:%M},{kwh},19.5" for hour, kwh in zip(HOURS, _use(len(HOURS), 0.4), strict=True)]
    warm = {"columns": {"room_c": {"column": "warm"}, "import_kwh": {"column": "kWh"}}}
    assert _read(tmp_path, "start,kWh,warm", *rows, mapping=warm).frame["room_c"].mean() == pytest.approx(19.5)


def test_two_homes_in_columns_are_asked_about_and_one_can_be_chosen(tmp_path: Path) -> None:
    rows = [f"{day:%Y-%m-%d},{kwh},{2 * kwh}" for day, kwh in zip(DAYS, _use(90, 8.0), strict=True)]
    asked = _read(tmp_path, "Date,Home A kWh,Home B kWh", *rows)
    (question,) = asked.questions
    assert question.why == "their heads speak of several homes"
    assert [answer for answer, *_ in question.choices] == ["Home A kWh", "Home B kWh", "Home A kWh+Home B kWh"]
    one = _read(
        tmp_path, "Date,Home A kWh,Home B kWh", *rows, mapping={"columns": {"import_kwh": {"column": "Home B kWh"}}}
    )
    assert one.report.totals_kwh["import_kwh"] == pytest.approx(2 * _use(90, 8.0).sum())


@pytest.mark.parametrize(("names", "head"), [((1, 2), "House"), (("Elm", "Oak"), "Home"), (("", ""), "Note")])
def test_two_homes_in_rows_are_never_added_up_or_taken_for_one(
    tmp_path: Path, names: tuple[object, object], head: str
) -> None:
    use = _use(180, 8.0)
    rows = [f"{day:%Y-%m-%d},{name},{use[2 * k + n]}" for k, day in enumerate(DAYS) for n, name in enumerate(names)]
    with pytest.raises(DataError, match=r"(none|nothing) was kept"):
        _read(tmp_path, f"Date,{head},kWh", *rows)


@pytest.mark.parametrize("hours", [True, False])
def test_a_register_that_ran_over_while_a_hole_lasted(tmp_path: Path, hours: bool) -> None:
    at = HOURS if hours else DAYS
    use = _use(len(at), 0.6 if hours else 12.0).round(1)
    counter = (99_999.0 - use[:30].sum() + np.cumsum(use)) % 100_000
    kept = [k for k in range(len(at)) if not 20 <= k < 45]
    form = "%Y-%m-%d %H:%M" if hours else "%Y-%m-%d"
    found = _read(tmp_path, "Date,Meter reading kWh", *(f"{at[k].strftime(form)},{counter[k]:.1f}" for k in kept))
    assert (found.report.rolled, found.report.swapped) == (1, 0)
    lost = use[20:46].sum()
    if hours:  # what was used in the hole is of no hour
        assert found.report.totals_kwh["import_kwh"] == pytest.approx(use[1:].sum() - lost, abs=0.3)
        assert any(f"{lost:.1f} kWh of the register fell into gaps" in note for note in found.report.notes)
    else:
        assert found.report.totals_kwh["import_kwh"] == pytest.approx(use[1:].sum(), abs=0.3)
        assert found.frame["import_kwh"].max() == pytest.approx(lost, abs=0.2)


@pytest.mark.parametrize("name", ["Export", "Import"])
def test_a_sign_that_is_turned_is_turned_back_and_said(tmp_path: Path, name: str) -> None:
    use = _use(len(HOURS), 0.6)
    rows = [f"{t:%Y-%m-%d %H:%M},{-kwh}" for t, kwh in zip(HOURS, use, strict=True)]
    found = _read(tmp_path, f"Time,{name} kWh", *rows)
    assert found.report.totals_kwh == {f"{name.lower()}_kwh": pytest.approx(use.sum())}
    assert f"{name.lower()}_kwh is written below zero all along: its sign is turned." in found.report.notes


def test_a_heat_meter_in_whole_mwh_is_read_from_one_step_to_the_next(tmp_path: Path) -> None:
    use = _use(90, 70.0)
    shown = np.floor(12.0 + np.cumsum(use) / 1000.0)
    found = _read(
        tmp_path, "Date,Heat meter MWh", *(f"{day:%Y-%m-%d},{mwh:.0f}" for day, mwh in zip(DAYS, shown, strict=True))
    )
    assert (found.frame["heat_kwh"] == 1000.0).all()
    assert len(found.frame) == int(shown[-1] - shown[0]) - 1
    # own: a span of 1000 kWh at 70 a day
    assert ((found.frame["end"] - found.frame.index) / pd.Timedelta(days=1)).mean() == pytest.approx(1000 / 70, rel=0.1)
    assert any("counts in steps of 1,000 kWh, more than a span uses" in note for note in found.report.notes)
    months = pd.date_range("2023-01-01", periods=24, freq="MS")
    shown = np.floor(12.0 + np.cumsum(_use(24, 1400.0)) / 1000.0)
    rough = _read(
        tmp_path, "Date,Heat meter MWh", *(f"{day:%Y-%m-%d},{mwh:.0f}" for day, mwh in zip(months, shown, strict=True))
    )
    assert "a span is known to half of that either way" in rough.report.suspicious[0]


def test_the_hour_that_comes_twice_is_two_hours(tmp_path: Path) -> None:
    utc = pd.date_range("2024-10-20", periods=14 * 24, freq="h", tz="UTC")
    use = _use(len(utc), 0.6)
    rows = [f"{t:%Y-%m-%d %H:%M},{kwh}" for t, kwh in zip(utc.tz_convert(ZONE), use, strict=True)]
    found = _read(tmp_path, "Start of interval,kWh", *rows, mapping={"label": "start"})
    assert found.layout is not None
    assert found.layout.clock == "local"
    np.testing.assert_allclose(found.frame["import_kwh"], use)
    assert (found.frame.index == utc).all()
    assert not found.report.duplicates
    once = [row for k, row in enumerate(rows) if k != 6 * 24 + 25]  # one of the two is missing
    told = _read(tmp_path, "Start of interval,kWh", *once, mapping={"label": "start", "clock": "local"})
    assert any("the second is a gap" in note for note in told.report.notes)


def _months(cell: str) -> tuple[list[str], float]:
    """A row for each month of 2024 and its days across, and the sum of all."""
    use = _use(12 * 31, 11.0, seed=2).reshape(12, 31)
    rows, total = [], 0.0
    for month in range(1, 13):
        first = pd.Timestamp(2024, month, 1)
        kept = use[month - 1, : first.days_in_month]
        total += kept.sum()
        rows.append(",".join([first.strftime(cell), *map(str, kept), *[""] * (31 - len(kept))]))
    return rows, total


@pytest.mark.parametrize("cell", ["%Y-%m", "%m/%Y", "%B %Y"])
@pytest.mark.parametrize("day", ["{}", "Day {}"])
def test_a_month_in_each_row_and_its_days_across(tmp_path: Path, cell: str, day: str) -> None:
    rows, total = _months(cell)
    found = _read(tmp_path, "Use kWh," + ",".join(day.format(k) for k in range(1, 32)), *rows)
    assert found.report.totals_kwh == {"import_kwh": pytest.approx(total)}
    assert len(found.frame) == 366
    assert "Each row held a month and its days stood across: they were laid one under another." in found.report.notes


@pytest.mark.parametrize(
    "head", [[str(k) for k in range(24)], [f"H{k}" for k in range(1, 25)], [f"{k:02d}:00" for k in range(24)]]
)
def test_a_day_in_each_row_and_its_hours_across(tmp_path: Path, head: list[str]) -> None:
    use = _use(40 * 24, 0.6).reshape(40, 24)
    rows = [
        ",".join([f"1000234567,{DAYS[d]:%Y-%m-%d},kWh", *map(str, use[d]), f"{use[d].sum():.3f}"]) for d in range(40)
    ]
    found = _read(tmp_path, ",".join(["Meter,Date,Unit", *head, "Total"]), *rows)
    assert found.step_minutes == 60
    assert found.report.totals_kwh == {"import_kwh": pytest.approx(use.sum())}


def test_dates_across_and_times_down(tmp_path: Path) -> None:
    use = _use(31 * 24, 0.6).reshape(31, 24)
    rows = [",".join([f"{h:02d}:00", *map(str, use[:, h])]) for h in range(24)]
    found = _read(tmp_path, "Start kWh," + ",".join(f"{day:%Y-%m-%d}" for day in DAYS[:31]), *rows)
    assert found.report.totals_kwh == {"import_kwh": pytest.approx(use.sum())}
    np.testing.assert_allclose(found.frame["import_kwh"], use.ravel())


@pytest.mark.parametrize("decimal", [".", ","])
@pytest.mark.parametrize("hours", [True, False])
def test_dates_that_a_spreadsheet_wrote_as_numbers_of_days(tmp_path: Path, decimal: str, hours: bool) -> None:
    at = HOURS if hours else DAYS
    use = _use(len(at), 0.6)
    number = (at - EPOCH) / pd.Timedelta(days=1)
    lines = [(f"{k:.6f}" if hours else f"{k:.0f}") + f";{kwh}" for k, kwh in zip(number, use, strict=True)]
    lines = [line.replace(".", decimal) for line in lines]
    found = _read(tmp_path, "Date;Use kWh", *lines, mapping={"label": "start", "clock": "local"})
    assert found.frame.index[0] == pd.Timestamp("2025-01-01", tz="UTC")
    assert found.report.totals_kwh == {"import_kwh": pytest.approx(use.sum())}
    assert "Dates are a spreadsheet's numbers of days." in found.report.notes
