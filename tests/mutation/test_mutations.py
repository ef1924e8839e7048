"""Mistakes made by hand are still of the code as it stands, those that are drawn change it, and some are caught."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest

from mutation.drawn import count_of, slip
from mutation.made import MUTATIONS, Mutation
from mutation.mutant import PACKAGE, TESTS
from mutation.nearest import EQUIVALENT, files, nearest_to

FILES = files()


@pytest.mark.parametrize("mutation", MUTATIONS, ids=lambda mutation: mutation.name)
def test_its_old_text_stands_once_and_its_tests_are_there(mutation: Mutation) -> None:
    mutant = mutation.mutant()
    assert mutant.text != (PACKAGE / mutant.file).read_text(encoding="utf-8")
    assert all((TESTS / test.partition("::")[0]).exists() for test in mutation.tests)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="mistakes are tried in forked processes")
def test_mistakes_made_on_purpose_are_caught() -> None:
    names = ("amounts below zero rounded upwards", "a few hours more called a little cool")
    command = [sys.executable, str(TESTS / "mutation" / "run.py"), *names]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout.splitlines()[-1]) == (0, "2 of 2 caught"), done.stdout + done.stderr


@pytest.mark.parametrize("file", ["physics/battery.py", "billing/charges/peaks.py"])
def test_every_mistake_drawn_changes_the_file_in_one_statement(file: str) -> None:
    source = (PACKAGE / file).read_text(encoding="utf-8")
    plain = ast.unparse(ast.parse(source)).splitlines()
    made = [slip(source, number) for number in range(0, count_of(source), 5)]
    for one in made:
        after = one.text.splitlines()
        assert len(after) == len(plain)
        assert sum(a != b for a, b in zip(plain, after, strict=True)) == 1, one
    assert len({one.text for one in made}) == len(made)


def test_what_is_drawn_from_has_tests_beside_it_and_equivalents_name_a_statement_that_stands() -> None:
    assert len(FILES) > 40
    for file in FILES:
        assert all((TESTS / test).exists() for test in nearest_to(file)), file
    for (file, old, _), reason in EQUIVALENT.items():
        held = [" ".join(line.split()) for line in ast.unparse(ast.parse((PACKAGE / file).read_text())).splitlines()]
        assert old in held, (file, old)
        assert reason


def test_the_folder_of_the_package_is_the_one_that_is_tested() -> None:
    import simkit

    assert Path(simkit.__file__).parent == PACKAGE
