"""A function in; numba's cache of its machine code, in which nothing damaged is ever run, out.

numba loads what it finds: a truncated file ends in an error of its own, and one with a bit turned over in whatever that
machine code does then. Here every file ends in a digest of itself and of what it was compiled from; what doesn't bear
it is thrown away, with a line that says so, and compiled anew.
"""

from __future__ import annotations

import hashlib
import pickle
import shutil
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any

from numba.core.caching import FunctionCache, IndexDataCacheFile
from numba.core.runtime import rtsys

from simkit.kernel.say import say_once

DIGEST_BYTES = hashlib.sha256().digest_size


class SealedFiles(IndexDataCacheFile):
    """The index and the data of one function, each with its digest at the end, where unpickling takes no notice."""

    made_from = ""

    def _seal(self, content: bytes) -> bytes:
        return hashlib.sha256(self.made_from.encode() + content).digest()

    def _dump(self, obj: Any) -> bytes:
        content: bytes = super()._dump(obj)
        return content + self._seal(content)

    def _load_index(self) -> dict[Any, str]:
        self._require_whole(Path(self._index_path), pickle.dumps(self._version, protocol=-1))
        found: dict[Any, str] = super()._load_index()
        return found

    def _load_data(self, name: str) -> Any:
        self._require_whole(Path(self._data_path(name)))
        return super()._load_data(name)

    def _require_whole(self, path: Path, head: bytes = b"") -> None:
        """Refuse a file that is not `head`, then something with its digest; one that isn't there is no fault."""
        if not path.exists():
            return
        content = b"" if path.is_dir() else path.read_bytes()
        whole = content[len(head) : -DIGEST_BYTES]
        if not content.startswith(head) or content[-DIGEST_BYTES:] != self._seal(whole):
            raise ValueError(f"{path.name} is damaged")


class SealedCache(FunctionCache):
    """numba's cache of a function, healing itself.

    Parameters
    ----------
    function
        The Python function.
    folder
        Where it is to be kept.
    made_from
        Digest of all that goes into the compiled one.
    """

    def __init__(self, function: Callable[..., Any], folder: Path, made_from: str) -> None:
        super().__init__(function)
        if not Path(self._cache_path).is_relative_to(folder):  # numba takes one of its own where this one is no good
            raise OSError("it is not there")
        self._cache_file.__class__ = SealedFiles
        self._cache_file.made_from = made_from

    def load_overload(self, sig: Any, target_context: Any) -> Any:
        """The compiled code for these types; None where there is none, or none that is whole.

        numba readies its whole compiler before it loads anything; what is loaded needs only the runtime (0.25 s less).
        """
        try:
            rtsys.initialize(target_context)
            return self._load_overload(sig, target_context)
        except Exception:  # whatever a damaged file leads to
            throw_away(Path(self._cache_path).glob(f"{self._impl.filename_base}.*"))
            return None

    def save_overload(self, sig: Any, data: Any) -> None:
        """Keep compiled code; where that can't be, say so."""
        try:
            super().save_overload(sig, data)
        except Exception as error:  # the code itself is in order
            say_once(not_kept(Path(self._cache_path), error))


def throw_away(paths: Iterable[Path]) -> None:
    """Take files and folders of compiled code away, and say so."""
    for path in paths:
        with suppress(OSError):  # what can't be taken away can't be replaced either, which is said then
            path.unlink() if path.is_symlink() or not path.is_dir() else shutil.rmtree(path)
    say_once("Compiled code of an earlier run was damaged: it is thrown away and compiled anew.")


def not_kept(folder: Path, error: Exception) -> str:
    """Why compiled code is not kept, and what helps."""
    why = (getattr(error, "strerror", None) or str(error) or type(error).__name__).lower().rstrip(".")
    return (
        f"Compiled code can't be kept in {folder} ({why}), so that each run compiles it anew, for some 15 seconds; "
        "SIMKIT_CACHE names another folder."
    )
