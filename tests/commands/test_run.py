"""`simkit run`: text, JSON and hours of one year."""

from __future__ import annotations

import csv
import json
from pathlib import Path

from commands.conftest import Ask
from simkit.case.load import read_case
from simkit.year.simulate import simulate


def test_the_answer_comes_first_with_its_range(ask: Ask, bungalow: Path) -> None:
    found = ask("run", bungalow)
    assert found.code == 0
    assert found.out.startswith("Estuary bungalow")
    assert "A year costs about €" in found.out
    assert "(likely €" in found.out
    assert found.err == ""


def test_a_folder_stands_for_the_case_in_it(ask: Ask, bungalow: Path) -> None:
    whole, folder = ask("run", bungalow, "--no-range"), ask("run", bungalow.parent, "--no-range")
    assert whole.out == folder.out
    assert "ikely" not in whole.out


def test_json_is_one_object_and_nothing_else(ask: Ask, bungalow: Path) -> None:
    found = ask("run", bungalow, "--no-range", "--json")
    year = json.loads(found.out)
    assert year["case"] == "Estuary bungalow"
    assert year["bill"]["total"] == simulate(read_case(bungalow)).bill.total
    assert year["bill"]["range"] is None
    assert found.err == ""


def test_an_option_is_run_by_its_name(ask: Ask, bungalow: Path) -> None:
    found = ask("run", bungalow, "--option", "Oil boiler, as lived", "--no-range", "--json")
    year = json.loads(found.out)
    assert year["case"] == "Oil boiler, as lived"
    assert year["fuel_kwh"]["oil"] > 10_000


def test_an_unknown_option_gets_the_nearest_name(ask: Ask, bungalow: Path) -> None:
    found = ask("run", bungalow, "--option", "Oil boiler as lived")
    assert (found.code, found.out) == (2, "")
    assert found.faults == [
        'case.toml: option "Oil boiler as lived" is not in this case. Perhaps "Oil boiler, as lived" is meant.'
    ]
    assert ask("run", bungalow, "--option", "xyz").faults == [
        'case.toml: option "xyz" is not in this case. Its options are: "Oil boiler, as lived", "Oil boiler, same comfort", '
        '"Heat pump, as installed", "Two fan convectors", "Cheap-night tariff".'
    ]


def test_a_case_without_options_says_so(ask: Ask, bungalow: Path) -> None:
    text = bungalow.read_text(encoding="utf-8")
    alone = text[: text.index("[[option]]")].replace('baseline = "Oil boiler, as lived"\n', "")
    bungalow.write_text(alone, encoding="utf-8")
    assert ask("run", bungalow, "--option", "xyz").faults == [
        'case.toml: option "xyz" is not in this case. It lists none.'
    ]
    compared = ask("compare", bungalow, "--no-range")
    assert compared.code == 0
    assert "A year costs about €" in compared.out


def test_hours_are_written_with_both_clocks_and_every_step(ask: Ask, bungalow: Path, homes: Path) -> None:
    found = ask("run", bungalow, "--no-range", "--hourly", "hours.csv")
    assert found.code == 0
    assert found.faults == ["Written: hours.csv"]
    with (homes / "hours.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    year = simulate(read_case(bungalow))
    assert len(rows) == year.axis.steps
    assert list(rows[0])[:2] == ["time_utc", "time_local"]
    assert set(rows[0]) >= set(year.hourly.columns)
    assert rows[0]["time_utc"] == "2025-01-01T00:00:00+00:00"
    summer = next(row for row in rows if row["time_utc"].startswith("2025-07-01T12:00"))
    assert summer["time_local"] == "2025-07-01T13:00:00+01:00"
    assert abs(sum(float(row["import_kw"]) for row in rows) * year.axis.hours - year.totals["import"]) < 0.05
    assert not list(homes.glob(".hours*"))
