"""A page or a picture in; the same with a digest of itself in its mark, and whether a file is as it was written, out.

What bears the digest of its own bytes can be written anew without asking: nobody has put work into it. The digest is
taken with noughts in its place; in a PNG the checksum of the piece that holds the mark follows it.
"""

from __future__ import annotations

import hashlib
import re
import zlib
from pathlib import Path

from simkit.bounds import TABLE_BYTES

MARK = f"simkit, sha256:{'0' * 64}"
PATTERN = re.compile(rb"(simkit, sha256:)([0-9a-f]{64})")
PNG = b"\x89PNG"


def sealed(content: bytes) -> bytes:
    """Put the digest of the rest into the mark of a file; the same again where it is there already.

    Parameters
    ----------
    content
        The whole file, with `MARK` in it.
    """
    digest = hashlib.sha256(_with(content, b"0" * 64)).hexdigest()
    return _with(content, digest.encode())


def is_as_written(path: Path) -> bool:
    """Whether the kit wrote a file and nobody changed it since; a link is nothing that the kit wrote."""
    if path.is_symlink() or not path.is_file() or path.stat().st_size > TABLE_BYTES:
        return False
    content = path.read_bytes()
    return PATTERN.search(content) is not None and sealed(content) == content


def _with(content: bytes, digits: bytes) -> bytes:
    """The file with other digits in its first mark."""
    marked = PATTERN.sub(lambda found: found[1] + digits, content, count=1)
    found = PATTERN.search(marked)
    if not marked.startswith(PNG) or found is None:
        return marked
    begin = marked.rindex(b"tEXt", 0, found.start())  # kind and text of a piece, then their checksum
    return b"".join(
        (marked[: found.end()], zlib.crc32(marked[begin : found.end()]).to_bytes(4, "big"), marked[found.end() + 4 :])
    )
