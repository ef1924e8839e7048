"""The house as it is meant to be: files and folders of a size, imports that run one way and not too deep, no circles.

Imports are counted as they run when a module is loaded: those under TYPE_CHECKING and those inside functions are not.
"""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

import pytest
from side_by_side import LONGEST, TOGETHER

from simkit.cli import app

ROOT = Path(__file__).parents[1]
FILES = sorted((ROOT / "simkit").rglob("*.py"))
LONGEST_FILE, MOST_FILES, DEEPEST = 300, 15, 21
HELPERS = {
    "case_file",
    "meter_files",
    "outputs",
    "progress",
}  # what several commands share


def name_of(path: Path) -> str:
    """Module of a file."""
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


MODULES = {name_of(path): path for path in FILES}


def loaded(body: list[ast.stmt]) -> Iterator[str]:
    """Modules that are imported when these statements are run."""
    for node in body:
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            continue
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            names = (f"{node.module}.{alias.name}" for alias in node.names)
            yield from (name if name in MODULES else node.module for name in names)
        elif isinstance(node, ast.If) and "TYPE_CHECKING" in ast.unparse(node.test):
            yield from loaded(node.orelse)
        else:
            for part in ("body", "orelse", "finalbody"):
                yield from loaded([one for one in getattr(node, part, []) if isinstance(one, ast.stmt)])


GRAPH = {
    name: {one for one in loaded(ast.parse(path.read_text(encoding="utf-8")).body) if one in MODULES} - {name, "simkit"}
    for name, path in MODULES.items()
}


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_no_file_is_long(path: Path) -> None:
    lines = len(path.read_text(encoding="utf-8").splitlines())
    assert lines <= LONGEST_FILE


def test_no_folder_is_full_but_that_of_the_commands() -> None:
    counts = Counter(path.parent.relative_to(ROOT).as_posix() for path in FILES)
    assert {folder: count for folder, count in counts.items() if count > MOST_FILES} == {
        "simkit/commands": counts["simkit/commands"]
    }


def test_each_command_is_one_file_and_each_file_one_command() -> None:
    files = {path.stem for path in FILES if path.parent.name == "commands"} - {"__init__"}
    commands = {command.callback.__name__ for command in app.registered_commands}
    assert files - HELPERS == commands
    assert all(
        command.callback.__module__ == f"simkit.commands.{command.callback.__name__}"
        for command in app.registered_commands
    )


def test_imports_go_in_no_circle() -> None:
    assert len(list(TopologicalSorter(GRAPH).static_order())) == len(GRAPH)


def test_imports_are_not_deep() -> None:
    @cache
    def depth(name: str) -> int:
        return 1 + max((depth(other) for other in GRAPH[name]), default=0)

    deepest = max(GRAPH, key=depth)
    assert depth(deepest) <= DEEPEST, deepest


@pytest.mark.parametrize("room", ["tariff", "schema"])
def test_what_a_tariff_and_a_section_are_knows_no_case(room: str) -> None:
    known = {
        alias
        for name, path in MODULES.items() if name.startswith(f"simkit.{room}")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        for alias in ([node.module or ""] if isinstance(node, ast.ImportFrom) else [a.name for a in node.names] if isinstance(node, ast.Import) else [])
    }  # fmt: skip
    assert {name for name in known if name.startswith("simkit.case")} == set()


def test_files_that_are_begun_first_are_there() -> None:
    assert len(set(LONGEST)) == len(LONGEST)
    assert set(TOGETHER.values()) <= set(LONGEST)
    assert [file for file in (*LONGEST, *TOGETHER) if not (ROOT / file).is_file()] == []


def test_what_is_kept_is_kept_in_one_place() -> None:
    counted = {name for name, path in MODULES.items() if "lru_cache" in path.read_text(encoding="utf-8")}
    assert counted == {"simkit.kept.memory"}


def test_no_fine_relative_tolerance_is_widened_unseen() -> None:
    """pytest.approx allows 1e-12 whatever `rel` says, unless `abs` is given: of something tiny such a check can't fail."""
    fine = re.compile(r"\brel=[\d.]+e-(?:1\d|[2-9]\d)(?!, abs=)\b")
    found = {path.name: fine.findall(path.read_text(encoding="utf-8")) for path in (ROOT / "tests").rglob("*.py")}
    assert {name: several for name, several in found.items() if several} == {}
