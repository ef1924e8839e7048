"""`simkit read`, `fit`, `project` and `account`, as an owner would: a file in, one page out, next month appended."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from commands.conftest import Ask
from simkit.commands.meter_files import bills_of
from simkit.errors import CaseError


@pytest.fixture
def readings(bungalow: Path) -> Path:
    return bungalow.parent / "readings.csv"


def test_read_shows_rows_guesses_and_a_report(ask: Ask, readings: Path, tmp_path: Path) -> None:
    found = ask("read", readings, "--zone", "Europe/Dublin", "--save", tmp_path / "map.toml")
    assert found.code == 0
    assert "decimal sign: , (95 %" in found.out
    assert "1,920 readings in intervals of 30" in found.out
    told = json.loads(
        ask("read", readings, "--zone", "Europe/Dublin", "--mapping", tmp_path / "map.toml", "--json").out
    )
    assert told["usable_as_is"] is True
    assert told["quantities"] == ["import_kwh", "outdoor_c"]


def test_read_refuses_in_one_line(ask: Ask, tmp_path: Path) -> None:
    (tmp_path / "x.csv").write_text("a;b\n1;2\n")
    found = ask("read", tmp_path / "x.csv", "--zone", "Europe/Dublin")
    assert (found.code, found.out) == (3, "")
    assert found.faults[0].startswith(
        "x.csv: the file holds no row with a date and a number beside it; nothing was read."
    )


def test_fit_tells_the_home_and_writes_a_case(ask: Ask, bungalow: Path, readings: Path, tmp_path: Path) -> None:
    target = bungalow.parent / "fitted.toml"
    found = ask("fit", bungalow, readings, "--draws", "1280", "--write", target, "--json")
    assert found.code == 0
    told = json.loads(found.out)
    assert set(told["unknowns"]) == {"loss_w_per_k", "held_k", "efficiency", "base_kwh", "draws"}
    assert abs(told["metrics"]["import_kwh"]["nmbe"]) < 0.05
    assert told["signature"][0].startswith("A day takes ")
    assert ask("check", target).code == 0
    again = ask("fit", bungalow, readings, "--write", target)
    assert again.code == 2
    assert "is there already, and nothing is overwritten" in again.faults[0]


def test_project_is_one_page(ask: Ask, bungalow: Path, readings: Path, tmp_path: Path) -> None:
    page = tmp_path / "page.html"
    found = ask("project", bungalow, readings, "--draws", "1280", "--page", page)
    assert found.code == 0
    for words in ("A year will likely cost", "Was the design right?", "Heat loss: ", "What to measure next"):
        assert words in found.out
    text = page.read_text(encoding="utf-8")
    assert text.count("data:image/png;base64,") == 3
    assert "://" not in text  # the letters alone can stand in a picture written as base64


def test_account_is_begun_and_next_month_appended_by_one_command(
    ask: Ask, bungalow: Path, readings: Path, tmp_path: Path
) -> None:
    folder = tmp_path / "account"
    assert ask("account", folder, "--start", bungalow, "--add", readings).code == 0
    found = ask("account", folder, "--add", readings.with_name("readings_next.csv"), "--json")
    assert found.code == 0
    told = json.loads(found.out)
    assert told["months"]["month"] == ["2025-01", "2025-02", "2025-03"]
    assert sum(told["months"]["days"]) == 73
    twice = ask("account", folder, "--add", readings.with_name("readings_next.csv"))
    assert twice.code == 3
    assert "are in the account already; nothing was appended" in twice.faults[0]
    assert "Old fuel" in ask("account", folder).out


def test_a_bill_is_a_month_and_an_amount() -> None:
    assert bills_of(["2026-01=412,5"]) == {"2026-01": 412.5}
    with pytest.raises(CaseError) as refused:
        bills_of(["January=3"])
    assert str(refused.value) == "--bill: January=3 is not a month and an amount. Write for example 2026-01=412.5."
