"""A path in, its text out; whatever is no text answered in a sentence."""

from __future__ import annotations

from pathlib import Path

from simkit.errors import DataError, Fault

LARGEST_MB = 60.0  # own: thirty years of half-hours in the wordiest layout met
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
    if not raw.strip():
        remedy = "Fetch or export it again; a file of a year has thousands of lines"
        raise DataError(Fault(path.name, "the file", "is empty", remedy))
    for start, what in _SIGNATURES:
        if raw.startswith(start):
            remedy = "Unpack it, or export the table as plain text (CSV)"
            raise DataError(Fault(path.name, "the file", f"is {what}, and plain text is needed", remedy))
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _lines(raw.decode("utf-16", errors="replace"))
    if b"\x00" in raw or sum(byte < 9 for byte in raw[:4000]) > 4:
        remedy = "Check that the right file is named, or export the table as plain text (CSV)"
        raise DataError(Fault(path.name, "the file", "is binary, and plain text is needed", remedy))
    try:
        return _lines(raw.decode("utf-8-sig"))
    except UnicodeDecodeError:
        return _lines(raw.decode("cp1252", errors="replace"))


def _lines(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _bytes(path: Path) -> bytes:
    if path.is_dir():
        raise DataError(Fault(path.name, "", "is a folder, and a file is needed", "Name the file in it"))
    try:
        size_mb = path.stat().st_size / 1e6
        if size_mb > LARGEST_MB:
            allowed = (
                f"is larger than {LARGEST_MB:g} MB, which thirty years of half-hours don't fill; nothing of it was read"
            )
            remedy = "Export one meter or one place, and fewer years"
            raise DataError(Fault(path.name, f"the file of {size_mb:,.0f} MB", allowed, remedy))
        return path.read_bytes()
    except FileNotFoundError:
        remedy = f"Put it there, or mend the path: {path} was looked for"
        raise DataError(Fault(path.name, "the file", "is not there", remedy)) from None
    except OSError as problem:
        remedy = "See that it may be read and that its name is right"
        why = f"can't be read ({problem.strerror or 'the system refuses'})"
        raise DataError(Fault(path.name, "the file", why, remedy)) from None
