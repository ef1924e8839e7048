"""`simkit schedules` and `simkit optimum`: text, JSON, and what can't be asked."""

from __future__ import annotations

import importlib.util
import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from decide.invented import few_candidates

from commands.conftest import Ask


@pytest.fixture(autouse=True)
def few() -> Iterator[None]:
    with few_candidates(LEAD_H=(1.0,), SET_BACK_K=(0.0, 1.0), CURVE_K=(-3.0, 0.0)):
        yield


def test_the_answer_the_sheet_and_the_verdict(ask: Ask, homes: Path) -> None:
    found = ask("schedules", "sample_data/harbour_flat", "--option", "x")
    assert found.code == 2
    found = ask("schedules", "sample_data/canal_terrace", "--no-range")
    assert found.code == 0
    for words in ("What to type in", "hot cycle", "leave it on", "left aside whatever they cost", "set back"):
        assert words in " ".join(found.out.split())


def test_json_holds_the_settings(ask: Ask, homes: Path) -> None:
    found = ask(
        "schedules", "sample_data/canal_terrace", "--json", "--no-range", "--csv", "best.csv", "--page", "best.html"
    )
    told = json.loads(found.out)
    assert (homes / "best.csv").read_text().startswith("schedule,comfort,year_cost,")
    assert "What to type in" in (homes / "best.html").read_text()
    assert told["best"]["cost"] + told["saving"] == pytest.approx(told["today"]["cost"], abs=0.01)
    assert len(told["verdict"]) == 9
    assert {"setting", "winter", "summer"} == set(told["settings"][0])


def test_a_boiler_has_no_schedule(ask: Ask, homes: Path) -> None:
    found = ask("schedules", "sample_data/canal_terrace", "--option", "Gas boiler")
    assert found.code == 2
    assert 'heat_source = "boiler" leaves nothing to schedule' in found.faults[0]


def test_without_the_solver_it_is_said_before_anything_runs(
    ask: Ask, homes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    found = ask("optimum", "sample_data/canal_terrace")
    assert (found.code, found.out) == (2, "")
    assert found.faults == [
        "optimum needs highspy, which is not installed. Install it into this environment: python -m pip install highspy."
    ]


def test_stretches_under_a_day_are_refused(ask: Ask, homes: Path) -> None:
    found = ask("optimum", "sample_data/canal_terrace", "--days", "0")
    assert found.code == 2
    assert "is shorter than a day" in found.faults[0]
