"""A home to be shared: nothing tells whose it is, what was taken out is listed, and a year costs what it did."""

from __future__ import annotations

import datetime as dt
import shutil
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from homes import NAMES, SAMPLES, sample

from simkit.case.build import case_from, vary
from simkit.case.case import Case
from simkit.case.load import read_case, write_case
from simkit.cli import answer
from simkit.clock import TimeAxis
from simkit.errors import CaseError
from simkit.reporting.on_terminal import answer_text
from simkit.sharing.private import Blurred
from simkit.sharing.share import WITHIN, share, usual_days

SECRET = "Zuckerbrot"


def secrets(value: Any, key: str = "") -> Any:
    """The table with a name of ours in every free text."""
    if isinstance(value, dict):
        return {name: secrets(part, name) for name, part in value.items()}
    if isinstance(value, list | tuple):
        return [secrets(part, key) for part in value]
    free = ("name", "note", "label", "against", "baseline", "source", "reason", "safety")
    return f"{SECRET} {value}" if key in free and isinstance(value, str) else value


def told_by(folder: Path) -> str:
    return "".join(path.read_text(encoding="utf-8") for path in sorted(folder.iterdir()))


@pytest.mark.parametrize("name", NAMES)
def test_a_sample_costs_what_it_did_without_its_names(name: str, tmp_path: Path) -> None:
    shutil.copytree(SAMPLES / "tariffs", tmp_path / "tariffs")
    table = secrets(tomllib.loads((SAMPLES / name / "case.toml").read_text(encoding="utf-8")))
    (tmp_path / name).mkdir()
    write_case(case_from(table, folder=tmp_path / name), tmp_path / name / "case.toml")
    found = share(read_case(tmp_path / name / "case.toml"), tmp_path / "out")
    assert found.moved <= WITHIN
    assert SECRET not in told_by(tmp_path / "out")
    shared = read_case(tmp_path / "out" / "case.toml")
    assert shared.site.latitude_deg % 0.5 == 0.0
    assert shared.site.longitude_deg % 0.5 == 0.0
    days = [item.date for _, _, option in shared.options() for item in (option.ledger.item if option.ledger else ())]
    assert all(day.day == 1 for day in days)
    text = answer_text(found.answer())
    assert "site.latitude_deg" in text
    assert "note" in text
    assert "remarks of the files" in text


def named(case: Case, folder: Path) -> Case:
    """The home with a file of weather, one of its own use, and one of prices."""
    axis = TimeAxis(case.site.zone, case.site.year, 60)
    chance = np.random.default_rng(5)
    day = axis.day_of_year
    weather = pd.DataFrame(
        {
            "outdoor_c": 10.0 - 6.0 * np.cos(2 * np.pi * (day - 20) / 365) + chance.normal(0, 2, axis.steps),
            "rh": np.full(axis.steps, 0.8),
        },
        index=pd.Index(axis.utc.strftime("%Y-%m-%dT%H:%MZ"), name=f"time of {SECRET}"),
    )
    weather.to_csv(folder / f"{SECRET}_weather.csv")
    use = np.where((axis.minute_of_day > 1000), 0.7, 0.25) * chance.uniform(0.2, 1.8, axis.steps)
    pd.Series(use, index=pd.Index(axis.utc.strftime("%Y-%m-%dT%H:%M+00:00"), name="start"), name="use kW").to_csv(
        folder / f"{SECRET}_use.csv"
    )
    read = {"file": f"{SECRET}_weather.csv", "format": "csv", "label": "start", "clock": "utc",
            "columns": {"time": f"time of {SECRET}", "outdoor_c": "outdoor_c", "humidity": "rh"}}  # fmt: skip
    changes = {
        "weather": read, "household": {"file": f"{SECRET}_use.csv", "annual_kwh": float(use.sum())},
        "tariff": str(SAMPLES / "tariffs" / "estuary_day_ahead.toml"), "option": None, "baseline": None,
    }  # fmt: skip
    path = folder / "case.toml"
    shutil.copytree(SAMPLES / "tariffs", folder / "tariffs")
    shutil.copy(SAMPLES / "estuary_bungalow" / "case.toml", path)
    path.write_text(path.read_text(encoding="utf-8").replace("../tariffs/", "tariffs/"), encoding="utf-8")
    return vary(read_case(path), changes)


def test_named_files_come_along_without_what_they_tell(tmp_path: Path) -> None:
    home = named(sample("estuary_bungalow"), tmp_path)
    found = share(vary(home, {"money.measure": None}), tmp_path / "out")
    assert found.moved <= WITHIN
    assert SECRET not in told_by(tmp_path / "out")
    held = {path.name for path in (tmp_path / "out").iterdir()}
    assert held == {"case.toml", "tariff_1.toml", "prices_1.csv", "weather_1.csv", "household_1.csv"}
    assert {"weather.file", "household.file"} <= {change.where for change in found.changes}
    read = pd.read_csv(tmp_path / "out" / "household_1.csv")
    assert read["use kW"].nunique() <= 12 * 2 * 24


def test_usual_days_keep_what_each_month_uses() -> None:
    axis = TimeAxis("Europe/Dublin", 2025, 60)
    kw = np.random.default_rng(1).uniform(0.1, 2.0, axis.steps)
    usual = usual_days(axis, kw)
    for month in range(1, 13):
        assert usual[axis.month == month].sum() == pytest.approx(kw[axis.month == month].sum())
    mondays = usual[(axis.month == 6) & (axis.local.day_of_week == 0) & (axis.minute_of_day == 480)]
    assert len(set(mondays.round(12))) == 1


def test_nothing_is_written_over(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    with pytest.raises(CaseError, match="is there already"):
        share(sample("harbour_flat"), tmp_path / "out")
    with pytest.raises(CaseError, match="has no folder"):
        share(sample("harbour_flat"), tmp_path / "no" / "out")


def test_the_command_lists_what_it_took_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    case = SAMPLES / "harbour_flat" / "case.toml"
    assert answer(["share", str(case), "-o", str(tmp_path / "out")]) == 0
    assert "site.latitude_deg" in capsys.readouterr().out
    assert answer(["share", str(case), "-o", str(tmp_path / "out")]) == 2
    assert dt.date.today().isoformat() not in told_by(tmp_path / "out")


def test_days_away_tell_their_month_and_length_only() -> None:
    blurred = Blurred()
    table = {"household": {"away": [{"first": "02-10", "last": "02-16", "c": 12}, {"first": "12-24", "last": "01-02"}]}}
    made = blurred.case(table)
    assert made["household"]["away"] == [
        {"first": "02-01", "last": "02-07", "c": 12},
        {"first": "12-01", "last": "12-10"},
    ]
    assert any(change.where == "household.away" for change in blurred.changes)
