"""The notebooks are short, say what they printed, and run from top to bottom in a folder that `simkit new` would make."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from notebooks.test_own_home import run
from simkit.answers.answer import Answer

FIRST = "01_your_home_your_year.ipynb"
CHECKOUT = Path(__file__).parents[2]
NOTEBOOKS = sorted((CHECKOUT / "notebooks").glob("*.ipynb"))
MOST_LINES, MOST_IN_A_CELL = 60, 12  # own: a lesson is read, not scrolled


def cells(path: Path, kind: str) -> list[dict[str, Any]]:
    """Cells of one kind."""
    return [cell for cell in json.loads(path.read_text(encoding="utf-8"))["cells"] if cell["cell_type"] == kind]


def source(cell: dict[str, Any]) -> str:
    """Text of a cell."""
    return "".join(cell["source"])


def test_there_is_a_notebook() -> None:
    assert NOTEBOOKS
    assert NOTEBOOKS[0].name == FIRST


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_is_short_and_defines_nothing(path: Path) -> None:
    lines = [[line for line in source(cell).splitlines() if line.strip()] for cell in cells(path, "code")]
    assert sum(map(len, lines)) <= MOST_LINES
    assert max(map(len, lines)) <= MOST_IN_A_CELL
    assert not any(re.match(r"\s*(def|class|lambda)\b", line) for cell in lines for line in cell)


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_code_is_folded_and_a_line_says_how_to_open_it(path: Path) -> None:
    for cell in cells(path, "code"):
        assert "hide-input" in cell["metadata"]["tags"]
        assert cell["metadata"]["jupyter"] == {"source_hidden": True}
    assert "The code is folded: a click on the bar left of a cell opens it." in source(cells(path, "markdown")[0])


@pytest.mark.parametrize("path", NOTEBOOKS[:-1], ids=lambda path: path.stem)
def test_a_notebook_takes_your_home_lets_guess_shows_a_panel_and_answers_last(path: Path) -> None:
    held = json.loads(path.read_text(encoding="utf-8"))["cells"]
    code = [source(cell) for cell in cells(path, "code")]
    assert "case = sk.my_case(" in code[0]
    assert any("sk.panels.Guess" in text for text in code[:4])
    assert any("Trial(" in text for text in code)
    assert not any("sample_file" in text or "options()[" in text for text in code), "options are told by what they are"
    assert source(held[-2]).startswith("## The answer")
    assert held[-1]["cell_type"] == "code"


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_words_nothing_itself(path: Path) -> None:
    assert not any(re.search(r"\bprint\(|to_string\(|\bf[\"']", source(cell)) for cell in cells(path, "code"))


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_shows_a_table_that_its_check_can_miss_and_asks_a_question(path: Path) -> None:
    checked = [cell for cell in cells(path, "code") if "nbval-check-output" in cell["metadata"].get("tags", [])]
    assert checked
    for cell in checked:
        (shown,) = cell["outputs"]
        assert {"text/plain", "text/html"} == set(shown["data"])
    assert any("?" in source(cell) for cell in cells(path, "markdown"))


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_names_no_place_of_one_computer(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"/(home|Users|tmp|root|opt|var)/|[A-Z]:\\\\", text)
    assert "http" not in text


def test_the_first_notebook_runs_in_a_starter_folder_and_shows_what_it_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home = tmp_path / "home"
    shutil.copytree(CHECKOUT / "sample_data", home / "sample_data")
    shutil.copytree(CHECKOUT / "notebooks", home / "notebooks", ignore=shutil.ignore_patterns(".ipynb_checkpoints"))
    before = sorted((home / "notebooks").iterdir())
    monkeypatch.chdir(home / "notebooks")
    (checked,) = (cell for cell in cells(NOTEBOOKS[0], "code") if "nbval-check-output" in cell["metadata"]["tags"])
    stored = {kind: "".join(text) for kind, text in checked["outputs"][0]["data"].items()}
    assert stored in [one._repr_mimebundle_() for one in run(home / "notebooks" / FIRST) if isinstance(one, Answer)]
    assert sorted((home / "notebooks").iterdir()) == before  # nothing is written unasked
