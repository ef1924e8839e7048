"""What the tests of this folder share: the flagship home compared once."""

from __future__ import annotations

from pathlib import Path

import pytest

from simkit.case.build import Case
from simkit.case.load import read_case
from simkit.case.sample_homes import sample_file
from simkit.year.compare import Comparison, compare


@pytest.fixture(scope="session")
def flagship() -> Case:
    return read_case(sample_file("estuary_bungalow", Path(__file__).parent.parent))


@pytest.fixture(scope="session")
def compared(flagship: Case) -> Comparison:
    return compare(flagship)
