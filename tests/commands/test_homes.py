"""`simkit homes`: what it prints, writes and refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from commands.conftest import Ask

TABLE = "name;group;home.loss.w_per_k\nAlder;north;140\nBirch;south;170,5\nCedar;south;plenty\n"


@pytest.fixture
def table(homes: Path) -> Path:
    path = homes / "street.csv"
    path.write_text(TABLE, encoding="utf-8")
    return path


def test_it_says_what_failed_then_what_homes_pay_and_takes_up_what_was_done(ask: Ask, table: Path, homes: Path) -> None:
    night = homes / "sample_data" / "tariffs" / "moor_night_meter.toml"
    words = ("homes", table, "-o", "out", "--place", "moor_cottage", "--tariff", night, "--workers", "1")
    first = ask(*words, "--page", "street.html", "--csv", "street_sums.csv")
    assert first.code == 0
    assert first.out.splitlines()[1].startswith("1 of 3 rows could not be run: not_run.csv")
    assert "A year costs" in first.out.replace("\n", " ")
    assert (homes / "out" / "part-00000.parquet").is_file()
    assert "Moor night meter" in (homes / "street.html").read_text(encoding="utf-8")
    found = ask(*words, "--json")
    held = json.loads(found.out)
    assert (held["kept_parts"], held["homes"], held["home_years"]) == (1, 3, 2)
    assert held["not_run"][0]["line"] == 4
    assert held["tables"]["groups"][0]["homes_count"] == 1


def test_what_can_not_be_done_is_one_sentence(ask: Ask, table: Path, homes: Path) -> None:
    found = ask("homes", homes / "street.xlsx", "-o", "out")
    assert (found.code, found.out) == (2, "")
    assert "does not end in .csv or .parquet" in found.faults[0]
    found = ask("homes", table, "-o", "out", "--place", "moor_cottage", "--page", table)
    assert found.code == 2
    found = ask("homes", homes / "nothing.csv", "-o", "out", "--place", "moor_cottage")
    assert (found.code, len(found.faults)) == (3, 1)
    assert not (homes / "out").exists()
