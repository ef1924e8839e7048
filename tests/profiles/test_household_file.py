"""Measured household use: what is read, and the sentence for everything that is not."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from simkit.clock import TimeAxis
from simkit.errors import DataError
from simkit.profiles.household import household_kw
from simkit.profiles.household_file import kw_from_file

AXIS = TimeAxis("Europe/Berlin", 2026, 60)
USE = 0.2 + 0.1 * np.sin(np.arange(AXIS.steps))


def rows(minutes: int = 60, *, local: bool = False) -> list[str]:
    stamps = (AXIS if minutes == 60 else TimeAxis(AXIS.zone, AXIS.year, minutes)).utc
    shown = stamps.tz_convert(AXIS.zone).tz_localize(None) if local else stamps
    use = np.repeat(USE, 60 // minutes) * minutes / 60
    return [f"{stamp.isoformat()},{kwh!r}" for stamp, kwh in zip(shown, use.tolist(), strict=True)]


def write(folder: Path, lines: list[str], heading: str = "start,use_kwh") -> Path:
    path = folder / "use.csv"
    path.write_text("\n".join([heading, *lines]) + "\n", encoding="utf-8")
    return path


def message(path: Path, axis: TimeAxis = AXIS) -> str:
    with pytest.raises(DataError) as caught:
        kw_from_file(axis, path)
    return str(caught.value)


@pytest.mark.parametrize("local", [False, True], ids=["utc", "wall time"])
@pytest.mark.parametrize("minutes", [60, 15])
def test_the_file_comes_back_on_the_axis(tmp_path: Path, minutes: int, local: bool) -> None:
    found = kw_from_file(AXIS, write(tmp_path, rows(minutes, local=local)))
    np.testing.assert_allclose(found, USE, rtol=1e-12)


def test_hours_are_held_over_shorter_steps(tmp_path: Path) -> None:
    found = kw_from_file(TimeAxis(AXIS.zone, 2026, 15), write(tmp_path, rows()))
    np.testing.assert_allclose(found, np.repeat(USE, 4), rtol=1e-12)


def test_power_semicolons_decimal_commas_and_a_mark_at_the_start(tmp_path: Path) -> None:
    lines = [line.replace(",", ";").replace(".", ",") for line in rows()]
    path = write(tmp_path, lines, "\ufeffBeginn;Verbrauch [kW]")
    np.testing.assert_allclose(kw_from_file(AXIS, path), USE, rtol=1e-12)


def test_a_longer_file_in_any_order_gives_its_year(tmp_path: Path) -> None:
    more = ["2025-12-31T22:00:00+00:00,9", "2027-01-01T05:00:00+00:00,9"]
    np.testing.assert_allclose(kw_from_file(AXIS, write(tmp_path, [*rows()[::-1], *more])), USE, rtol=1e-12)


def test_the_household_takes_its_file(tmp_path: Path) -> None:
    write(tmp_path, rows())
    found = household_kw(AXIS, SimpleNamespace(annual_kwh=None, file="use.csv"), folder=tmp_path)
    np.testing.assert_allclose(found, USE, rtol=1e-12)


def test_missing_file(tmp_path: Path) -> None:
    path = tmp_path / "none.csv"
    assert message(path) == f"none.csv: the file is not there. Put it there, or mend the path: {path} was looked for."


@pytest.mark.parametrize(
    ("content", "text"),
    [
        (
            b"\x89PNG\r\n\xff\xfe",
            "use.csv: the file is a picture, and plain text is needed. Unpack it, or export the table as plain text (CSV).",
        ),
        (b"", "use.csv: the file is empty. Fetch or export it again; a file of a year has thousands of lines."),
        (
            b"start,use_kwh\n",
            "use.csv: the file holds no row with a date and a number beside it; nothing was read. "
            "Export it as a table: a date and time, and a value, in each row.",
        ),
    ],
    ids=["binary", "empty", "heading only"],
)
def test_not_a_table(tmp_path: Path, content: bytes, text: str) -> None:
    path = tmp_path / "use.csv"
    path.write_bytes(content)
    assert message(path) == text


def test_columns_and_units(tmp_path: Path) -> None:
    three = write(tmp_path, [line + ",1" for line in rows()], "start,use_kwh,flag")
    assert message(three) == (
        "use.csv: 3 columns are not the two that are read. Keep one column of stamps and one that ends in kWh or kW."
    )
    unit = write(tmp_path, rows(), "start,use")
    assert message(unit) == (
        'use.csv: heading "use" does not say its unit. End it in kWh (energy of each interval) or kW (mean power).'
    )
    ragged = write(tmp_path, [*rows()[:3], "2026-01-01T02:00:00+00:00,1,2,3"])
    assert message(ragged) == (
        'use.csv line 5: has more fields than its head, which is split at ",". '
        "Mend the line; decimal commas need semicolons between the fields."
    )


@pytest.mark.parametrize(
    ("field", "shown"),
    [("", "an empty field"), ("n/a", '"n/a" in column "use_kwh"'), ("inf", '"inf" in column "use_kwh"')],
)
def test_not_a_number(tmp_path: Path, field: str, shown: str) -> None:
    lines = rows()
    lines[10] = lines[10].split(",")[0] + "," + field
    assert message(write(tmp_path, lines)) == (
        f"use.csv line 12: {shown} is not a number (1 of {AXIS.steps:,} rows). "
        "Write a number in every row; a gap is not a zero."
    )


def test_impossible_values_are_named_together(tmp_path: Path) -> None:
    lines = rows()
    lines[4] = lines[4].split(",")[0] + ",-0.5"
    lines[9] = lines[9].split(",")[0] + ",250"
    assert message(write(tmp_path, lines)).splitlines() == [
        "use.csv line 6: -0.5 kW is below zero (1 lines): a household uses electricity, it makes none. "
        "Leave solar and export out of this file: they come from [solar].",
        "use.csv line 11: 250 kW is more than 100 kW (1 lines), more than a home's fuse passes. "
        "If the column is in W or Wh, divide it by 1000.",
    ]


def test_stamps_that_cannot_be_read(tmp_path: Path) -> None:
    lines = rows()
    lines[2] = "2026-01-01T01:00,0.2"
    assert message(write(tmp_path, lines)) == (
        'use.csv line 4: "2026-01-01T01:00" has no offset from UTC, and others have one (1 of 8,760 rows). '
        "Write stamps such as 2025-01-31T07:00, the same way in every row."
    )
    lines = rows(local=True)
    lines[2] = "31/01/2026 02:00,0.2"
    assert message(write(tmp_path, lines)) == (
        'use.csv line 4: "31/01/2026 02:00" is not a date with a time (1 of 8,760 rows). '
        "Write stamps such as 2025-01-31T07:00, the same way in every row."
    )


@pytest.mark.parametrize("date", ["2026-03-29T02:30:00", "2026-10-25 02:00"], ids=["skipped", "twice"])
def test_wall_time_that_is_no_clear_instant(tmp_path: Path, date: str) -> None:
    when = pd.Timestamp(date)
    lines = [line for line in rows(local=True) if not line.startswith(when.isoformat())]
    text = message(write(tmp_path, sorted([*lines, f"{date.replace(' ', 'T')},0.2"])))
    line = 2092 if when.month == 3 else 7131
    assert text == (
        f"use.csv line {line}: the stamp {when:%Y-%m-%d %H:%M} can't be a wall time in Europe/Berlin, where a clock "
        "change takes or repeats an hour that the rows don't. If every day has 24 hours, the stamps are not wall time: "
        "write the offset from UTC into every stamp, such as 2025-01-31T07:00+01:00."
    )


def test_doubles_gaps_and_the_wrong_year(tmp_path: Path) -> None:
    lines = rows()
    double = message(write(tmp_path, [*lines, lines[7]]))
    assert double == "use.csv: 2026-01-01 06:00 UTC comes more than once (1 in all). Keep one line an interval."
    gap = message(write(tmp_path, lines[:100] + lines[103:]))
    assert gap == (
        f"use.csv: 3 of {AXIS.steps} intervals of 2026 are missing, the first at 2026-01-05 04:00 local time. "
        "Complete the file, which covers 2026-01-01 to 2026-12-31, or set [site] year to the year it holds."
    )
    later = TimeAxis("Europe/Berlin", 2027, 60)
    assert "are missing, the first at 2027-01-01 00:00 local time" in message(write(tmp_path, lines), later)


def test_intervals_that_do_not_fit(tmp_path: Path) -> None:
    stamps = pd.date_range("2025-12-31T23:00Z", periods=300, freq="7min")
    odd = message(write(tmp_path, [f"{stamp.isoformat()},0.1" for stamp in stamps]))
    assert odd == (
        "use.csv: an interval of 7 min does not divide an hour. "
        "Give intervals of an hour or of an even part of an hour."
    )
    stamps = pd.date_range("2025-12-31T23:00Z", periods=300, freq="20min")
    path = write(tmp_path, [f"{stamp.isoformat()},0.1" for stamp in stamps])
    assert message(path, TimeAxis("Europe/Berlin", 2026, 15)) == (
        "use.csv: intervals of 20 min do not fit steps of 15 min. "
        "Average the file to 15 min, or set step_minutes to a multiple or a part of 20."
    )
