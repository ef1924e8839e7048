"""`simkit schedules` and `simkit optimum`: text, JSON, and what can't be asked."""

from __future__ import annotations

import importlib.util
import io
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
    found = ask("schedules", "sample_data/canal_terrace")
    assert found.code == 0
    for words in ("what to type in", "hot cycle", "leave it on", "thrown out because they keep the home", "set back"):
        assert words in " ".join(found.out.split())


def test_json_holds_the_settings(ask: Ask, homes: Path) -> None:
    found = ask("schedules", "sample_data/canal_terrace", "--json")
    told = json.loads(found.out)
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


def test_the_view_of_an_optimum() -> None:
    from decide.optimum.test_optimum import found
    from rich.console import Console

    from simkit.reporting.results.schedules import optimum_object, optimum_view

    screen = Console(width=100, record=True, file=io.StringIO())
    screen.print(optimum_view(found()))
    text = screen.export_text()
    for words in (
        "bound: no schedule costs less",
        "optimum, simulated",
        "best schedule to type in",
        "by the day itself",
        "today",
        "Jan",
        "no controller reaches it",
    ):
        assert words in text
    told = optimum_object(found())
    assert told["bound"] <= told["optimum_simulated"] <= told["best_schedule"] <= told["today"]
    assert list(told["control"]) == ["by the clock", "by yesterday", "by the day itself", "bound"]
    costs = list(told["control"].values())
    assert costs == sorted(costs, reverse=True)
    assert told["notes"] == []
