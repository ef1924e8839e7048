"""A damaged cache heals itself: whatever happened to its files, the code is right, and one line says what was done."""

from __future__ import annotations

import hashlib
import pickle
from collections.abc import Callable
from pathlib import Path

import numba
import pytest

from simkit.kernel import compiled
from simkit.kernel.say import say_once

pytestmark = pytest.mark.skipif(numba.config.DISABLE_JIT, reason="nothing is compiled")
DAMAGED = "Compiled code of an earlier run was damaged: it is thrown away and compiled anew.\n"


def one_more(x: float) -> float:
    return x + 1.0


Run = Callable[[], tuple[int, str]]


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SIMKIT_CACHE", str(tmp_path / "cache"))
    monkeypatch.setattr(compiled, "cache_folder", compiled.cache_folder.__wrapped__)
    return tmp_path / "cache"


@pytest.fixture
def run(cache: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Call the function as a new process would; how often it was compiled, and what was said."""

    def ran() -> tuple[int, str]:
        say_once.cache_clear()
        made = compiled.compiled(one_more)
        assert made(2.0) == 3.0
        return sum(made.stats.cache_misses.values()), capsys.readouterr().err

    return ran


def cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def empty(path: Path) -> None:
    path.write_bytes(b"")


def garbage(path: Path) -> None:
    path.write_bytes(bytes(range(256)) * 40)


def one_bit(path: Path) -> None:
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(bytes(content))


def first_bit(path: Path) -> None:
    path.write_bytes(bytes([path.read_bytes()[0] ^ 1]) + path.read_bytes()[1:])


def a_folder(path: Path) -> None:
    path.unlink()
    path.mkdir()


def foreign(path: Path) -> None:
    """Whole, but compiled from something else: sealed with another digest of its sources."""
    content = path.read_bytes()[:-32]
    head = pickle.dumps(numba.__version__, protocol=-1) if path.suffix == ".nbi" else b""
    path.write_bytes(content + hashlib.sha256(b"other sources" + content[len(head) :]).digest())


def test_what_is_whole_is_taken_without_a_word(run: Run) -> None:
    assert [run(), run()] == [(1, ""), (0, "")]


@pytest.mark.parametrize("damage", [cut, empty, garbage, one_bit, first_bit, a_folder, foreign])
@pytest.mark.parametrize("kind", [".nbi", ".nbc"])
def test_what_is_damaged_is_compiled_anew(run: Run, cache: Path, damage: Callable[[Path], None], kind: str) -> None:
    run()
    (path,) = cache.rglob(f"*{kind}")
    damage(path)
    assert [run(), run()] == [(1, DAMAGED), (0, "")]


def test_a_missing_half_is_compiled_anew(run: Run, cache: Path) -> None:
    run()
    next(cache.rglob("*.nbc")).unlink()
    assert [run(), run()] == [(1, ""), (0, "")]


@pytest.mark.parametrize("above", [0, 1])
def test_a_file_where_a_folder_should_be_is_thrown_away(run: Run, cache: Path, above: int) -> None:
    run()
    place = next(cache.rglob("*.nbi")).parents[above]
    for path in sorted(place.rglob("*"), reverse=True):
        path.rmdir() if path.is_dir() else path.unlink()
    place.rmdir()
    place.write_text("")
    assert [run(), run()] == [(1, DAMAGED), (0, "")]


def test_where_nothing_can_be_kept_one_line_says_so(run: Run, cache: Path) -> None:
    cache.write_text("mine")
    for _ in range(2):
        _, said = run()
        assert said.startswith(f"Compiled code can't be kept in {cache} (")
        assert said.endswith("SIMKIT_CACHE names another folder.\n")
        assert said.count("\n") == 1
    assert cache.read_text() == "mine"


def test_a_full_disk_costs_the_cache_and_nothing_else(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("numba.core.caching.IndexDataCacheFile.save", full)
    compiles, said = run()
    assert compiles == 1
    assert said.count("\n") == 1
    assert "(no space left on device)" in said
