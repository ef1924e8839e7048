"""A path in, the table of a TOML file out, or one plain sentence that says why it can't be read."""

from __future__ import annotations

import errno
import os
import re
import tempfile
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from simkit.bounds import LIST_LENGTH, TOML_BYTES, TOML_DOTS, TOML_LINE_CHARACTERS, TOML_NESTING, WHOLE_NUMBER
from simkit.errors import CaseError, Fault, nearest, raise_all

HALF = ".part"  # ends the name of what is being written
FULL = (errno.ENOSPC, errno.EDQUOT)
KEY = re.compile(r"[\w-]+|\"[^\"]*\"|'[^']*'")


def read_toml(path: str | Path, *, what: str = "case file") -> dict[str, Any]:
    """Read a TOML file into a table.

    Parameters
    ----------
    path
        The file.
    what
        What the file should be, for the messages: "case file", "tariff file".

    Returns
    -------
    dict
        The table as it stands in the file.
    """
    path = Path(path)
    source = _text_of(path, what)
    try:
        held = tomllib.loads(source)
    except tomllib.TOMLDecodeError as error:
        raise CaseError(_syntax_fault(path, source, str(error))) from None
    except (RecursionError, ValueError):
        remedy = f"Look for an endless number or for brackets that are never closed, or begin a new {what}"
        raise CaseError(Fault(path.name, "", "can't be read as TOML", remedy)) from None
    fault = unbounded(held, path.name)
    raise_all([fault] if fault else [])
    return held


def unbounded(held: dict[str, Any], name: str) -> Fault | None:
    """What of a table is too deep, too long or too large for anything that describes a home; None where nothing is."""
    level: list[tuple[Any, Any]] = [("the file", held)]
    for depth in range(TOML_NESTING + 2):
        for key, value in level:
            if isinstance(value, int) and abs(value) > WHOLE_NUMBER:
                return Fault(name, key, "is a whole number of more than 15 digits", "Write a smaller one")
            if isinstance(value, dict | list) and len(value) > LIST_LENGTH:
                return Fault(name, key, f"holds {len(value):,} values, and {LIST_LENGTH:,} are the most", "Write fewer")
            if depth > TOML_NESTING and isinstance(value, dict | list):
                allowed = f"stands more than {TOML_NESTING} tables deep"
                return Fault(name, key, allowed, "Look for a dot or a bracket too many")
        level = [
            (key if isinstance(value, list) else inner, one)
            for key, value in level
            if isinstance(value, dict | list)
            for inner, one in (value.items() if isinstance(value, dict) else enumerate(value))
        ]
    return None


def _text_of(path: Path, what: str) -> str:
    def fault(allowed: str, remedy: str) -> CaseError:
        return CaseError(Fault(path.name or str(path), "", allowed, remedy))

    try:
        if path.is_dir():
            raise fault("is a folder, not a file", f"Name the {what} inside it, such as {path.name or '.'}/case.toml")
        size = path.stat().st_size
        if not path.is_file():
            raise fault("is a pipe or a device, not a file", f"Save the {what} as a file first")
        if size > TOML_BYTES:
            raise fault(f"holds {size / 1e6:.0f} MB, far more than a {what}", "Look whether it is the right file")
        raw = path.read_bytes()
    except FileNotFoundError:
        raise fault("is not there", _where_to_look(path, what)) from None
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or "the name can't be used").lower()
        raise fault(f"can't be opened ({reason})", "Look at its name and at the rights to read it") from None
    return _decoded(raw, fault, what)


def _where_to_look(path: Path, what: str) -> str:
    folder = path.parent
    if not folder.is_dir():
        return f"There is no folder {folder} either: look at the spelling of the path"
    names = {entry.stem: entry.name for entry in folder.iterdir() if entry.is_file()}
    near = nearest(path.stem, names)
    return f"Perhaps {names[near]} is meant" if near else f"Look for the {what} in {folder}"


def _decoded(raw: bytes, fault: Any, what: str) -> str:
    if not raw.strip():
        raise fault("is empty", f"Write the {what} anew, or take a copy of a sample")
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise fault("is not UTF-8 text but UTF-16", "Save it again as UTF-8 from the editor")
    if b"\0" in raw:
        raise fault("is not text but binary data", f"Look whether it is really a {what}")
    try:
        source = raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise fault(
            f"is not UTF-8 text: line {line} holds a character in another encoding",
            "Save it again as UTF-8 from the editor",
        ) from None
    lines = source.split("\n")
    longest, deepest = max(lines, key=len), max(lines, key=_dotted)
    if len(longest) > TOML_LINE_CHARACTERS:
        allowed = f"holds a line of {len(longest):,} characters, and {TOML_LINE_CHARACTERS:,} are the most"
        raise fault(allowed, f'Break the line that begins "{longest[:30]}"')
    if _dotted(deepest) > TOML_DOTS:
        allowed = f"holds a key more than {TOML_NESTING} tables deep"
        raise fault(allowed, f'Look for dots too many in the line that begins "{deepest.strip()[:30]}"')
    return source


def _dotted(line: str) -> int:
    """Most names of tables that follow each other with a dot between them."""
    most = run = 0
    for piece in line.split(".")[1:-1] if line.count(".") > TOML_DOTS else ():
        run = run + 1 if KEY.fullmatch(piece.strip()) else 0
        most = max(most, run)
    return most


# What a line that TOML can't read most often means, tried in this order: pattern of the line, and what to do.
SLIPS = (
    (r"^\s*[\w.\"-]+\s*=\s*-?\d+,\d+\s*(#.*)?$", "Write a decimal point, not a comma: 0.9"),
    (r"=\s*\d{1,2}:\d{2}\b", 'Put times of day in quotes: "07:00"'),
    (r"^\s*[\w.\"-]+\s*:\s*\S", "Write an equals sign between key and value, not a colon"),
    (r"^\s*[\w.\"-]+\s*=\s*(#.*)?$", "Write a value after the equals sign, or take the line out"),
    (r"^\s*[\w.\"-]+\s*=\s*-?[\d.]+\s*[^\s\d#,.\]}]", "Write the number alone, without its unit"),
    (r"^\s*[\w.\"-]+\s*=\s*(True|False|TRUE|FALSE|yes|no|Yes|No|on|off)\b", "Write true or false in small letters"),
    (r"^\s*[\w.\"-]+\s*=\s*(\"[^\"]*|'[^']*)$", "Close the quote"),
    (r"[“”„‘’]", 'Use straight quotes: "like this"'),
    (r"^\s*[\w.\"-]+\s*=\s*[A-Za-z]", 'Put text in quotes: "like this"'),
    (r"^\s*\[[^\]]*$", "Close the bracket of the heading"),
    (r"^\s*[^=#\[\]]+$", 'Write "key = value", a [heading], or begin a remark with #'),
)


def _syntax_fault(path: Path, source: str, message: str) -> Fault:
    """Put the parser's complaint into plain words, with the line that it is about."""
    lines = source.split("\n")
    found = re.search(r"\(at line (\d+), column (\d+)\)", message)
    line, column = (int(found[1]), int(found[2])) if found else (_open_quote(lines), 0)
    # the parser may stop behind the line that it is about: the last one before that holds anything
    number = next((one for one in range(min(line, len(lines)), 0, -1) if lines[one - 1].strip()), line)
    shown = lines[number - 1].strip()
    place = f"{path.name}, line {number}" + (f", column {column}" if number == line and column else "")
    given = f'"{shown[:60]}"' if shown else ""
    if re.search("overwrite|twice|redefine|mutate|replace", message.lower()):
        return Fault(place, given, "says again what was said before", "Keep one of the two")
    remedy = next((remedy for pattern, remedy in SLIPS if re.search(pattern, shown)), None)
    if remedy is None:
        remedy = 'Look for a missing quote, bracket or equals sign: a line is "key = value" or a [heading]'
    return Fault(place, given, "can't be read as TOML", remedy)


def _open_quote(lines: list[str]) -> int:
    """Number of the first line that opens a quote and doesn't close it, else of the last line."""
    for number, line in enumerate(lines, start=1):
        rest = re.sub(r'"(\\.|[^"\\])*"|\'[^\']*\'', "", line).partition("#")[0]
        if '"' in rest or "'" in rest:
            return number
    return len(lines)


def half_written(folder: Path, names: str) -> Iterator[Path]:
    """What a process that was killed while it wrote left in a folder beside files of such names (a glob)."""
    return folder.glob(f".{names}.*{HALF}")


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file in one go: whoever looks sees the old file or the new one, never half of it.

    Parameters
    ----------
    path
        The file, replaced if it is there; of a link the link, and what it leads to stays.
    content
        The whole of it; text is written as UTF-8 with plain line ends.
    """
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=HALF, dir=path.parent)
    except OSError as error:
        reason = (error.strerror or "no reason given").lower()
        allowed = f"can't be written ({reason})"
        raise CaseError(Fault(path.name, "", allowed, "Choose a folder that is there and may be written to")) from None
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content.encode("utf-8") if isinstance(content, str) else content)
            stream.flush()
            os.fsync(stream.fileno())
        beside.chmod(path.stat().st_mode & 0o777 if path.is_file() and not path.is_symlink() else 0o644)
        beside.replace(path)
    except OSError as error:
        reason = (error.strerror or "no reason given").lower()
        remedy = "make room, or choose another folder" if error.errno in FULL else "choose another name"
        raise CaseError(
            Fault(path.name, "", f"can't be written ({reason})", f"Nothing was changed: {remedy}")
        ) from None
    finally:
        beside.unlink(missing_ok=True)
