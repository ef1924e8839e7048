"""What is too large, too deep or no file is refused before it is parsed, in one short sentence. Bounds: own."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from simkit.answers.report.details import read_logo
from simkit.answers.report.since import read_since
from simkit.bounds import LINE_CHARACTERS, LIST_LENGTH, OPTIONS, TABLE_COLUMNS, TOML_NESTING
from simkit.case.build import case_from
from simkit.case.money.money import changed_paths
from simkit.clients.table import read_clients
from simkit.errors import MESSAGE_CHARACTERS, CaseError, DataError, Fault, SimkitError
from simkit.lesson.marking import handed_in
from simkit.meter.reading.mapping import read_mapping
from simkit.meter.reading.reading import read_meter
from simkit.readers import table, text_file
from simkit.readers.stamps import utc_of
from simkit.readers.table import read_table
from simkit.schema.toml_file import read_toml
from simkit.stock.table import read_homes

STAMPS = [f"2025-03-{day:02d}T{hour:02d}:00" for day in range(1, 11) for hour in range(24)]
ROWS = [f"{stamp},{k % 7}" for k, stamp in enumerate(STAMPS)]


def written(folder: Path, rows: list[str]) -> Path:
    path = folder / "a.csv"
    path.write_text("time,import_kwh\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return path


def toml(folder: Path, text: str) -> Path:
    path = folder / "a.toml"
    path.write_text(text, encoding="utf-8")
    return path


def refusal(read, path: Path) -> str:
    with pytest.raises(SimkitError) as caught:
        read(path)
    said = str(caught.value.faults[0])
    assert len(said) <= MESSAGE_CHARACTERS
    return said


@pytest.mark.parametrize("rows", [0, len(ROWS) // 2])
def test_one_wide_row_does_not_widen_a_whole_table(tmp_path: Path, rows: int) -> None:
    wide = [*ROWS[:rows], ROWS[rows] + "," * TABLE_COLUMNS, *ROWS[rows + 1 :]]
    said = refusal(read_table, written(tmp_path, wide))
    assert said.startswith(
        f"a.csv line {rows + 2}: {TABLE_COLUMNS + 2:,} cells are more than a table of 240 rows may have."
    )


def test_cells_are_counted_over_all_rows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(table, "TABLE_CELLS", 2 * len(ROWS) - 1)
    assert "2 cells are more than a table of 240 rows may have" in refusal(read_table, written(tmp_path, ROWS))


@pytest.mark.parametrize("before", [0, 5])
def test_a_line_that_is_no_row(tmp_path: Path, before: int) -> None:
    """A cell of 131,073 characters stops Python's own reader of tables; one without an end would fill the memory."""
    rows = [*ROWS[:before], "x" * 131_073 + ",1", *ROWS[before:]]
    said = refusal(read_table, written(tmp_path, rows))
    assert said.startswith(f"a.csv line {before + 2}: a line of 131,075 characters is longer than {LINE_CHARACTERS:,}")


def test_too_many_lines(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(text_file, "TABLE_ROWS", 100)
    assert "the file of 242 lines has more than 100" in refusal(read_table, written(tmp_path, ROWS))


@pytest.mark.parametrize("closed", [False, True])
def test_a_stray_quote_is_named_by_its_line(tmp_path: Path, closed: bool) -> None:
    """Closed a hundred rows on, it would swallow them all into one cell."""
    rows = [*ROWS[:50], ROWS[50].replace(",", ',"'), *ROWS[51:150], ROWS[150] + '"' * closed, *ROWS[151:]]
    for read in (read_table, lambda path: read_meter(path, zone="Europe/Dublin")):
        assert refusal(read, written(tmp_path, rows)).startswith("a.csv line 52: '2025-03-03T02:00,\"1' opens a quote")


def test_an_inch_within_a_cell_is_no_stray_quote(tmp_path: Path) -> None:
    assert len(read_table(written(tmp_path, [*ROWS[:9], ROWS[9] + ',5" pipe', *ROWS[10:]])).cells) == len(ROWS)


def test_stamps_partly_with_an_offset(tmp_path: Path) -> None:
    rows = [row.replace(",", "Z,") if k % 3 else row for k, row in enumerate(ROWS)]
    said = refusal(lambda path: read_meter(path, zone="Europe/Dublin"), written(tmp_path, rows))
    assert said.startswith("a.csv: 160 of 240 stamps have an offset from UTC or a Z, and the others none")


@pytest.mark.parametrize("stamp", ["9999-12-31T23:00", "2025-03-01T00:00+99:99", "1999999999999999"])
def test_stamps_beyond_any_clock(tmp_path: Path, stamp: str) -> None:
    def stamps(path: Path) -> None:
        found = read_table(path)
        utc_of("a.csv", found.lines, found.cells[0].tolist(), clock="utc", zone=None, section="")

    assert f'"{stamp}" ' in refusal(stamps, written(tmp_path, [*ROWS[:9], f"{stamp},1", *ROWS[10:]]))
    rows = [f"{stamp},{k}" for k in range(240)]
    refusal(lambda path: read_meter(path, zone="Europe/Dublin"), written(tmp_path, rows))


def test_seconds_since_1970_beyond_this_century_are_left_unread(tmp_path: Path) -> None:
    rows = [f"{1_740_787_200 + 3600 * k},{k % 7}" for k in range(240)]
    rows[3] = "1999999999999999,1"
    read = read_meter(written(tmp_path, rows), zone="Europe/Dublin")
    assert read.frame.index[-1].year == 2025
    assert len(read.frame) <= 240


READERS = {  # by the name that a file has
    "table.csv": read_table, "case.toml": read_toml, "mapping.toml": read_mapping, "homes.csv": read_homes,
    "homes.parquet": read_homes, "clients.xlsx": read_clients, "logo.png": read_logo, "before.json": read_since,
    "lesson.ipynb": handed_in,
}  # fmt: skip


@pytest.mark.parametrize("name", READERS)
@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_named_pipe_is_not_waited_for(tmp_path: Path, name: str) -> None:
    os.mkfifo(tmp_path / name)
    assert "is a pipe or a device" in refusal(READERS[name], tmp_path / name)


@pytest.mark.parametrize("name", READERS)
def test_what_is_not_there_or_is_a_folder_is_said(tmp_path: Path, name: str) -> None:
    assert name in refusal(READERS[name], tmp_path / name)
    (tmp_path / name).mkdir()
    assert " is a folder" in refusal(READERS[name], tmp_path / name)


@pytest.mark.parametrize("name", ["homes.csv", "clients.xlsx", "logo.png", "before.json", "lesson.ipynb"])
def test_too_many_bytes_are_not_read(tmp_path: Path, name: str) -> None:
    with (tmp_path / name).open("wb") as file:
        file.truncate(3_000_000_000)  # no byte of it is written
    assert "holds 3,000 MB, far more than is read" in refusal(READERS[name], tmp_path / name)


DEEP = ".".join(["a"] * 900)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (f"{'.'.join(['a'] * 100_000)} = 1", "holds a line of 200,003 characters"),
        ("".join(f"x{k}.{DEEP} = 1\n" for k in range(500)), f"holds a key more than {TOML_NESTING} tables deep"),
        ("".join(f"[x{k}.{DEEP}]\n" for k in range(500)), f"holds a key more than {TOML_NESTING} tables deep"),
        ("a = " + "[" * 20 + "]" * 20, f"stands more than {TOML_NESTING} tables deep"),
        ("a = " + "[\n" * 100_000, "can't be read as TOML"),
        (f"a = {'9' * 400}", "a is a whole number of more than 15 digits"),
        (f"a.b = [0x{'f' * 400}]", "b is a whole number of more than 15 digits"),
        (f"a = [{'1,' * (LIST_LENGTH + 1)}]", "a holds 1,001 values"),
        ("".join(f"k{k} = 1\n" for k in range(LIST_LENGTH + 1)), "the file holds 1,001 values"),
        ("#" * 1_000_001, "holds 1 MB, far more than a case file"),
    ],
)  # fmt: skip
def test_a_case_file_that_no_home_needs(tmp_path: Path, text: str, said: str) -> None:
    assert said in refusal(read_toml, toml(tmp_path, text))


def test_decimals_and_remarks_are_no_deep_keys(tmp_path: Path) -> None:
    text = f"a = [{', '.join(['1.25'] * 50)}]\nb = 'Dr. A. B. C. D. E. F. G. H. I. J. K. L. M. N. once'\n# {'.' * 60}\n"
    assert len(read_toml(toml(tmp_path, text))["a"]) == 50


def test_too_many_options() -> None:
    with pytest.raises(CaseError, match=rf"{OPTIONS + 1} options are more than {OPTIONS}") as caught:
        case_from({"name": "A", "option": [1] * (OPTIONS + 1)})
    assert not any(f"no. {OPTIONS + 1}" in str(one) for one in caught.value.faults)


@pytest.mark.parametrize("name", ["   ", "a\nb", "a\x1b[31m", "a\u202eb", "a\u200fb", "a\x00", "a\u2028b"])
@pytest.mark.parametrize("place", [("home",), ("option",)])
def test_names_in_which_something_can_not_be_seen(name: str, place: tuple[str, ...]) -> None:
    stated = {"name": name} if place == ("home",) else {"name": "A", "option": [{"name": name}]}
    with pytest.raises(CaseError) as caught:
        case_from(stated)
    assert any("is blank, or holds a character that can't be seen" in str(one) for one in caught.value.faults)


@pytest.mark.parametrize("part", ["where", "given", "allowed", "remedy"])
def test_no_message_is_longer_than_its_bound(part: str) -> None:
    """However long what was given is, what to do about it still stands there."""
    parts = {"where": "case.toml", "given": "name", "allowed": "is too long", "remedy": "Write less"}
    said = str(Fault(**{**parts, part: "x" * 30_000}))
    assert len(said) <= MESSAGE_CHARACTERS
    assert all(held in said for key, held in parts.items() if key != part)
    everywhere = str(DataError(Fault(*["y" * 3_000] * 4)))
    assert len(everywhere) <= MESSAGE_CHARACTERS


@pytest.mark.parametrize(
    "line", ["a = " + "[" * 490, f"a = {'9' * 400}", "a = " + "x" * 501, "a = 1\nb = 2", "a = {" + "b." * 20 + "b = 1}"]
)
def test_a_change_of_a_measure_that_no_home_needs(line: str) -> None:
    with pytest.raises(ValueError, match=re.escape(line[:20]) if len(line) > 20 else "after a statement|a = 1"):
        changed_paths((line,))
