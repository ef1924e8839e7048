"""An answer in; whether every cell that a face shows is the JSON's value after the one rounding, out.

Cells are read back from their text with Babel's parser in the answer's own locale, and set against the objects of
`--json`, row by row and column by column. In windows of 40 to 200 characters no cell is cut.
"""

from __future__ import annotations

import json
import re
from math import isnan
from typing import Any

from babel.numbers import parse_decimal
from reporting.read_back import stands_whole

from simkit.answers.answer import Answer, Column
from simkit.notation import Notation, unit_of_range
from simkit.quantities import quantity
from simkit.reporting.as_data import answer_json
from simkit.reporting.on_terminal import table_grid
from simkit.uncertainty.ranges import Range

WIDTHS = (40, 48, 56, 64, 72, 79, 80, 88, 100, 112, 124, 160, 200)


def assert_cells_are_the_data(answer: Answer) -> dict[str, Any]:
    """Hold every cell of every table against the JSON, and return it."""
    told: dict[str, Any] = json.loads(answer_json(answer))
    for table in answer.tables:
        rows, cells = told["tables"][table.name], table.cells(answer.notation)
        assert len(rows) == len(cells)
        for row, (name, *shown) in zip(rows, cells, strict=True):
            assert row[str(table.frame.index.name)] == name
            for column, text in zip(table.shown(), shown, strict=True):
                _one_cell(text, row, column, answer.notation)
        grid = table_grid(table, answer.notation)
        assert all(stands_whole(grid, width) for width in WIDTHS), table.name
    return told


def _one_cell(text: str, row: dict[str, Any], column: Column, notation: Notation) -> None:
    value = row[column.name]
    if isinstance(value, str):
        assert text == value
        return
    if value is None or isnan(value):
        assert text in ("–", "not known"), (column.name, text)
        return
    first, *second = text.split("\n")
    if not second:
        _is(first, value, column, notation, _step(column, notation))
        return
    low, high = row[str(column.low)], row[str(column.high)]
    unit = unit_of_range(Range(low, value, high))
    _is(first, value, column, notation, unit)
    ends = [_number(part, notation) for part in re.split(r" to ", second[0])]
    sizes = [abs(low), abs(high)] if not low < 0 < high else [abs(low), high]
    wanted = sizes if low < 0 < high or low >= 0 else sorted(sizes)
    assert all(abs(end - size) <= 0.5 * unit + 1e-6 for end, size in zip(ends, wanted, strict=True)), (text, low, high)


def _step(column: Column, notation: Notation) -> float:
    """What a value without a range is rounded to."""
    known = quantity(column.name)
    if column.as_difference:
        return 1.0
    return 10.0 ** -(4 if known.unit == "currency/kWh" else known.digits)


def _is(text: str, value: float, column: Column, notation: Notation, unit: float) -> None:
    if text.replace("\u00a0", " ") == "as much":
        assert abs(value) <= 0.5 * unit
        return
    less = text.startswith("−") or text.endswith("less")
    shown = _number(text, notation) * (-1.0 if less else 1.0) / (100.0 if "%" in text else 1.0)
    half = 0.5 * unit / (100.0 if "%" in text else 1.0)
    assert abs(shown - value) <= half * (1.0 + 1e-6), (column.name, text, value)


def _number(text: str, notation: Notation) -> float:
    found = re.search(r"\d[\d.,’'\u202f]*", text)
    assert found is not None, text
    return float(parse_decimal(found.group().rstrip(".,"), locale=notation.locale))
