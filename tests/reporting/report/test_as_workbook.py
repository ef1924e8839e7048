"""The workbook of a report: plain numbers, formulas that a spreadsheet works out to the kit's values, text that stays."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from reported import LONG, small_report, with_content

from simkit.answers.report.report import Report
from simkit.reporting.report.as_workbook import decision_rows, report_workbook
from simkit.reporting.report.live_day import coldest_day
from simkit.reporting.report.sheets import Sheets

openpyxl = pytest.importorskip("openpyxl")
SOFFICE = shutil.which("soffice")


@pytest.fixture(scope="module")
def made() -> bytes:
    return report_workbook(small_report())


@pytest.fixture(scope="module")
def book(made: bytes) -> Any:
    return openpyxl.load_workbook(BytesIO(made))


@pytest.fixture(scope="module")
def recalculated(made: bytes, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """The workbook as a spreadsheet without a screen worked it out."""
    if SOFFICE is None:
        pytest.skip("no LibreOffice here (apt-get install libreoffice-calc-nogui)")
    folder = tmp_path_factory.mktemp("book")
    (folder / "r.xlsx").write_bytes(made)
    command = [SOFFICE, f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to", "xlsx"]
    command += ["--outdir", str(folder / "out"), str(folder / "r.xlsx")]
    subprocess.run(command, check=True, capture_output=True, timeout=300)
    return openpyxl.load_workbook(folder / "out" / "r.xlsx", data_only=True)


def rows_of(book: Any, name: str) -> list[tuple[Any, ...]]:
    return list(book[name].iter_rows(values_only=True))


def test_tables_hold_the_numbers_of_the_answers_unrounded(book: Any) -> None:
    report = small_report()
    for section in report.sections:
        held = {row for row in rows_of(book, section.heading[:31]) if any(cell is not None for cell in row)}
        numbers = {cell for row in held for cell in row if isinstance(cell, int | float)}
        for table in section.answer.tables:
            for column in table.shown():
                values = table.frame[column.name]
                if values.dtype.kind in "fiu":
                    wanted = values.dropna().to_numpy(float)[: -1 if table.name == "bill" else None]
                    assert all(np.isclose(list(numbers), value, rtol=1e-12).any() for value in wanted), table.name


def test_only_the_bill_and_the_day_hold_formulas(book: Any) -> None:
    for sheet in book:
        formulas = [cell.coordinate for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]
        assert bool(formulas) == (sheet.title in {"The year", "One day, worked"})


def test_a_spreadsheet_works_out_what_the_kit_did(recalculated: Any) -> None:
    year = small_report().year
    day = np.flatnonzero(year.axis.day == coldest_day(year))
    held = {row[0]: row[1:] for row in rows_of(recalculated, "One day, worked") if row[0]}
    hours = year.axis.hours
    totals = [value for value in held["Energy of the day [kWh]"] if isinstance(value, int | float)]
    for name in ("heat_pump_heat_kw", "heat_pump_kw", "import_kw"):
        wanted = year.hourly[name].to_numpy()[day].sum() * hours
        assert np.isclose(totals, wanted, rtol=1e-9).any(), name
    price = year.setting.signal.import_per_kwh[day]
    assert held["Cost of the day, by the hour's prices"][0] == pytest.approx(
        float((year.hourly["import_kw"].to_numpy()[day] * price).sum() * hours)
    )
    assert held["Apart from simkit, all steps [kW]"][0] == pytest.approx(0.0, abs=1e-9)
    bill = {row[0]: row for row in rows_of(recalculated, "The year")}
    assert year.bill.total in [value for value in bill["Total"] if value is not None]


def test_hours_are_means_and_add_up(book: Any) -> None:
    heads, *rows = rows_of(book, "Hours")
    place = heads.index("Import [kW]")
    year = small_report().year
    assert len(rows) == round(year.axis.steps * year.axis.hours)
    assert sum(row[place] for row in rows) == pytest.approx(year.totals["import"], rel=1e-3)


def _first_sheet(report: Report) -> bytes:
    sheets = Sheets()
    sheets.add("=1", decision_rows(report))
    return sheets.written()


def test_what_a_user_writes_is_never_a_formula_and_the_bytes_stay_the_same() -> None:
    report = small_report()
    first = replace(report.first, sentences=("=1+1", "+SUM(A1)", '=cmd|" /C calc"!A0', f"=\x07{LONG * 4}", "@x"))
    nasty = with_content(report, first=first, sections=())
    content, again = _first_sheet(nasty), _first_sheet(nasty)
    sheet = openpyxl.load_workbook(BytesIO(content)).worksheets[0]
    cells = [cell for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert {cell.data_type for cell in cells} == {"s"}
    assert "=1+1" in [cell.value for cell in cells]
    assert content == again


def test_it_is_never_written_over_unasked(tmp_path: Path) -> None:
    from simkit.errors import CaseError

    (tmp_path / "r.xlsx").write_bytes(b"mine")
    with pytest.raises(CaseError, match="nothing that may have been changed by hand is overwritten"):
        small_report().write(tmp_path / "r.xlsx")


def test_numbers_are_held_in_full_and_shown_as_tables_show_them_and_sentences_run_over_columns(book: Any) -> None:
    sheet, year = book["The options"], small_report().year
    (cost,) = {cell for row in sheet.iter_rows() for cell in row if cell.value == pytest.approx(year.bill.total, abs=0.005)
               and cell.data_type == "n"}  # fmt: skip
    assert cost.number_format == f'#,##0 "{year.case.currency}"'
    said = small_report().section("options").sentences[0]
    (row,) = (row for row in sheet.iter_rows(max_col=1) if row[0].value == said)
    over = next(one for one in sheet.merged_cells.ranges if one.min_row == row[0].row)
    assert over.max_col > 3
    assert max(held.height or 0.0 for held in sheet.row_dimensions.values()) >= 30.0
    assert not any(str(one.value).startswith("Assumed for you") for (one,) in sheet.iter_rows(max_col=1))
