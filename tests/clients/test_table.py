"""A table of clients: what is read of it, and what is refused of it as a whole."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import Workbook

from simkit.clients.table import read_clients
from simkit.clients.template import template
from simkit.errors import DataError

HEAD = "name,place,area,fuel a year,tariff,offer"
ROW = "A,estuary_bungalow,100,1500 litres,,9000"


def _written(folder: Path, text: str) -> Path:
    path = folder / "homes.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_template_is_a_table(tmp_path: Path) -> None:
    (row,) = read_clients(_written(tmp_path, template()))
    assert row.line == template().count("\n")
    assert row.values["fuel a year"] == "1750 litres"
    assert row.name == "Amber Lane 3"


def test_heads_are_known_however_they_are_written(tmp_path: Path) -> None:
    text = 'Name;PLACE;Area (m²);fuel_a_year;Tariff;Offer [EUR];controls.design_flow_c;\n"A\nB";x;100;"1 500 l";;9000;45;\n\nC;y;1;;;2;;\n'
    first, second = read_clients(_written(tmp_path, text))
    assert first.values == {
        "name": "A\nB", "place": "x", "area": "100", "fuel a year": "1 500 l", "offer": "9000",
        "controls.design_flow_c": "45",
    }  # fmt: skip
    assert (first.line, second.line) == (2, 5)


@pytest.mark.parametrize(
    ("text", "faults"),
    [
        (f"{HEAD}\n", ["homes.csv: the table holds no row under its head. Begin with what `simkit clients --template` prints."]),
        ("name,offer\nA,1\n", ['homes.csv line 1: column "place" and column "area" are missing. Begin with what `simkit clients --template` prints.']),
        (f"{HEAD},offr\n{ROW},1\n", ['homes.csv line 1: column "offr" is not known. Perhaps "offer" is meant.']),
        (f"{HEAD},Offer\n{ROW},1\n", ['homes.csv line 1: column "Offer" stands there twice. Keep one of the two.']),
        (f"{HEAD},\n{ROW},1\n", ["homes.csv line 1: column 7 has values and no head. Write what it holds, or empty it."]),
        (f"{HEAD},controls.desing_flow_c\n{ROW},1\n", ['homes.csv line 1: column "controls.desing_flow_c" is no key of a case file. Perhaps "design_flow_c" is meant.']),
        (f"{HEAD},option.0.name\n{ROW},1\n", ['homes.csv line 1: column "option.0.name" is no key of a case file. Use a key of a case file, as `simkit check` names them.']),
        (f"{HEAD}\n{ROW}\n# a remark\n{ROW.replace('A,', 'a,')}\n", ['homes.csv line 4: the name "a" stands in line 2 as well. Give every home a name of its own.']),
        (f'{HEAD}\n{ROW}\n"B,x\n', ["homes.csv line 3: opens a quote and does not close it, or holds a field without end. Mend the line."]),
        (f"{HEAD}\n{ROW}\n{'y' * 10_001},x,1,,,1\n", ["homes.csv line 3: a cell of 10,001 characters is longer than 10,000. Shorten it."]),
        (f"{HEAD}\n" + "".join(f"n{k}{ROW[1:]}\n" for k in range(1001)), ["homes.csv: a table of 1,001 rows and 6 columns is more than the 1,000 rows and 2,000 columns that are read. Part it into several tables."]),
    ],
)  # fmt: skip
def test_a_table_is_refused_in_one_sentence_a_fault(tmp_path: Path, text: str, faults: list[str]) -> None:
    with pytest.raises(DataError) as refused:
        read_clients(_written(tmp_path, text))
    assert [str(fault) for fault in refused.value.faults] == faults


def _workbook(path: Path, merged: str = "", formula: bool = False) -> Path:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(HEAD.split(","))
    sheet.append(["A", "estuary_bungalow", 100, "1500 litres", None, "=9000+1" if formula else 9000])
    if merged:
        sheet.merge_cells(merged)
    book.save(path)
    return path


def test_a_workbook_is_read_as_values(tmp_path: Path) -> None:
    (row,) = read_clients(_workbook(tmp_path / "homes.xlsx"))
    assert row.line == 2
    assert row.values == {
        "name": "A", "place": "estuary_bungalow", "area": 100, "fuel a year": "1500 litres", "offer": 9000
    }  # fmt: skip


@pytest.mark.parametrize(
    ("merged", "formula", "fault"),
    [
        ("A2:B2", False, "homes.xlsx line 2: cells A2:B2 are merged into one. Part them, so that every value stands in its own cell."),
        ("", True, "homes.xlsx line 2: the formula in F2 was saved without its value. Write the value itself."),
    ],
)  # fmt: skip
def test_a_workbook_is_refused_with_its_line(tmp_path: Path, merged: str, formula: bool, fault: str) -> None:
    with pytest.raises(DataError) as refused:
        read_clients(_workbook(tmp_path / "homes.xlsx", merged, formula))
    assert [str(one) for one in refused.value.faults] == [fault]


def test_what_is_no_workbook_is_told(tmp_path: Path) -> None:
    path = tmp_path / "homes.xlsx"
    path.write_text("name,place", encoding="utf-8")
    with pytest.raises(DataError, match=r"homes\.xlsx: the file is no workbook\. Save it as \.xlsx, or as CSV\."):
        read_clients(path)
