"""What a report is made from in; its content, kept from the last time where all of it is as it was, out.

Content stands in the folder in which compiled code is kept, a file each, named by the digest of everything that goes
into it: the case with every file that it names, what was asked for, and the kit itself. A file that is damaged is
thrown away and made anew; the oldest go when there are too many.
"""

from __future__ import annotations

import hashlib
import pickle
import sys
import zlib
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Any

from simkit.answers.answer import Drawn
from simkit.case.case import Case
from simkit.case.load import files_behind
from simkit.errors import SimkitError
from simkit.kernel.compiled import cache_home
from simkit.reporting.on_page import picture_bytes
from simkit.schema.toml_file import write_whole

if TYPE_CHECKING:
    from simkit.answers.report.report import Asked, Content

MOST_BYTES = 100_000_000  # own: some hundred reports
FOLDER, ENDING = "reports", ".report"
DIGEST_BYTES = hashlib.sha256().digest_size
MADE_WITH = ("home-heat-simkit", "numpy", "pandas", "scipy", "matplotlib", "Babel")


def kept(case: Case, asked: Asked, make: Callable[[], Content]) -> Content:
    """What was kept of a report, else what is made, which is kept from then on.

    Parameters
    ----------
    case
        The home.
    asked
        What is asked for.
    make
        Works the content out.
    """
    path = cache_home() / FOLDER / f"{_digest(case, asked)}{ENDING}"
    found = _read(path)
    if found is None:
        found = _drawn(make())
        packed = zlib.compress(pickle.dumps(found), 1)
        with suppress(OSError, SimkitError):  # where nothing can be kept, the next one is made anew
            path.parent.mkdir(parents=True, exist_ok=True)
            write_whole(path, hashlib.sha256(packed).digest() + packed)
            _tidy(path.parent)
    return found


def _read(path: Path) -> Content | None:
    """What a file holds; nothing is unpickled that isn't whole, byte for byte, and no link is followed."""
    if path.is_symlink() or not path.is_file():
        return None
    try:
        held = path.read_bytes()
        if hashlib.sha256(held[DIGEST_BYTES:]).digest() == held[:DIGEST_BYTES]:
            found: Content = pickle.loads(zlib.decompress(held[DIGEST_BYTES:]))
            path.touch()  # so that what is used stays
            return found
    except Exception:  # whatever a damaged file leads to
        pass
    with suppress(OSError):
        path.unlink()
    return None


def _digest(case: Case, asked: Asked) -> str:
    """Digest of everything that goes into a report."""
    digest = hashlib.sha256()
    for part in (*_kit(), case.digest, case.label, *case.notes, asked.language, *asked.sections):
        digest.update(part.encode() + b"\0")
    for name, path in (*asked.files, *(("", path) for path in files_behind(case))):
        digest.update(f"{name} {path.name}".encode() + b"\0" + (path.read_bytes() if path.is_file() else b""))
    return digest.hexdigest()


def _kit() -> Iterator[str]:
    """The kit, every file of it, and what it draws and reckons with."""
    yield sys.version
    yield from (version(name) for name in MADE_WITH)
    package = Path(__file__).resolve().parents[2]
    for path in sorted(package.rglob("*")):
        if path.is_file() and path.suffix != ".pyc":
            yield f"{path.relative_to(package).as_posix()} {hashlib.sha256(path.read_bytes()).hexdigest()}"


def _drawn(content: Content) -> Content:
    """The same with its pictures drawn."""

    def of(section: Any) -> Any:
        pictures = tuple(
            replace(picture, draw=Drawn(picture_bytes(picture, "svg"))) for picture in section.answer.pictures
        )
        return replace(section, answer=replace(section.answer, pictures=pictures))

    return replace(content, sections=tuple(map(of, content.sections)))


def _tidy(folder: Path) -> None:
    """Take away what was longest unused, so that all together stay within bounds."""
    size = 0
    for path in sorted(folder.glob(f"*{ENDING}"), key=lambda path: path.stat().st_mtime, reverse=True):
        size += path.stat().st_size
        if size > MOST_BYTES:
            path.unlink()
