"""A report in; a workbook of it out: what it decides, its sections as plain numbers, the hours, one day in formulas."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import pandas as pd

from simkit.quantities import quantity
from simkit.reporting.report.laid_out import told_notes
from simkit.reporting.report.live_day import COLUMNS, day_rows
from simkit.reporting.report.sheets import Formula, Sheets, Shown, Strong, column_letter

if TYPE_CHECKING:
    from simkit.answers.answer import Column, Table
    from simkit.answers.report.report import Report
    from simkit.answers.report.sections import Section
    from simkit.year.year import Year

WIDE, USUAL = 46, 16
HOUR_MINUTES = 60
# What is shown of each hour, where it is ever anything but 0.
HOURLY = (
    "outdoor_c", "needed_c", "air_c", "flow_c", "space_heat_kw", "hot_water_kw", "cylinder_hot_c",
    "heat_pump_heat_kw", "heat_pump_kw", "backup_heater_kw", "immersion_kw", "pumps_kw", "standby_kw", "boiler_kw",
    "fuel_kw", "household_kw", "car_kw", "solar_kw", "curtailed_kw", "battery_charge_kw", "battery_discharge_kw",
    "import_kw", "export_kw", "import_price_per_kwh",
)  # fmt: skip
DIGITS = 4


def report_workbook(report: Report) -> bytes:
    """Write the workbook of a report."""
    words, sheets = report.words, Sheets()
    sheets.add(words("first.title"), decision_rows(report), (WIDE, WIDE, USUAL, WIDE))
    for section in report.sections:
        sheets.add(section.heading, _section(report, section), (WIDE, *[USUAL + 4] * 8))
    hours = _hours(report.year)
    heads = [Strong(words("workbook.time")), *(Strong(_head(report, name)) for name in hours.columns)]
    rows = ([stamp, *values] for stamp, values in zip(hours.index, hours.to_numpy().tolist(), strict=True))
    sheets.add(words("workbook.hours"), [heads, *rows], (26, *[USUAL] * hours.shape[1]), frozen="B2")
    sheets.add(words("workbook.day"), day_rows(report.year, words), (30, *[13] * len(COLUMNS)), frozen="B6")
    return sheets.written()


def decision_rows(report: Report) -> Iterator[Sequence[Any]]:
    """The first page."""
    words, first = report.words, report.first
    yield [Strong(report.title)]
    yield [report.case.name]
    yield []
    for said in (*first.sentences, words("first.range_means"), words("cover.estimate")):
        yield [said]
    yield []
    for fact in first.facts:
        yield [Strong(fact.label), fact.value, None, fact.note]
    yield []
    yield [Strong(first.deciding_title)]
    yield from ([said] for said in first.deciding)
    yield []
    yield [Strong(words("first.steps")), None, Strong(words("first.who")), Strong(words("first.heed"))]
    yield from ([step.what, step.comes_to, step.who, step.heed] for step in first.steps)


def _section(report: Report, section: Section) -> Iterator[Sequence[Any]]:
    """What a section says, its tables as plain numbers, its cautions and its notes."""
    answer, words, say = section.answer, report.words, report.speech
    yield [Strong(say(answer.question))]
    yield from ([say(said)] for said in answer.sentences)
    line = 1 + len(answer.sentences)
    for table in answer.tables:
        rows = list(_table(report, say.table(table, answer.notation), line + 2))
        yield []
        yield from rows
        line += 1 + len(rows)
    notes, assumed = told_notes(report, answer)
    for head, texts in ((words("faces.cautions"), answer.cautions), (words("faces.notes"), [*notes, *assumed])):
        if texts:
            yield []
            yield [Strong(head)]
            yield from ([say(said)] for said in texts)


def _table(report: Report, table: Table, first_line: int) -> Iterator[Sequence[Any]]:
    """A table: its title, its heads, its rows unrounded, each range in two columns; the bill's total is a sum."""
    columns = list(_spread(table))
    yield [Strong(table.title)]
    yield [Strong(table.first), *(Strong(f"{column.heading(report.notation)}{more}") for column, _, more in columns)]
    summed, formats = table.name == "bill", [_format(report, column.name) for column, *_ in columns]
    records = table.frame.to_dict("records")
    for number, (name, row) in enumerate(zip(table.frame.index, records, strict=True)):
        last = summed and number == len(records) - 1
        cells = [_value(row[key]) for _, key, _ in columns]
        if last:
            cells = [_sum(columns, place, first_line + 2, number) for place in range(len(columns))]
        yield [
            str(name),
            *(cell if isinstance(cell, str) else Shown(cell, *one) for cell, one in zip(cells, formats, strict=True)),
        ]
    if table.note:
        yield [table.note]


def _format(report: Report, name: str) -> tuple[int, str]:
    """Decimals in which a column is shown, and the unit that its head leaves to its cells."""
    known = quantity(name)
    if known.unit in ("currency", "currency/kWh"):
        return known.digits, known.unit.replace("currency", report.case.currency)
    return known.digits, known.unit if known.unit == "share" else ""


def _spread(table: Table) -> Iterator[tuple[Column, str, str]]:
    """Every shown column with the column of the frame that it holds, its range's ends after it."""
    for column in table.shown():
        yield column, column.name, ""
        if column.low and column.high:
            yield column, column.low, " (10 %)"
            yield column, column.high, " (90 %)"


def _sum(columns: Sequence[tuple[Column, str, str]], place: int, first: int, count: int) -> Formula | None:
    """The total of the bill."""
    if columns[place][1] != "bill_amount":
        return None
    letter = column_letter(place + 1)
    return Formula(f"ROUND(SUM({letter}{first}:{letter}{first + count - 1}),2)")


def _value(value: Any) -> Any:
    return None if value is None or (not isinstance(value, str) and pd.isna(value)) else value


def _hours(year: Year) -> pd.DataFrame:
    """Means over each hour, stamped in wall time with its distance from UTC."""
    frame = year.hourly[list(HOURLY)]
    each = max(1, HOUR_MINUTES // year.axis.step_minutes)
    groups = pd.RangeIndex(len(frame)) // each
    hours = frame.groupby(groups).mean().round(DIGITS)
    hours.index = pd.Index([stamp.isoformat(sep=" ", timespec="minutes") for stamp in year.axis.local[::each]])
    return hours.loc[:, (hours != 0.0).any()]


def _head(report: Report, name: str) -> str:
    """Label and unit of a column of hours."""
    known = quantity(name)
    unit = known.unit.replace("currency", report.case.currency)
    return f"{report.speech(known.label)} [{unit}]"
