"""Tables of clients and homes, accounts, letterheads, reports of before and notebooks handed in, with things wrong."""

from __future__ import annotations

import datetime as dt
import json
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pytest
from hypothesis import strategies as st
from meter.account.test_account_file import WHOLE
from openpyxl import Workbook
from PIL import Image
from pyarrow import parquet

from fuzz.spoiled import CELLS, Draw, Target, files, packed, refused, try_spoiled
from simkit.answers.report.details import read_details, read_logo
from simkit.answers.report.since import read_since
from simkit.clients.home import home_of
from simkit.clients.table import read_clients
from simkit.clients.template import template
from simkit.lesson.marking import RECORD, handed_in
from simkit.meter.account.account_file import read_account_file, write_account_file
from simkit.meter.account.kept import as_csv, read_kept
from simkit.stock.part import Job, make
from simkit.stock.table import read_homes

HEADS = ("name", "place", "area", "fuel a year", "tariff", "offer", "controls.design_flow_c", "household.people")
CLIENT = ("Amber Lane 3", "moor_cottage", 118, "1750 litres", "", 11200, 45.5, 3)
HOMES = (
    "name,group,place,home.floor_area_m2,home.loss.w_per_k,controls.design_flow_c,household.people",
    "Alder,terrace,moor_cottage,80,140,45,",
    'Birch,flat,moor_cottage,60,90,"40",',
    "Cedar,terrace,,95,180,50,",
)
MONEY = (0, -1, 2**63, 10**30, 1e308, float("nan"), True, dt.datetime(2025, 1, 1), dt.time(7, 30), "=1/0", "=A1", "")


def _clients(path: Path) -> None:
    for row in read_clients(path)[:3]:
        for told in refused(lambda _, row=row: _client(row, path), path):  # type: ignore[misc]
            assert told.startswith(f"{path.name} line {row.line}"), told


def _client(row: Any, path: Path) -> None:
    made = home_of(row, path)
    assert made.case.name == row.name
    assert np.isfinite(made.case.home.floor_area_m2)


def _homes(path: Path) -> None:
    """Rows become cases; whichever can't is listed with its line and reason, and none is lost."""
    table = read_homes(path)
    rows = next(iter(table.pieces(4)))
    job = Job(rows, path.name, path.parent, "moor_cottage", (), (), 0)
    made = make(job, path.with_name("part.parquet"))
    assert made.years + len(made.missing) == len(rows)
    assert all(len(reason) > 10 for _, _, reason in made.missing)


def _account(path: Path) -> None:
    held = read_account_file(path)
    again = path.with_name("again.toml")
    write_account_file(again, held)
    assert read_account_file(again) == held


def _kept(path: Path) -> None:
    streams, history = read_kept(path)
    again = path.with_name("again.csv")
    again.write_text(as_csv(streams, history), encoding="utf-8")
    assert {name: len(stream) for name, stream in read_kept(again)[0].items()} == {
        name: len(stream) for name, stream in streams.items()
    }


def _client_rows() -> tuple[str, ...]:
    body = ["", *(f"Home {k},moor_cottage,{90 + k},{900 + k} litres,,{9000 + k},4{k}" for k in range(4))]
    return (template(), "\n".join([",".join(HEADS[:7]), *body]), "\n".join([";".join(HEADS[:7]), *body]).replace(",", ";"))  # fmt: skip


@cache
def _account_text(folder: Path) -> str:
    write_account_file(folder / "account.toml", WHOLE)
    return (folder / "account.toml").read_text(encoding="utf-8")


def _readings() -> tuple[str, ...]:
    rows = [f"2025-01-01T{k:02d}:00Z,2025-01-01T{k + 1:02d}:00Z,import_kwh,{k / 10},{'2025-02-01' if k == 5 else ''}" for k in range(20)]  # fmt: skip
    return ("\n".join(["start,end,quantity,value,replaced", *rows]) + "\n",)


def _report() -> tuple[str, ...]:
    said: dict[str, Any] = {"home": "A", "currency": "EUR", "advised": "B", "sections": {"inputs": {"ranked": [{"name": "a"}]}}, "provenance": {"version": "1"}}  # fmt: skip
    return (json.dumps(said, indent=1),)


def _notebook() -> tuple[str, ...]:
    record = {RECORD: {"pupil": 4, "level": 1, "given": {"a": 3.5, "b": "x"}}}
    cells = [{"cell_type": "code", "source": ["1"], "outputs": [{"data": record}, {"data": {}}, {}]}]
    return (json.dumps({"cells": cells, "nbformat": 4}, indent=1),)


LETTERHEAD = 'author = "A. Author"\nfirm = "Invented Ltd"\nlanguage = "de"\nclient = "B"\n'
TARGETS = {
    "clients": Target(_client_rows, _clients, 40),
    "homes": Target(lambda: ("\n".join(HOMES), "\n".join(HOMES).replace(",", "\t")), _homes, 25),
    "account": Target(lambda: (_account_text(Path(".")),), _account, 40, ".toml"),
    "readings kept": Target(_readings, _kept, 40),
    "letterhead": Target(lambda: (LETTERHEAD,), lambda path: (read_details(path), None)[1], 40, ".toml"),
    "report of before": Target(_report, lambda path: (read_since(path), None)[1], 40, ".json"),
    "notebook": Target(_notebook, lambda path: (handed_in(path), None)[1], 40, ".ipynb"),
}


@st.composite
def workbooks(draw: Draw) -> bytes:
    """A workbook of one client with up to four other cells in it, or a cell without end, or cells merged."""
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(HEADS)
    sheet.append(CLIENT)
    for _ in range(int(draw(st.integers(0, 4)))):  # type: ignore[call-overload]
        put = draw(st.sampled_from((*MONEY, *(cell for cell in CELLS if cell.isprintable()))))
        row, column = draw(st.integers(1, 4)), draw(st.integers(1, 10))
        sheet.cell(row=row, column=column).value = put  # type: ignore[arg-type]
    if draw(st.booleans()) and draw(st.booleans()):
        sheet.merge_cells("A2:B3")
    held = BytesIO()
    book.save(held)
    return held.getvalue()


def _table_of_homes() -> bytes:
    columns: dict[str, Any] = {
        "name": ["A", "B"], "place": ["moor_cottage"] * 2, "home.floor_area_m2": [90.0, None],
        "controls.design_flow_c": [45, 50],
    }  # fmt: skip
    held = BytesIO()
    parquet.write_table(pa.table(columns), held)
    return held.getvalue()


def _logo() -> bytes:
    held = BytesIO()
    Image.new("RGB", (20, 10), "white").save(held, "PNG")
    return held.getvalue()


@pytest.mark.parametrize("name", TARGETS)
def test_right_ones_are_read_and_spoiled_ones_read_or_refused_in_words(
    name: str, tmp_path: Path, monkeypatch: Any
) -> None:
    monkeypatch.chdir(tmp_path)
    target = TARGETS[name]
    for text in target.texts():
        path = tmp_path / f"right{target.ends}"
        path.write_text(text, encoding="utf-8")
        assert refused(target.read, path) == (), text[:200]
    try_spoiled(target, files(target.texts(), toml=target.ends == ".toml"), tmp_path)


def test_workbooks_of_clients(tmp_path: Path) -> None:
    try_spoiled(Target(tuple, _clients, 25, ".xlsx"), workbooks(), tmp_path)


def test_tables_of_homes_and_logos_with_other_bytes(tmp_path: Path) -> None:
    (tmp_path / "right.parquet").write_bytes(_table_of_homes())
    assert refused(_homes, tmp_path / "right.parquet") == ()
    try_spoiled(Target(tuple, _homes, 25, ".parquet"), packed(_table_of_homes()), tmp_path)
    try_spoiled(Target(tuple, lambda path: (read_logo(path), None)[1], 40, ".png"), packed(_logo()), tmp_path)
