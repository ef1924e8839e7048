"""Paths of files wherever a case may name them in; the same files seen from another folder out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from case.stated import made, table
from simkit.case.build import vary
from simkit.case.load import read_case, write_case
from simkit.case.money.money import changed_paths
from simkit.case.named_files import with_files_turned
from simkit.case.sample_homes import sample_file


def measure(name: str, *changes: str) -> dict[str, Any]:
    return {"name": name, "changes": [*changes], "cost": 0.0, "life_years": 5.0, "bother": "an hour", "who": "you"}


def test_a_measure_still_finds_its_tariff_from_another_folder(tmp_path: Path) -> None:
    case = read_case(sample_file("estuary_bungalow"))
    (tmp_path / "deep" / "down").mkdir(parents=True)
    write_case(case, tmp_path / "deep" / "down" / "case.toml")
    again = read_case(tmp_path / "deep" / "down" / "case.toml")
    assert again == case
    assert case.money is not None
    assert again.money is not None
    moved = [
        (one, other)
        for one, other in zip(case.money.measure or (), again.money.measure or (), strict=True)
        if one.changes != other.changes
    ]
    assert [one.name for one, _ in moved] == ["Long-night tariff, water at night"]
    ((one, other),) = moved
    assert vary(again, changed_paths(other.changes)).tariff == vary(case, changed_paths(one.changes)).tariff
    assert other.changes[1:] == one.changes[1:], "lines without a path stay as they were written"
    write_case(again, tmp_path / "case.toml")
    assert read_case(tmp_path / "case.toml") == case, "and back up"


def test_every_place_of_a_path(tmp_path: Path) -> None:
    money = {"start": "2026-01-01", "measure": [
        measure("own hours", 'weather.file = "data/hours.epw"', "controls.design_flow_c = 45.0"),
        measure("own load", 'household = { annual_kwh = 3000.0, file = "load.csv" }'),
    ]}  # fmt: skip
    option = {"name": "measured", "weather": {"file": "data/hours.epw"}}
    case = made(table("baseline", money=money, option=[option]))
    (tmp_path / "deep").mkdir()
    write_case(case, tmp_path / "deep" / "case.toml")
    again = read_case(tmp_path / "deep" / "case.toml")
    assert again == case
    assert again.money is not None
    lines = [line for one in again.money.measure or () for line in one.changes]
    assert lines[1] == "controls.design_flow_c = 45.0"
    for line, place in ((lines[0], "data/hours.epw"), (lines[2], "load.csv")):
        ((_, value),) = changed_paths((line,)).items()
        name = value["file"] if isinstance(value, dict) else value
        assert (again.folder / name).resolve() == (case.folder / place).resolve()
    assert changed_paths((lines[2],))["household"]["annual_kwh"] == 3000.0
    assert [o.files for _, _, o in again.options()] == [o.files for _, _, o in case.options()]


def test_what_is_no_path_stays() -> None:
    said = {"money": {"measure": [measure("x", "no line at all", "tariff.tax = 0.1")]}, "tariff": "a.toml"}
    assert with_files_turned(said, str.upper) == said | {"tariff": "A.TOML"}
