"""Every mutation is still one of the code as it stands, and two quick ones are caught by the tests named beside them."""

from __future__ import annotations

from pathlib import Path

import pytest
from mutations import CAUGHT, MUTATIONS, REPOSITORY, Mutation, tried


@pytest.mark.parametrize("mutation", MUTATIONS, ids=lambda mutation: mutation.name)
def test_its_old_text_stands_once_and_its_tests_are_there(mutation: Mutation) -> None:
    text = (REPOSITORY / "simkit" / mutation.file).read_text(encoding="utf-8")
    assert text.count(mutation.old) == 1
    assert mutation.new != mutation.old
    assert all((REPOSITORY / "tests" / test.partition("::")[0]).exists() for test in mutation.tests)


@pytest.mark.parametrize("name", ["amounts below zero rounded upwards", "a few hours more called a little cool"])
def test_a_mistake_made_on_purpose_is_caught(name: str, tmp_path: Path) -> None:
    mutation = next(one for one in MUTATIONS if one.name == name)
    assert tried(mutation, tmp_path) == CAUGHT
