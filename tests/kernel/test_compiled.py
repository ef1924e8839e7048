"""The cache of compiled code can't lie: an edited law is compiled anew, wherever it lies; and the lane loop vectorises.

Each check runs in a process of its own on a copy of the package, so that nothing of this one's cache plays a part.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import numba
import pytest

import simkit

PACKAGE = Path(simkit.__file__).parent
SMALL = """
import numpy as np
from simkit.kernel import compiled
from simkit.kernel.prepare import defrost
print(compiled.sources_digest(), defrost(np.array([1.0]), np.array([1.0]), 0.5)[0], compiled.cache_folder())
"""
LANES = """
import re, sys
import llvmlite.binding as llvm
llvm.set_option("", "-pass-remarks=loop-vectorize")
from numba import boolean, float64, int64, njit, types
import simkit.kernel.kernel as kernel
kernel.compiled = njit(nogil=True, error_model="numpy", fastmath={"contract"})
run = kernel.many_homes()
floats, table, grid = (types.Array(float64, n, "C") for n in (1, 2, 3))
rows, shared, places = types.Array(int64, 2, "C"), types.Array(boolean, 1, "C"), types.Array(int64, 1, "C")
run.compile((table, rows, shared, floats, floats, floats, grid, places, float64, int64, boolean))
(code,) = run.inspect_asm().values()
print("several", len(re.findall(r"\\bv?divpd\\b|\\bfdiv\\s+v", code)))  # x86-64, or ARM
print("single", len(re.findall(r"\\bv?divsd\\b|\\bfdiv\\s+d", code)))
"""


def on_its_own(script: str, copy: Path, cache: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    variables = {**os.environ, "PYTHONPATH": str(copy), "SIMKIT_CACHE": str(cache), **environment}
    return subprocess.run(
        [sys.executable, "-W", "error", "-c", script],
        env=variables,
        cwd=copy,
        text=True,
        capture_output=True,
        check=True,
    )


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """Laws, kernel and what is kept alone, away from the checkout: nothing else is needed to run a year."""
    for part in ("physics", "kernel", "kept"):
        shutil.copytree(PACKAGE / part, tmp_path / "simkit" / part, ignore=shutil.ignore_patterns("__pycache__"))
    (tmp_path / "simkit" / "__init__.py").write_text("")
    return tmp_path


def kept(folder: Path) -> list[Path]:
    return sorted(path.parent.parent for path in folder.rglob("*.nbi"))


@pytest.mark.skipif(numba.config.DISABLE_JIT, reason="nothing is compiled")
def test_an_edited_law_is_never_answered_with_old_code(copy: Path) -> None:
    """The law is in another file than the function that is compiled: numba's own cache would not notice."""
    cache = copy / "cache"
    digest, before, folder = on_its_own(SMALL, copy, cache).stdout.split()
    assert float(before) == 0.5
    assert Path(folder).name == f"kernel-{digest}"
    assert kept(cache)
    assert set(kept(cache)) == {Path(folder)}, "something was cached outside the digest's folder"
    again = on_its_own(SMALL, copy, cache, NUMBA_DEBUG_CACHE="1").stdout
    assert "data loaded from" in again

    law = copy / "simkit" / "physics" / "heat_pump.py"
    text = law.read_text(encoding="utf-8")
    assert text.count("1.0 - depth * cold_side") == 1
    law.write_text(text.replace("1.0 - depth * cold_side", "1.0 - 0.5 * depth * cold_side"), encoding="utf-8")
    new_digest, after, _ = on_its_own(SMALL, copy, cache).stdout.split()
    assert new_digest != digest
    assert float(after) == 0.75

    law.write_text(text, encoding="utf-8")
    back, restored, _ = on_its_own(SMALL, copy, cache).stdout.split()
    assert (back, float(restored)) == (digest, 0.5)


@pytest.mark.skipif(numba.config.DISABLE_JIT, reason="nothing is compiled")
def test_where_nothing_can_be_written_it_compiles_and_keeps_nothing(copy: Path) -> None:
    blocked = copy / "a file, not a folder"
    blocked.write_text("")
    home = copy / "home"
    home.mkdir()
    _, value, folder = on_its_own(
        SMALL, copy, blocked / "cache", HOME=str(home), XDG_CACHE_HOME=str(home)
    ).stdout.split()
    assert (float(value), folder) == (0.5, "None")
    assert not list(copy.rglob("*.nbi")), "numba fell back to a folder of its own"


WARMTH = """
from simkit.kernel import compiled
before = compiled.is_warm("defrost")
"""


@pytest.mark.skipif(numba.config.DISABLE_JIT, reason="nothing is compiled")
def test_a_first_run_can_be_told_from_a_second(copy: Path) -> None:
    script = f"{WARMTH}{SMALL}print(before)"
    first, second = (on_its_own(script, copy, copy / "cache").stdout.split()[-1] for _ in range(2))
    assert (first, second) == ("False", "True")


@pytest.mark.skipif(numba.config.DISABLE_JIT, reason="nothing is compiled")
def test_only_a_few_old_digests_are_kept(copy: Path) -> None:
    cache = copy / "cache"
    for age in range(9):
        old = cache / f"kernel-{age:016x}"
        old.mkdir(parents=True)
        os.utime(old, (age, age))
    (cache / "something else").mkdir()
    on_its_own(SMALL, copy, cache)
    names = sorted(path.name for path in cache.iterdir())
    assert len(names) == 5
    assert "something else" in names


@pytest.mark.skipif(numba.config.DISABLE_JIT, reason="nothing is compiled")
def test_the_lane_loop_vectorises(copy: Path) -> None:
    """The compiler says so, and hardly a division is left that works on one home alone.

    A call, an index into a table or one more pointer to write through inside the loop loses this, at several times the
    cost, and no result would show it.
    """
    found = on_its_own(LANES, copy, copy / "cache")
    widths = [int(width) for width in re.findall(r"vectorized loop \(vectorization width: (\d+)", found.stderr)]
    assert widths
    assert min(widths) >= 2
    counted = dict(line.split() for line in found.stdout.splitlines())
    assert int(counted["several"]) >= 15, found.stdout
    assert int(counted["single"]) <= 2, found.stdout
