"""What the panel tests share: two sample homes as forms and settings, made once and put back before each test."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.panels.flow_and_times.model import Trial
from simkit.panels.form.form import HomeForm

SAMPLES = Path(__file__).parents[2] / "sample_data"


@cache
def sample(name: str) -> Case:
    """A sample home; the estuary bungalow, whose loss is found from its fuel, is the one that most tests use."""
    return read_case(SAMPLES / name / "case.toml")


@cache
def theirs() -> Path:
    """The sample homes in a folder of somebody's own: a form keeps all that such a case says."""
    place = Path(tempfile.mkdtemp(prefix="simkit-homes-")) / "homes"
    shutil.copytree(SAMPLES, place)
    return place


def few_lanes(name: str) -> Case:
    """A home of somebody's own whose ranges are quick to find: every view asks for them."""
    return vary(read_case(theirs() / name / "case.toml"), {"uncertainty.lanes": 16, "option": None, "baseline": None})


@cache
def _form(name: str) -> HomeForm:
    return HomeForm(few_lanes(name), SAMPLES.parent)


@cache
def _trial(name: str) -> Trial:
    return Trial(vary(sample(name), {"uncertainty.lanes": 16}), SAMPLES.parent)


@pytest.fixture
def form(tmp_path: Path) -> Callable[[str], HomeForm]:
    """A form as it is at first; files are written into a folder of the test's own."""

    def fresh(name: str = "estuary_bungalow") -> HomeForm:
        made = _form(name)
        made._told.clear()
        made.pins = ()
        made.reset()
        made.folder = tmp_path
        return made

    return fresh


@pytest.fixture
def trial(tmp_path: Path) -> Callable[[str], Trial]:
    """Settings as they are at first."""

    def fresh(name: str = "estuary_bungalow") -> Trial:
        made = _trial(name)
        made._told.clear()
        made.pins = ()
        made.reset()
        made.folder = tmp_path
        return made

    return fresh
