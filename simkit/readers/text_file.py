"""A path in, its text out; whatever is no text answered in a sentence."""

from __future__ import annotations

from pathlib import Path

from simkit.bounds import LINE_CHARACTERS, TABLE_BYTES, TABLE_ROWS
from simkit.errors import UNSEEN, DataError, Fault

_SIGNATURES = (
    (b"PK\x03\x04", "a spreadsheet or a packed file"),
    (b"\x1f\x8b", "a packed file"),
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet"),
    (b"\x89HDF", "an HDF5 file"),
    (b"PAR1", "a Parquet file"),
    (b"CDF", "a NetCDF file"),
)


def read_text(path: Path | str) -> str:
    """Return the text of a file, its byte-order mark and the difference between line ends taken away.

    UTF-8 is tried first, then UTF-16 where a mark announces it, then Windows-1252, which is what older spreadsheets
    write. Raises DataError for a file that is missing, a folder, empty or not text.
    """
    path = Path(path)
    raw = _bytes(path)
    for start, what in _SIGNATURES:
        if raw.startswith(start):
            remedy = "Unpack it, or export the table as plain text (CSV)"
            raise DataError(Fault(path.name, "the file", f"is {what}, and plain text is needed", remedy))
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _lines(path.name, raw.decode("utf-16", errors="replace"))
    if b"\x00" in raw or sum(byte < 9 for byte in raw[:4000]) > 4:
        remedy = "Check that the right file is named, or export the table as plain text (CSV)"
        raise DataError(Fault(path.name, "the file", "is binary, and plain text is needed", remedy))
    try:
        return _lines(path.name, raw.decode("utf-8-sig"))
    except UnicodeDecodeError:
        return _lines(path.name, raw.decode("cp1252", errors="replace"))


def _lines(name: str, text: str) -> str:
    """The text with plain ends of lines: some, not too many, none too long for a row, and nothing that nobody sees."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    text = UNSEEN.sub("", text) if UNSEEN.search(text) else text
    if not text.strip():
        remedy = "Fetch or export it again; a file of a year has thousands of lines"
        raise DataError(Fault(name, "the file", "is empty", remedy))
    lines = text.split("\n")
    if len(lines) > TABLE_ROWS:
        remedy = "Export fewer years, or wider intervals"
        raise DataError(Fault(name, f"the file of {len(lines):,} lines", f"has more than {TABLE_ROWS:,}", remedy))
    longest = max(range(len(lines)), key=lambda k: len(lines[k]))
    if len(lines[longest]) > LINE_CHARACTERS:
        given = f"a line of {len(lines[longest]):,} characters"
        allowed = f"is longer than {LINE_CHARACTERS:,}, and no row of a table is"
        raise DataError(Fault(f"{name} line {longest + 1}", given, allowed, "Export the table again, a row a line"))
    return "\n".join(lines)


def _bytes(path: Path) -> bytes:
    if path.is_dir():
        raise DataError(Fault(path.name, "", "is a folder, and a file is needed", "Name the file in it"))
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise DataError(
                Fault(path.name, "", "is a pipe or a device, and a file is needed", "Save it as a file first")
            )
        if size > TABLE_BYTES:
            most = f"{TABLE_BYTES / 1e6:g} MB"
            allowed = f"is larger than {most}, which thirty years of half-hours don't fill; nothing of it was read"
            remedy = "Export one meter or one place, and fewer years"
            raise DataError(Fault(path.name, f"the file of {size / 1e6:,.0f} MB", allowed, remedy))
        return path.read_bytes()
    except FileNotFoundError:
        remedy = f"Put it there, or mend the path: {path} was looked for"
        raise DataError(Fault(path.name, "the file", "is not there", remedy)) from None
    except OSError as problem:
        remedy = "See that it may be read and that its name is right"
        why = f"can't be read ({problem.strerror or 'the system refuses'})"
        raise DataError(Fault(path.name, "the file", why, remedy)) from None
