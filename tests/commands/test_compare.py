"""`simkit compare`: the table, its JSON, a page and a figure."""

from __future__ import annotations

import builtins
import importlib.util
import json
from pathlib import Path
from typing import Any

import pytest

from commands.conftest import Ask
from simkit.case.sample_homes import sample_names

SAMPLES = sample_names(Path(__file__).parent.parent)


@pytest.mark.parametrize("name", SAMPLES)
def test_every_sample_is_compared(ask: Ask, homes: Path, name: str) -> None:
    found = ask("compare", f"sample_data/{name}", "--json", "--no-range")
    assert found.code == 0
    options = json.loads(found.out)["options"]
    assert len(options) >= 2
    for option in options:
        assert all(abs(kwh) < 1e-6 for kwh in option["balance_kwh"].values())


def test_page_and_figure_are_written(ask: Ask, bungalow: Path, homes: Path) -> None:
    pytest.importorskip("matplotlib")
    found = ask("compare", bungalow, "--page", "page.html", "--figure", "costs.PNG")
    assert found.code == 0
    assert found.faults == ["Written: page.html", "Written: costs.PNG"]
    assert "likely €" in found.out
    assert (homes / "page.html").read_text(encoding="utf-8").startswith("<!doctype html>")
    assert (homes / "costs.PNG").read_bytes().startswith(b"\x89PNG")


def test_what_is_missing_for_a_page_is_said_before_anything_runs(
    ask: Ask, bungalow: Path, homes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    found = ask("compare", bungalow, "--page", "page.html")
    assert (found.code, found.out) == (2, "")
    assert found.faults == [
        "--page needs matplotlib, which is not installed. Install it into this environment: python -m pip install matplotlib."
    ]
    assert not (homes / "page.html").exists()


def test_without_a_page_matplotlib_is_not_asked_for(ask: Ask, bungalow: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    load = builtins.__import__

    def without(name: str, *more: Any, **rest: Any) -> Any:
        assert not name.startswith("matplotlib")
        return load(name, *more, **rest)

    monkeypatch.setattr(builtins, "__import__", without)
    assert ask("compare", bungalow, "--no-range").code == 0
