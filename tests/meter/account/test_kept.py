"""Readings that an account keeps: late ones fill in, corrected ones replace, finer ones part, and nothing is lost."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from simkit import bounds
from simkit.errors import DataError
from simkit.meter.account.kept import COLUMNS, as_csv, merged, no_history, put_right, read_kept

START = pd.Timestamp("2025-01-10", tz="UTC")


def _stream(values: list[float], *, first: int = 0, minutes: int = 30) -> pd.DataFrame:
    step = pd.Timedelta(minutes=minutes)
    index = pd.DatetimeIndex([START + (first + k) * step for k in range(len(values))]).as_unit("us")
    return pd.DataFrame({"end": (index + step).as_unit("us"), "value": values}, index=index)


def _merged(held: pd.DataFrame, new: pd.DataFrame, *, correct: bool = False):
    return merged(held, new, "import_kwh", "new.csv", correct=correct)


def test_late_readings_fill_in_and_those_that_are_there_stay() -> None:
    whole = _stream([float(k) for k in range(48)])
    made = _merged(whole.drop(whole.index[10:20]), whole)
    assert (made.fresh, made.replaced, len(made.out)) == (10, None, 0)
    pd.testing.assert_frame_equal(made.stream, whole)


def test_a_correction_replaces_and_says_what() -> None:
    held, new = _stream([1.0] * 48), _stream([1.0] * 48)
    new.iloc[4:8, 1] = 2.5
    made = _merged(held, new)
    assert made.fresh == 0
    assert made.replaced is not None
    assert (made.replaced.count, made.replaced.before, made.replaced.after) == (4, 4.0, 10.0)
    assert (made.replaced.first, made.replaced.last) == (held.index[4], held["end"].iloc[7])
    assert made.out["value"].tolist() == [1.0] * 4
    assert made.stream["value"].sum() == 48 + 4 * 1.5


def test_a_file_that_differs_nearly_everywhere_is_asked_about() -> None:
    held, new = _stream([1.0] * 48), _stream([1.2] * 30)
    with pytest.raises(DataError) as refused:
        _merged(held, new)
    assert str(refused.value) == (
        "new.csv: 30 intervals, the first at 2025-01-10 00:00 UTC, differ from what the account holds (1.2 against 1 kWh), "
        "most of what both hold: it may be another meter (one of the household alone isn't kept) or another clock; nothing "
        "was changed. If this file is the right one, name it with --correct."
    )
    made = _merged(held, new, correct=True)
    assert made.replaced is not None
    assert made.replaced.count == 30


def test_half_hours_take_the_place_of_the_day_that_they_fill_and_a_day_never_that_of_half_hours() -> None:
    day, halves = _stream([48.0], minutes=1440), _stream([1.0] * 48)
    finer = _merged(day, halves)
    assert len(finer.stream) == 48
    assert finer.replaced is not None
    assert (finer.replaced.before, finer.replaced.after) == (48.0, 48.0)
    coarser = _merged(halves, day)
    assert (coarser.coarser, coarser.fresh, len(coarser.stream)) == (1, 0, 48)
    with pytest.raises(DataError, match="fill only part of one that the account holds"):
        _merged(day, halves[:20])


def test_what_was_replaced_stays_in_the_file(tmp_path: Path) -> None:
    held, new = _stream([1.0] * 48), _stream([3.0], first=5)
    made = _merged(held, new)
    history = made.out.assign(quantity="import_kwh", replaced="2025-03-01")
    path = tmp_path / "readings.csv"
    path.write_text(as_csv({"import_kwh": made.stream}, history))
    streams, gone = read_kept(path)
    pd.testing.assert_frame_equal(streams["import_kwh"], made.stream)
    assert gone[["value", "quantity", "replaced"]].values.tolist() == [[1.0, "import_kwh", "2025-03-01"]]


def test_an_old_file_added_again_undoes_no_correction() -> None:
    held, new = _stream([1.0] * 48), _stream([3.0], first=5)
    history = _merged(held, new).out.assign(quantity="import_kwh", replaced="2025-03-01")
    assert np.flatnonzero(put_right(history, held, "import_kwh")).tolist() == [5]
    assert not put_right(history, new, "import_kwh").any()
    assert not put_right(history, held, "heat_kwh").any()


HEAD = ",".join(COLUMNS)
ROW = "2025-01-10T00:00Z,2025-01-10T00:30Z,import_kwh,0.5,"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("start,end,import_kwh\n1,2,3", 'a first line "start,end,import_kwh" is not "start,end,quantity,value,replaced"'),
        (f'{HEAD}\n"025-01-10T00:00Z,2025-01-10T01:00Z,import_kwh,1,', """line 2: ""025-01-10T00:00Z" holds a time that is none"""),
        (f"{HEAD}\n{ROW}\nyesterday,2025-01-10T01:00Z,import_kwh,1,", 'line 3: "yesterday" holds a time that is none'),
        (f"{HEAD}\n{ROW}\n2025-01-10T01:00Z,2025-01-10T00:30Z,import_kwh,1,", "ends before it begins"),
        (f"{HEAD}\n{ROW.replace('0.5', '0,5')}", "line 2: has not 5 cells. Mend the line: numbers have a decimal point."),
        (f"{HEAD}\n{ROW.replace('0.5', 'nan')}", 'line 2: "nan" holds no number'),
        (f"{HEAD}\n{ROW.replace('0.5', 'inf')}", 'line 2: "inf" holds no number'),
        (f"{HEAD}\n{ROW.replace('0.5', '-3')}", 'line 2: "-3" holds energy below zero'),
        (f"{HEAD}\n{ROW.replace('import_kwh', 'gold')}", 'line 2: "gold" is of none of import_kwh'),
        (f"{HEAD}\n{ROW}\n{ROW}", "import_kwh from 2025-01-10 00:00 UTC is read twice"),
        (f"{HEAD}\n{ROW.replace('import_kwh', 'heat_kwh')}", "no row is of import_kwh, the whole home"),
    ],
)  # fmt: skip
def test_a_damaged_file_is_told_in_a_sentence(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "readings.csv"
    path.write_text(text)
    with pytest.raises(DataError) as refused:
        read_kept(path)
    assert said in str(refused.value)


def test_a_file_without_end_is_refused_before_it_is_parsed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("simkit.readers.text_file.TABLE_BYTES", 10_000)
    path = tmp_path / "readings.csv"
    path.write_text(as_csv({"import_kwh": _stream(np.ones(400).tolist())}, no_history()))
    with pytest.raises(DataError, match="is larger than"):
        read_kept(path)
    assert bounds.TABLE_BYTES > 10_000
