"""`simkit page`: what is served, to whom, and what is said where something is missing or wrong."""

from __future__ import annotations

import json
import subprocess
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

import simkit.commands.page
from commands.conftest import Ask
from simkit.commands.page import CASE, FOLDER, PARTS, SHOWN, TEMPLATES, page_notebook
from simkit.panels.my_case import MY_HOME, found_case
from simkit.panels.page import QUESTIONS, Page

needs_voila = pytest.mark.skipif(
    any(find_spec(part) is None for part in PARTS), reason="Voila is not installed (extra page)"
)


@needs_voila
def test_it_is_served_to_this_computer_alone_and_a_name_is_no_code(
    ask: Ask, homes: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    called: list[tuple[list[str], dict[str, str], dict[str, Any]]] = []

    def call(command: list[str], env: dict[str, str]) -> int:
        called.append((command, env, json.loads(Path(command[3]).read_text(encoding="utf-8"))))
        return 0

    monkeypatch.setattr(subprocess, "call", call)
    folder = homes / "sample_data" / "moor_cottage"
    assert ask("page", folder, "--no-browser", "--port", "9000").code == 0
    assert ask("page").code == 0
    (command, told, notebook), (other, nothing, _) = called
    assert command[1:3] == ["-m", "voila"]
    assert {"--port=9000", "--Voila.ip=127.0.0.1", "--Voila.auto_token=True", "--no-browser"} <= set(command)
    assert "--no-browser" not in other
    assert (told[CASE], told[FOLDER]) == (str((folder / "case.toml").resolve()), str(folder.resolve()))
    assert (nothing[CASE], nothing[FOLDER]) == ("", str(homes))
    assert told["JUPYTER_PATH"].startswith(str(TEMPLATES))
    assert notebook == json.loads(json.dumps(page_notebook()))
    assert "moor" not in SHOWN


@needs_voila
def test_a_case_that_is_wrong_is_said_before_anything_is_started(ask: Ask, homes: Path) -> None:
    (homes / "case.toml").write_text("name = \n", encoding="utf-8")
    found = ask("page", "case.toml")
    assert (found.code, len(found.faults)) == (2, 1)
    assert json.loads(ask("page", "--json").out)["case"] is None


def test_what_is_missing_is_named_with_what_to_do(ask: Ask, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(simkit.commands.page, "find_spec", lambda part: None if part == "voila" else object())
    assert ask("page").faults == [
        "simkit page needs voila, which can't be found. Install into this environment: python -m pip install voila."
    ]


def test_a_tab_is_made_when_it_is_opened_and_follows_the_form(tmp_path: Path) -> None:
    found = found_case((), tmp_path, form=True)
    assert "A plain home like the sample" in found.line
    page = Page(found, tmp_path)
    assert list(page.panels) == [QUESTIONS[0].words]
    page.open(1)
    flow = page.panels[QUESTIONS[1].words]
    assert flow.case == page.form.case == found.case
    page.form.set("floor_area", 101)
    assert flow.case.home.floor_area_m2 == page.form.case.home.floor_area_m2 == 101.0
    page.open(4)
    _, line, _ = page.tabs.children[4].children
    assert "The sample home" in line.value, "readings are not those of the form's home"
    assert not (tmp_path / MY_HOME).exists()
