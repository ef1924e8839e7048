"""What the tests of this folder share: a command line answered in this process, in a folder with samples in it."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from simkit.case.sample_homes import shipped_folder
from simkit.cli import answer


@dataclass(frozen=True)
class Answer:
    """Exit code and what was printed."""

    code: int
    out: str
    err: str

    @property
    def faults(self) -> list[str]:
        return self.err.splitlines()


Ask = Callable[..., Answer]


@pytest.fixture
def ask(capsys: pytest.CaptureFixture[str]) -> Ask:
    """Answer a command line as the process would, and hand back what it printed."""

    def asked(*words: object) -> Answer:
        code = answer([str(word) for word in words])
        printed = capsys.readouterr()
        return Answer(code, printed.out, printed.err)

    return asked


@pytest.fixture
def homes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a copy of the sample data, in which the command runs."""
    shutil.copytree(shipped_folder("sample_data"), tmp_path / "sample_data")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    return tmp_path


@pytest.fixture
def bungalow(homes: Path) -> Path:
    return homes / "sample_data" / "estuary_bungalow" / "case.toml"
