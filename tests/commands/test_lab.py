"""`simkit lab`: which notebooks are opened, with what command, and what is said where something is missing."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

import simkit.commands.lab
from commands.conftest import Ask
from simkit.commands.lab import EXPORTED_ALONE, PARTS, notebook_folder
from simkit.errors import CaseError

needs_jupyter = pytest.mark.skipif(
    any(find_spec(part) is None for part in PARTS), reason="JupyterLab is not installed (extra lab)"
)


@pytest.fixture
def starter(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with one notebook, somewhere else than the current one."""
    (tmp_path / "home" / "notebooks").mkdir(parents=True)
    (tmp_path / "home" / "notebooks" / "01_home.ipynb").write_text("{}", encoding="utf-8")
    (tmp_path / "empty").mkdir()
    monkeypatch.chdir(tmp_path / "empty")
    return tmp_path / "home"


@needs_jupyter
def test_the_notebooks_of_a_folder_are_opened(ask: Ask, starter: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    called: list[list[str]] = []
    monkeypatch.setattr(subprocess, "call", lambda command: called.append(command) or 0)
    assert ask("lab", starter).code == 0
    assert called[0][:3] == [sys.executable, "-m", "jupyterlab"]
    assert f"--ServerApp.root_dir={starter.resolve()}" in called[0]
    assert "--ServerApp.default_url=/lab/tree/notebooks" in called[0]


@needs_jupyter
def test_as_json_nothing_is_started(ask: Ask, starter: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(subprocess, "call", lambda command: pytest.fail("started"))
    found = json.loads(ask("lab", starter, "--json").out)
    assert found["folder"] == str((starter / "notebooks").resolve())
    assert found["command"][2] == "jupyterlab"


@needs_jupyter
def test_what_is_exported_asks_no_host_though_the_state_of_its_panels_is_saved() -> None:
    from nbconvert import HTMLExporter
    from nbformat import v4

    view = {"application/vnd.jupyter.widget-view+json": {"model_id": "x", "version_major": 2, "version_minor": 0}}
    shown = v4.new_output("display_data", {**view, "text/plain": "live"})
    held = v4.new_notebook(cells=[v4.new_code_cell("panel", outputs=[shown])])
    state = {"state": {}, "version_major": 2, "version_minor": 0}
    held.metadata["widgets"] = {"application/vnd.jupyter.widget-state+json": state}
    flags = dict(flag.removeprefix("--HTMLExporter.").split("=", 1) for flag in EXPORTED_ALONE)
    exporter = HTMLExporter(**flags)
    page, _ = exporter.from_notebook_node(held)
    asked = re.findall(r"""(?:src|href|widgetRendererSrc) ?= ?["'](.*?)["']""", page)
    assert "data:," in asked
    assert not [address for address in asked if address.startswith(("http", "//"))]


def test_the_folder_itself_may_hold_them(starter: Path) -> None:
    assert notebook_folder(starter / "notebooks") == (starter / "notebooks").resolve()


def test_without_a_folder_the_current_one_goes_first(starter: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(starter)
    assert notebook_folder(None) == (starter / "notebooks").resolve()


def test_a_folder_without_notebooks_is_refused(ask: Ask, starter: Path) -> None:
    empty = starter.parent / "empty"
    assert ask("lab", empty).faults == [f"the folder {empty} holds no notebooks. Make one with: simkit new {empty}."]
    assert ask("lab", "nowhere").faults == ["the folder nowhere is not there. Make one with: simkit new nowhere."]


def test_notebooks_inside_an_installation_are_left_alone(starter: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    inside = Path("site/simkit/starter/notebooks")
    monkeypatch.setattr(simkit.commands.lab, "shipped_folder", lambda name: inside)
    with pytest.raises(CaseError) as refused:
        notebook_folder(None)
    assert str(refused.value) == "simkit lab finds no notebooks here. Make a folder of your own: simkit new my_home."


def test_what_is_missing_is_named_with_what_to_do(ask: Ask, starter: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(simkit.commands.lab, "find_spec", lambda part: None if part != "matplotlib" else object())
    found = ask("lab", starter)
    assert (found.code, found.out) == (2, "")
    assert found.faults == [
        "simkit lab needs jupyterlab and anywidget, which can't be found. Install into this environment: python -m pip "
        "install jupyterlab anywidget."
    ]
