"""A Python function in, the same function compiled and cached out: the one place that compiles and keys the cache.

numba's own cache looks only at the file that holds the function: an edit in a law elsewhere would be answered with old
machine code and wrong numbers (tried). Here the cache folder bears the digest of every source that goes into the
kernel, so that any edit makes a new one; where no folder can be written the kernel is compiled anew in each process,
never into numba's default folder.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import sys
import tempfile
from collections.abc import Callable
from functools import cache, wraps
from pathlib import Path
from typing import Any, TypeVar, cast

import numba
import numpy as np
from numba import njit, types
from numba.core.caching import NullCache
from numba.extending import intrinsic

from simkit.kept.disk import cache_home
from simkit.kernel.say import say_once
from simkit.kernel.sealed_cache import SealedCache, not_kept, throw_away

F = TypeVar("F", bound=Callable[..., Any])
KEPT_DIGESTS = 4
COMPILED_FROM = ("physics", "kernel")
settings: Any = numba.config  # read once when it is imported, and at every decorator


@cache
def sources_digest() -> str:
    """Digest of the sources that are compiled, and of the versions that compile them."""
    package = Path(__file__).resolve().parent.parent
    digest = hashlib.sha256(f"{sys.version}|{numba.__version__}|{np.__version__}".encode())
    for folder in COMPILED_FROM:
        for path in sorted((package / folder).rglob("*.py")):
            digest.update(path.relative_to(package).as_posix().encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


@cache
def cache_folder() -> Path | None:
    """Writable folder for this digest, older ones cleared away; None, and a line, where nothing can be written."""
    home = cache_home()
    folder = home / f"kernel-{sources_digest()}"
    try:
        if folder.is_symlink() or folder.is_file():  # nothing that was put there from here
            throw_away([folder])
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(dir=folder):
            pass
        os.utime(folder)
        others = sorted(home.glob("kernel-*"), key=lambda p: p.stat().st_mtime, reverse=True)
        for stale in others[KEPT_DIGESTS:]:
            shutil.rmtree(stale, ignore_errors=True)
    except OSError as error:
        say_once(not_kept(home, error))
        return None
    return folder


def _widest(typing_context: Any) -> Any:
    """Ask the compiler for vectors as wide as the machine has in the function that calls this.

    Left alone it takes half the width on machines with 512-bit vectors, for fear of a lower clock that newer ones don't
    have; the lane loop runs a quarter faster with whole ones (0.26 against 0.34 ms a home-year). A hint: machines with
    narrower vectors ignore it, and no result changes by a bit.
    """

    def emit(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        set.add(builder.function.attributes, '"prefer-vector-width"="512"')
        return context.get_dummy_value()

    return types.void(), emit


def _no_hint() -> None:
    """Stand in for the hint where nothing is compiled."""


widest_vectors: Any = _no_hint if settings.DISABLE_JIT else intrinsic(_widest)


def is_warm(name: str) -> bool:
    """Whether compiled code for the kernel function `name` lies in the cache already."""
    folder = cache_folder()
    return folder is not None and any(folder.rglob(f"*{name}-*.nbi"))


def compiled(function: Callable[..., Any], *, joined: bool = True) -> Callable[..., Any]:
    """Compile `function` on first call, cached under the digest; multiply-add contraction is all that is allowed.

    Nothing beyond ``contract``: reassociation would make a home's result depend on the lanes beside it, and the checks
    for empty cylinders and stores rely on exact comparisons. Where nothing is `joined` not even that.
    """
    folder = cache_folder()
    before = settings.CACHE_DIR
    settings.CACHE_DIR = str(folder) if folder else ""
    try:
        made: Callable[..., Any] = njit(nogil=True, error_model="numpy", fastmath={"contract"} if joined else False)(
            function
        )
        if folder is not None and not settings.DISABLE_JIT:
            cast(Any, made)._cache = _cache_of(function, folder)
    finally:
        settings.CACHE_DIR = before
    return made


def _cache_of(function: Callable[..., Any], folder: Path) -> Any:
    """The cache of a function in a folder, emptied where something stands in the way; else one that keeps nothing."""
    try:
        return SealedCache(function, folder, sources_digest())
    except Exception:
        throw_away(folder.iterdir())
    try:
        return SealedCache(function, folder, sources_digest())
    except Exception as error:
        say_once(not_kept(folder, error))
        return NullCache()


def in_one_pass(function: F) -> F:
    """Compile a pass over series when it is first called, not when it is imported, and hand it closed-up arrays."""
    return _when_called(function, joined=True)


def as_written(function: F) -> F:
    """The same, each product and sum rounded by itself, as NumPy rounds them."""
    return _when_called(function, joined=False)


def _when_called(function: F, *, joined: bool) -> F:
    @cache
    def ready() -> Callable[..., Any]:
        return compiled(function, joined=joined)

    @wraps(function)
    def run(*given: Any) -> Any:
        closed = (np.ascontiguousarray(one, np.float64) if isinstance(one, np.ndarray) else one for one in given)
        return ready()(*closed)

    return cast(F, run)
