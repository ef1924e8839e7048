"""A file of the package with a mistake in it, and the tests that must catch it; tried in a process of its own.

The process is forked. A mistake inside a function is put into a kit that is loaded already: the function that every
importer holds is given other code. Any other (a constant, a bound of a field, a decorator's argument) is read in place
of the file by a process that holds the libraries and nothing of the kit. The file's path is kept: compiled code in the
cache is still found, so that only laws and kernel, from which that is made, need to be run uncompiled.
"""

from __future__ import annotations

import ast
import gc
import importlib
import importlib.abc
import importlib.util
import os
import pkgutil
import resource
import signal
import sys
import traceback
from collections.abc import Iterator, Sequence
from importlib.machinery import ModuleSpec, SourceFileLoader
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any, NamedTuple

TESTS = Path(__file__).parents[1]
PACKAGE = TESTS.parent / "simkit"
LIBRARIES = (
    "numpy", "numba", "scipy.optimize", "scipy.special", "scipy.stats", "pandas", "pydantic", "pvlib", "tomlkit",
    "typer", "rich", "babel", "holidays", "pytest", "hypothesis", "scipy.integrate", "scipy.signal", "numpy_financial",
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


def load_kit(*, compiled: bool) -> None:
    """Import all of the kit that mistakes are made in, and what stands on it, as the tests of mutants will find it."""
    if not compiled:
        _uncompiled()
    load_libraries()
    for found in pkgutil.walk_packages([str(PACKAGE)], "simkit."):
        if found.name.split(".")[1] not in ("panels", "commands", "cli", "__main__", "reporting"):
            importlib.import_module(found.name)


def _uncompiled() -> None:
    import numba

    numba.config.DISABLE_JIT = 1
    os.environ["NUMBA_DISABLE_JIT"] = "1"


def _functions(code: CodeType) -> Iterator[tuple[str, CodeType]]:
    """Every function that a file defines, the inner ones as parts of their outer one, by name and place."""
    for one in code.co_consts:
        if isinstance(one, CodeType):
            if one.co_flags & 0x1:  # a function's, and not the body of a class
                yield one.co_qualname, one
            else:
                yield from _functions(one)


def _shape(code: CodeType) -> tuple[Any, ...]:
    """What a body of code does, wherever it stands in its file."""
    return code.co_code, code.co_names, tuple(_shape(c) if isinstance(c, CodeType) else repr(c) for c in code.co_consts)


def changed_function(mutant: Mutant) -> tuple[str, CodeType] | None:
    """Name and new code of the one function in which a mutant differs; None where it differs outside of functions."""
    path = str(PACKAGE / mutant.file)
    sources = (ast.unparse(ast.parse(Path(path).read_text(encoding="utf-8"))), mutant.text)
    plain, wrong = (list(_functions(compile(text, path, "exec", dont_inherit=True))) for text in sources)
    apart = [new for old, new in zip(plain, wrong, strict=True) if _shape(old[1]) != _shape(new[1])]
    alone = len(apart) == 1 and [name for name, _ in plain].count(apart[0][0]) == 1
    return apart[0] if alone else None


def put_in(name: str, code: CodeType) -> bool:
    """Give a function of the loaded kit other code, wherever it is held; whether there is just one and it can be."""
    held = [
        one for one in gc.get_objects()
        if isinstance(one, FunctionType)
        and (one.__code__.co_filename, one.__code__.co_qualname) == (code.co_filename, name)
    ]  # fmt: skip
    if not held or any(one.__code__.co_freevars != code.co_freevars for one in held):
        return False
    for one in held:
        one.__code__ = code
    return True


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


def started(mutant: Mutant, output: Path, *, loaded: bool = False) -> int:
    """Begin to run the tests of a mutant, the first failure being enough; the number of the process."""
    number = os.fork()
    if number:
        return number
    code = 3
    try:
        code = _run(mutant, output, loaded)
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def _run(mutant: Mutant, output: Path, loaded: bool) -> int:
    signal.alarm(LONGEST_S)
    os.environ.pop("PYTEST_ADDOPTS", None)  # of the run that asks: its file of results is not ours to write
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    with output.open("w") as file:
        os.dup2(file.fileno(), 1)
        os.dup2(file.fileno(), 2)
    found = changed_function(mutant) if loaded else None
    if found is None:
        assert mutant.module not in sys.modules, "what is not inside one function needs a process without the kit"
        sys.meta_path.insert(0, _Read(mutant))
    else:
        assert put_in(*found), f"{found[0]} is not held as a plain function"
    arguments = ["-x", "-q", "--tb=short", "-p", "no:cacheprovider", "-p", "no:xdist", "-p", "no:nbval"]
    arguments += ["-W", "ignore::pytest.PytestAssertRewriteWarning"]  # of libraries that were loaded before
    if not mutant.compiled:
        _uncompiled()
        arguments += ["-m", "short"]
    import pytest

    os.chdir(TESTS.parent)
    for nearer in (mutant.tests[:1], mutant.tests[1:]):  # most are caught before the rest is even collected
        code = int(pytest.main([*arguments, *(str(TESTS / test) for test in nearer)])) if nearer else 0
        if code not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
            return code
    return 0


def outcome(status: int) -> str:
    """What a process's end says of its mutant."""
    if os.WIFSIGNALED(status):
        return (
            "caught" if os.WTERMSIG(status) == signal.SIGALRM else f"not tried, ended by signal {os.WTERMSIG(status)}"
        )
    return OUTCOMES.get(os.WEXITSTATUS(status), f"not tried, pytest returned {os.WEXITSTATUS(status)}")
