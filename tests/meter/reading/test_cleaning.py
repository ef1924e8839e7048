"""Values that are possible and odd, other units in one column, and units told by their size, each by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from simkit.errors import DataError
from simkit.meter.reading.cleaning import (
    INTERVAL_UNITS,
    REGISTER_UNITS,
    VOLUMES,
    _another_unit,
    _gas,
    _odd,
    _unit_by_size,
    cleaned,
    in_kwh,
)
from simkit.meter.reading.columns import _aside
from simkit.meter.reading.guessing import _number_column
from simkit.meter.reading.layout import Column, Layout, Rows
from simkit.readers.table import Table

DAYS = pd.date_range("2025-01-01", periods=40, tz="UTC")
TABLE = Table("meter.csv", pd.DataFrame(), (), (), ",", np.arange(0))


def column(quantity: str, unit: str, head: str = "", *, register: bool = False) -> Column:
    return Column(1, head, quantity, unit, register)


def rows(values: list[float], *columns: Column, step_s: int = 0) -> Rows:
    at = np.datetime64("2025-01-01", "s") + np.arange(len(values)) * np.timedelta64(step_s or 86_400, "s")
    layout = Layout("rows", ".", "ymd", 0, columns)
    return Rows(at, np.array(values)[:, None], step_s, np.arange(len(values)), layout)


def frame(**values: list[float]) -> pd.DataFrame:
    """A day's value in each row."""
    count = len(next(iter(values.values())))
    return pd.DataFrame(values, index=DAYS[:count]).assign(end=DAYS[1 : count + 1])


def said(name: str, per_day: float) -> list[str]:
    return _odd(name, np.full(10, per_day), np.full(10, 24.0))


def test_a_few_units_of_fuel_a_day_may_be_cubic_metres() -> None:
    assert said("fuel_kwh", 5.0) == ["fuel_kwh comes to 5.0 kWh a day: if the file is in m³, it is about 56 kWh."]
    assert said("fuel_kwh", 9.5) == said("fuel_kwh", 0.4) == []


def test_more_than_homes_use_and_less_than_a_refrigerator_does() -> None:
    more = "import_kwh comes to 260 kWh a day, more than homes use: is it in another unit?"
    assert said("import_kwh", 260.0) == [more]
    assert said("import_kwh", 240.0) == []
    less = "import_kwh comes to 0.40 kWh a day, less than a refrigerator uses: is it in another unit?"
    assert said("import_kwh", 0.4) == [less]


def test_the_part_of_a_column_that_no_home_has_is_the_one_in_another_unit() -> None:
    """Two days of 10 kWh, then two of 0.01: the small ones are left out; over three days nothing can be told."""
    values = np.array([10.0, 10.0, 0.01, 0.01])
    (one,) = _another_unit("import_kwh", values, values > 1e9, frame(import_kwh=[10.0, 10.0, 0.01, 0.01]))
    assert one.startswith("2 values of import_kwh are about a thousandth of the others, first at 2025-01-03 00:00 UTC")
    assert np.isnan(values).tolist() == [False, False, True, True]
    few = np.array([10.0, 10.0, 0.01])
    assert _another_unit("import_kwh", few, few > 1e9, frame(import_kwh=few.tolist())) == []


def test_gas_by_the_cubic_foot() -> None:
    """A hundred cubic feet are 2.831685 m³."""
    assert _gas(TABLE, column("fuel_kwh", "ft3"), 11.0) == pytest.approx(0.02831685 * 11.0, rel=1e-5)
    assert _gas(TABLE, column("fuel_kwh", "ft3_100"), 11.0) == pytest.approx(2.831685 * 11.0, rel=1e-5)


def test_a_volume_is_no_electricity() -> None:
    with pytest.raises(DataError, match="can't be import_kwh"):
        in_kwh(TABLE, rows([1.0, 2.0], column("import_kwh", "m3", "power")), None)


def test_an_export_below_zero_all_along_is_turned_though_one_value_is_not() -> None:
    found, counts = cleaned(
        TABLE, rows([0.0] * 31, column("export_kwh", "kWh")), (frame(export_kwh=[-5.0] * 30 + [1.0]), {})
    )
    assert counts["notes"] == ("export_kwh is written below zero all along: its sign is turned.",)
    assert (found["export_kwh"].iloc[:30].tolist(), counts["negatives"]) == ([5.0] * 30, 1)


@pytest.mark.parametrize(("factor", "unit"), [(1.0, "kWh"), (1000.0, "Wh"), (4000.0, "W"), (4.0, "kW")])
def test_a_quarter_of_an_hour_is_told_by_size_and_digits(factor: float, unit: str) -> None:
    """0.11 to 0.14 kWh in each quarter, as a home has; W and Wh are whole numbers, and a head speaks of power."""
    quarters = [round(factor * (0.11 + 0.001 * (k % 31)), 0 if factor > 100 else 3) for k in range(200)]
    head = "power" if unit in ("kW", "W") else "used"
    assert unit_of(quarters, 900, head) == unit


def unit_of(values: list[float], step_s: int, head: str = "") -> str:
    found, _ = _unit_by_size(rows(values, step_s=step_s), column("import_kwh", "", head), np.array(values), 0.5)
    return found


def test_whole_numbers_speak_of_the_smaller_unit_where_sizes_leave_it_open() -> None:
    """22 an hour are much as kWh and little as Wh: all whole they are Wh, with decimals kWh, one whole one or not."""
    assert unit_of([22.0] * 9, 3600) == "Wh"
    assert unit_of([22.3] * 9, 3600) == unit_of([22.3] * 8 + [22.0], 3600) == "kWh"
    assert unit_of([700.0 + k for k in range(20)], 900) == "W"


def test_an_estimated_register_makes_both_spans_estimates_that_it_ends_and_begins() -> None:
    four = rows([0.0, 5.0, 9.0, 14.0], column("import_kwh", "kWh", register=True))
    flagged = replace(four, layout=replace(four.layout, flag=2))
    table = replace(TABLE, cells=pd.DataFrame({2: ["A", "A", "E", "A"]}))
    found, _ = cleaned(table, flagged, (frame(import_kwh=[5.0, 4.0, 5.0]), {}))
    assert found["estimated"].tolist() == [False, True, True]


def test_megajoules_and_odds_that_leave_nothing_out() -> None:
    found = in_kwh(TABLE, rows([3.6, 7.2], column("heat_kwh", "MJ")), None)
    assert found[:, 0].tolist() == pytest.approx([1.0, 2.0])
    assert [sum(odds.values()) for odds in (INTERVAL_UNITS, REGISTER_UNITS, VOLUMES)] == pytest.approx([1.0] * 3)


def test_a_number_beyond_all_floats_counts_no_rows() -> None:
    """It is read as infinite, and no difference of two such numbers is one."""
    cells = pd.DataFrame({0: ["a"] * 4, 1: ["1e400"] * 4, 2: ["1", "2", "3", "4"]})
    table = replace(TABLE, cells=cells, head=("when", "no", "no"))
    assert _aside(table, 1, [1, 2], np.full(4, np.inf), measured=False) != "numbers of the rows"
    assert _aside(table, 2, [1, 2], np.arange(4.0), measured=False) == "numbers of the rows"


def test_one_number_counts_no_intervals() -> None:
    many = [str(k) for k in range(1, 49)]
    sample = pd.DataFrame({1: ["5", *[""] * 47], 2: many})
    assert _number_column(sample, [1]) is None
    assert _number_column(sample, [1, 2]) == 2
