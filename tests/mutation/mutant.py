"""A file of the package with a mistake in it, and the tests that must catch it; tried in a process of its own.

The process is forked from one that holds the libraries but nothing of the kit. It reads the mistake in place of the
file, whose path it keeps: compiled code in the cache is still found, so that only laws and kernel, from which that is
made, need to be run uncompiled.
"""

from __future__ import annotations

import importlib
import importlib.abc
import importlib.util
import os
import resource
import signal
import sys
import traceback
from collections.abc import Sequence
from importlib.machinery import ModuleSpec, SourceFileLoader
from pathlib import Path
from typing import Any, NamedTuple

TESTS = Path(__file__).parents[1]
PACKAGE = TESTS.parent / "simkit"
LIBRARIES = (
    "numpy", "numba", "scipy.optimize", "scipy.special", "scipy.stats", "pandas", "pydantic", "pvlib", "tomlkit",
    "typer", "rich", "babel", "holidays", "pytest",
)  # fmt: skip
LONGEST_S, MOST_BYTES = 900, 8 * 2**30  # a mistake that runs on or fills the memory has shown itself
OUTCOMES = {0: "SURVIVED", 1: "caught", 2: "caught"}  # what pytest returns; 2 where a file can't even be imported


class Mutant(NamedTuple):
    """A mistake: a file of the package, its text with the mistake in it, and the tests that have to notice."""

    name: str
    file: str
    text: str
    tests: Sequence[str]
    compiled: bool = True

    @property
    def module(self) -> str:
        """Name by which the file is imported."""
        return ".".join(("simkit", *Path(self.file).with_suffix("").parts))


class _Read(importlib.abc.MetaPathFinder, SourceFileLoader):
    """Finds one module and gives it another text than its file holds."""

    def __init__(self, mutant: Mutant) -> None:
        super().__init__(mutant.module, str(PACKAGE / mutant.file))
        self.text = mutant.text

    def find_spec(self, fullname: str, path: Any, target: Any = None) -> ModuleSpec | None:
        return (
            importlib.util.spec_from_file_location(fullname, self.path, loader=self) if fullname == self.name else None
        )

    def get_code(self, fullname: str) -> Any:
        return compile(self.text, self.path, "exec")


def load_libraries() -> None:
    """Import what every test needs before it comes to the kit."""
    for name in LIBRARIES:
        importlib.import_module(name)
    assert not any(name.partition(".")[0] == "simkit" for name in sys.modules)


def started(mutant: Mutant, output: Path) -> int:
    """Begin to run the tests of a mutant, the first failure being enough; the number of the process."""
    number = os.fork()
    if number:
        return number
    code = 3
    try:
        code = _run(mutant, output)
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def _run(mutant: Mutant, output: Path) -> int:
    signal.alarm(LONGEST_S)
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    with output.open("w") as file:
        os.dup2(file.fileno(), 1)
        os.dup2(file.fileno(), 2)
    sys.meta_path.insert(0, _Read(mutant))
    arguments = ["-x", "-q", "--tb=short", "-p", "no:cacheprovider", "-p", "no:xdist", "-p", "no:nbval"]
    if not mutant.compiled:
        import numba

        numba.config.DISABLE_JIT = 1
        os.environ["NUMBA_DISABLE_JIT"] = "1"
        arguments += ["-m", "short"]
    import pytest

    os.chdir(TESTS.parent)
    return int(pytest.main([*arguments, *(str(TESTS / test) for test in mutant.tests)]))


def outcome(status: int) -> str:
    """What a process's end says of its mutant."""
    if os.WIFSIGNALED(status):
        return (
            "caught" if os.WTERMSIG(status) == signal.SIGALRM else f"not tried, ended by signal {os.WTERMSIG(status)}"
        )
    return OUTCOMES.get(os.WEXITSTATUS(status), f"not tried, pytest returned {os.WEXITSTATUS(status)}")
