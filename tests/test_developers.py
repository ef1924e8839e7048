"""README and DEVELOPERS name things that are there: every dotted name, path, command and option resolves."""

from __future__ import annotations

import re
import shutil
import subprocess
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from simkit.cli import answer, app

ROOT = Path(__file__).parent.parent
if not (ROOT / "DEVELOPERS.md").is_file():
    pytest.skip("the pages are not beside the tests", allow_module_level=True)
PAGES = {name: (ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md")}
TICKED = {name: set(re.findall(r"`([^`\n]+)`", text)) for name, text in PAGES.items()}
DOTTED = sorted({word for words in TICKED.values() for word in words if re.fullmatch(r"simkit(\.\w+)+", word)})
FOLDERS = ("simkit/", "tests/", "sample_data/", "notebooks/", ".ci/")
PATHS = sorted({word for words in TICKED.values() for word in words if word.startswith(FOLDERS) and " " not in word})


def resolved(name: str) -> Any:
    """The object that a dotted name stands for."""
    parts = name.split(".")
    for count in range(len(parts), 0, -1):
        try:
            found = import_module(".".join(parts[:count]))
        except ModuleNotFoundError:
            continue
        for part in parts[count:]:
            found = getattr(found, part)
        return found
    raise AssertionError(name)


@pytest.mark.parametrize("name", DOTTED)
def test_a_name_stands_for_something(name: str) -> None:
    assert resolved(name) is not None


def test_enough_names_are_looked_up() -> None:
    assert len(DOTTED) > 30
    assert len(PATHS) > 5


@pytest.mark.parametrize("path", PATHS)
def test_a_path_is_there(path: str) -> None:
    assert (ROOT / path).exists()


def blocks() -> list[str]:
    return re.findall(r"^```sh\n(.*?)^```$", PAGES["README.md"], re.DOTALL | re.MULTILINE)


def test_the_first_two_blocks_are_the_two_commands() -> None:
    run, test = blocks()[:2]
    assert run.splitlines()[0] == "python3 -m venv .venv"
    assert "simkit compare sample_data/estuary_bungalow/case.toml --page compare.html" in run
    assert test.splitlines()[0] == "python3 -m venv .venv-test"
    assert "pytest -n auto --dist loadfile --nbval-lax tests notebooks" in test


@pytest.mark.parametrize("command", [each.callback.__name__ for each in app.registered_commands if each.callback])
def test_commands_of_the_readme_exist_with_their_options(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert answer([command, "--help"]) == 0
    text = capsys.readouterr().out
    said = [line for line in PAGES["README.md"].splitlines() if re.search(rf"simkit {command}\b", line)]
    assert said
    for option in {option for line in said for option in re.findall(r"(?<!\w)--[a-z-]+", line)} - {"--quiet"}:
        assert option in text


def test_the_python_example_runs(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    (example,) = re.findall(r"^```python\n(.*?)^```$", PAGES["README.md"], re.DOTALL | re.MULTILINE)
    monkeypatch.chdir(ROOT)
    exec(compile(example, "README.md", "exec"), {})
    assert "Standing charge" in capsys.readouterr().out


def test_the_top_level_holds_what_it_should() -> None:
    try:
        command = ["git", "ls-files"]
        listed = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout.splitlines()
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("not a checkout")
    tops = {name.split("/")[0] for name in listed}
    plain = {name for name in tops if not name.startswith(".")}
    known = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml"}
    assert plain <= known | {"notebooks", "simkit", "tests", "sample_data"}


CHEAP = ("run", "compare", "spf", "rooms", "read", "check")  # the others take longer, and are tested by themselves


def printed_commands() -> list[list[str]]:
    """Every command of the README that can be typed as it stands, its options after it."""
    told = [line.removeprefix(".venv/bin/") for block in blocks() for line in block.splitlines()]
    rows = re.findall(r"^\| [^|]+ \| `(simkit [^`]+)` \|", PAGES["README.md"], re.MULTILINE)
    return [line.split()[1:] for line in (*told, *rows) if line.startswith("simkit ")]


def test_every_command_of_the_readme_runs_as_printed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    shutil.copytree(ROOT / "sample_data", tmp_path / "sample_data")
    assert answer(["new", "my_home"]) == 0
    for file in tmp_path.rglob("case.toml"):  # as printed, with ranges of few futures
        text, few = file.read_text(encoding="utf-8"), "[uncertainty]\nlanes = 16\n"
        assert "lanes" not in text
        file.write_text(
            text.replace("[uncertainty]\n", few) if "[uncertainty]\n" in text else f"{text}\n{few}", "utf-8"
        )
    commands = printed_commands()
    assert {command[0] for command in commands} >= {"new", "check", "compare", "run", "tariffs", "worth", "fit"}
    for name, *rest in commands:
        for given in rest:
            if given.endswith((".toml", ".csv")):
                assert Path(given).is_file(), given
        if name in CHEAP:
            assert answer([name, *rest]) == 0, (name, rest)
            assert capsys.readouterr().out
