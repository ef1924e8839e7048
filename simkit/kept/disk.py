"""What was worked out in; the same in the next process out, without working it out: what is kept on disk, and how much.

A file each in the cache's folder, named by the digest of all that goes into it: what a function was given, every file
of the kit, and what the kit is run with. A file that is damaged is taken away and made anew; where nothing can be
written nothing is kept; the oldest go when there are too many.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import os
import pickle
import sys
import tempfile
import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import fields, is_dataclass
from functools import cache, wraps
from importlib.metadata import PackageNotFoundError, version
from itertools import count
from pathlib import Path, PurePath
from typing import Any, ParamSpec, TypeVar, cast

import numpy as np

P = ParamSpec("P")
T = TypeVar("T")

MOST_ON_DISK = 300_000_000  # own: some thirty homes with ranges, or a hundred reports
MOST_MISSED = 128  # own: a start asks for fewer; who misses more has homes by the thousand, and no use for files
TIDY_EVERY = 16  # files that are written
FOLDER, ENDING = "kept", ".kept"
DIGEST_BYTES = hashlib.sha256().digest_size
MADE_WITH = ("numpy", "pandas", "scipy", "pvlib", "holidays", "matplotlib", "Babel")

PLAIN = (bool, int, float, str, bytes, dt.date, dt.time, PurePath)

to_disk = True  # tests that change laws keep nothing
_missed: set[Path] = set()
_written = count()


def on_disk(function: Callable[P, T]) -> Callable[P, T]:
    """Keep what a function of plain values, arrays and parts of a case gives from one process to the next.

    It must depend on nothing else, no file and no setting, and what it gives must be the same after pickling.
    """

    @wraps(function)
    def kept(*given: P.args, **named: P.kwargs) -> T:
        return kept_as(lambda: function(*given, **named), function.__module__, function.__qualname__, given, named)

    return kept


def kept_as(make: Callable[[], T], *made_from: Any, always: bool = False, smaller: int = 0) -> T:
    """What was kept of what is made from these values, else what is made, which is kept from then on.

    Parameters
    ----------
    make
        Works it out; what it gives must be the same after pickling.
    made_from
        All that it depends on, the kit left out: plain values, arrays and parts of a case.
    always
        Whether the disk is asked however much it lacked before: of what takes seconds.
    smaller
        How hard to press it together, 0 to 9.
    """
    if not to_disk or (len(_missed) > MOST_MISSED and not always):
        return make()
    path = path_of(*made_from)
    found = read_kept(path)
    if found is None:
        _missed.add(path)
        found = (make(),)
        write_kept(path, found, smaller)
    return cast(T, found[0])


def cache_home() -> Path:
    """Folder for what is kept, compiled code as well: ``SIMKIT_CACHE`` if set, else the user's cache folder."""
    if chosen := os.environ.get("SIMKIT_CACHE"):
        return Path(chosen)
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = str(Path.home() / "Library" / "Caches")
    else:
        base = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    return Path(base) / "simkit"


def path_of(*made_from: Any) -> Path:
    """The file of what is made from these values, with this kit."""
    digest = hashlib.sha256(_kit())
    for piece in _pieces(made_from):
        digest.update(piece)
    return cache_home() / FOLDER / f"{digest.hexdigest()}{ENDING}"


def read_kept(path: Path) -> Any:
    """What a file holds; nothing is unpickled that isn't whole, byte for byte, and no link is followed."""
    if path.is_symlink() or not path.is_file():
        return None
    try:
        held = path.read_bytes()
        if hashlib.sha256(held[DIGEST_BYTES:]).digest() == held[:DIGEST_BYTES]:
            found = pickle.loads(zlib.decompress(held[DIGEST_BYTES:]))
            path.touch()  # so that what is used stays
            return found
    except Exception:  # whatever a damaged file leads to
        pass
    with suppress(OSError):
        path.unlink()
    return None


def write_kept(path: Path, value: Any, smaller: int = 0) -> None:
    """Keep a value, whole or not at all, pressed together as hard as is said."""
    packed = zlib.compress(pickle.dumps(value, pickle.HIGHEST_PROTOCOL), smaller)
    with suppress(OSError):  # where nothing can be kept, the next one is made anew
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, beside = tempfile.mkstemp(suffix=".part", dir=path.parent)
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(hashlib.sha256(packed).digest() + packed)
            os.replace(beside, path)
        except OSError:
            os.unlink(beside)
        if next(_written) % TIDY_EVERY == 0:
            _tidy(path.parent)


def _tidy(folder: Path) -> None:
    """Take away what was longest unused, so that all together stay within bounds."""
    size = 0
    for path in sorted(folder.iterdir(), key=lambda path: path.stat().st_mtime, reverse=True):
        size += path.stat().st_size
        if size > MOST_ON_DISK:
            path.unlink()


@cache
def _kit() -> bytes:
    """Digest of the kit, every file of it, and of what it is run with."""
    digest = hashlib.sha256("|".join((sys.version, *map(_version, MADE_WITH))).encode())
    for folder, _, names in sorted(os.walk(Path(__file__).parents[1])):
        for name in () if folder.endswith("__pycache__") else sorted(names):
            with open(f"{folder}/{name}", "rb") as file:
                held = file.read()
            digest.update(f"\0{folder}/{name} {len(held)}\0".encode() + held)
    return digest.digest()


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return ""


def _pieces(value: Any) -> Iterator[bytes]:
    """A value as bytes that no other value has."""
    if isinstance(value, np.ndarray):
        yield f"{value.dtype.str}{value.shape}".encode()
        yield np.ascontiguousarray(value).tobytes()
    elif value is None or isinstance(value, PLAIN):
        yield f"{type(value).__name__} {value!r}\0".encode()
    else:
        parts = list(_parts(value))
        yield f"{type(value).__qualname__} {len(parts)}\0".encode()
        for part in parts:
            yield from _pieces(part)


def _parts(value: Any) -> Iterable[Any]:
    """What a value is made of: names and values of a table, a dataclass or a part of a case, elements of a row."""
    if isinstance(value, tuple | list | set | frozenset):
        return sorted(value, key=repr) if isinstance(value, set | frozenset) else value
    if isinstance(value, dict):
        return (part for pair in value.items() for part in pair)
    if is_dataclass(value):
        return [getattr(value, one.name) for one in fields(value)]
    if hasattr(value, "to_numpy"):  # a frame
        return [*value.columns, value.to_numpy()]
    if hasattr(type(value), "model_fields"):  # a part of a case: what it holds, without what it drew up for others
        return (part for name in type(value).model_fields for part in (name, getattr(value, name)))
    return (part for pair in vars(value).items() for part in pair)
