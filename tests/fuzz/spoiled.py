"""The text of a right file in; what slips, broken exports and bad luck make of it, as bytes, out.

How many examples are drawn: some for every run of the tests, always the same; with ``SIMKIT_FUZZ=60`` in the
environment sixty times as many, drawn anew each time (about an hour for all of this folder). What then fails is kept in
the cache's folder, beside what is compiled, and tried first from then on.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.database import DirectoryBasedExampleDatabase

from simkit.errors import MESSAGE_CHARACTERS, SimkitError
from simkit.kept.disk import cache_home

TIMES = int(os.environ.get("SIMKIT_FUZZ", "1"))
Draw = Callable[[st.SearchStrategy], object]

CELLS = (
    "", " ", "-", "nan", "NaN", "inf", "-inf", "1e400", "-1e300", "1e-320", "9" * 400, "0" * 400, "-999", "9999", '"', "'", "=1+1", "1,5",
    "1.234,5", "1 234", "1_000", "0x10", "true", "٣", "½", "1e5", "+5", "--5", "5-", "12 kWh", "€ 3", "null", "#N/A",
    "2025-02-30", "2025-13-01", "30.02.2025", "00/00/0000", "2025-03-30 02:30", "2025-10-26T02:30", "24:00", "25:61",
    "2025-01-01T00:00Z", "2025-01-01T00:00+99:99", "2025-01-01T00:00-00:30", "9999-12-31T23:00", "0001-01-01",
    "1735689600", "45658.5", "\x00", "\x1b[31m", "\u202e", "\ufeff", "\u2028", "x" * 3000, "a;b;c", "a,b,c", "a\tb",
)  # fmt: skip
VALUES = (
    "0", "-0.0", "-1", "1", "nan", "inf", "-inf", "1e400", "9" * 400, "0x1f", "1_0", "true", '""', '" "', '"x"', '"00:00"', '"24:00"',
    '"25:00"', '"2025-02-29"', "2025-02-28", "2025-02-28T01:00:00Z", "07:32:00", "[]", "[1]", "[[]]", "{}", "{a = 1}", "[{}]", '["a", "b"]',
    '"\\u0000"', '"\\u202E"', '"../../etc"', '"/dev/null"', '"a\\nb"', "'''x'''", '"' + "y" * 600 + '"', "0.5", "1e-12", "1e9", "[0.1, 0.9]",
)  # fmt: skip
PUT_IN = (b"\x00", b"\xff\xfe", b"\xef\xbb\xbf", b"\r", b"\n\n\n", b'"', b"'", b"[", b"]", b"{", b"=", b"#", b",", b";", b"\t", b"\xc3", b"\xe9", b"\\", b"\x1a")  # fmt: skip
ENCODINGS = ("utf-8", "utf-8", "utf-8", "utf-8-sig", "utf-16", "latin-1", "cp1252")


class Target(NamedTuple):
    """A reader: what it reads, what it is asked, how many spoiled ones it gets, and the end of their name."""

    texts: Callable[[], tuple[str, ...]]
    read: Callable[[Path], None]
    count: int
    ends: str = ".csv"


def refused(read: Callable[[Path], None], path: Path) -> tuple[str, ...]:
    """What is said against a file that is not read."""
    try:
        read(path)
    except SimkitError as problem:
        return tuple(map(str, problem.faults)) or ("",)
    return ()


def try_spoiled(target: Target, spoiled: st.SearchStrategy[bytes], folder: Path) -> None:
    """Give a reader one spoiled file after the other: each is read, or refused in sentences."""
    path = folder / f"spoiled{target.ends}"

    @examples(target.count)
    @given(spoiled)
    def tried(raw: bytes) -> None:
        path.write_bytes(raw)
        for sentence in refused(target.read, path):
            assert 10 < len(sentence) <= MESSAGE_CHARACTERS

    tried()


def examples(count: int) -> settings:
    """So many examples; the same ones in every run, unless more are asked for."""
    kept = DirectoryBasedExampleDatabase(cache_home() / "fuzz") if TIMES > 1 else None
    return settings(
        max_examples=count * TIMES, derandomize=TIMES == 1, deadline=None, database=kept,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
    )  # fmt: skip


def _number(draw: Draw, below: int) -> int:
    return int(draw(st.integers(0, max(below - 1, 0))))  # type: ignore[call-overload]


def _cell(draw: Draw, lines: list[str]) -> None:
    """Another cell in one row, or in all rows from there on."""
    at, mark = _number(draw, len(lines)), draw(st.sampled_from(",;\t"))
    put, place = str(draw(st.sampled_from(CELLS))), _number(draw, 6)
    for k in range(at, len(lines) if _number(draw, 4) == 0 else at + 1):
        cells = lines[k].split(str(mark))
        cells[place % len(cells)] = put
        lines[k] = str(mark).join(cells)


def _value(draw: Draw, lines: list[str]) -> None:
    """Another value for one key."""
    at = _number(draw, len(lines))
    key, equals, _ = lines[at].partition("=")
    lines[at] = f"{key}{equals or '='} {draw(st.sampled_from(VALUES))}"


def _key(draw: Draw, lines: list[str]) -> None:
    """A letter of a key, or of a heading, lost or doubled."""
    at = _number(draw, len(lines))
    place = _number(draw, max(len(lines[at].partition("=")[0]), 1))
    lines[at] = lines[at][:place] + lines[at][place : place + 1] * (2 * _number(draw, 2)) + lines[at][place + 1 :]


def _lost(draw: Draw, lines: list[str]) -> None:
    at = _number(draw, len(lines))
    del lines[at : at + 1 + _number(draw, 5)]


def _doubled(draw: Draw, lines: list[str]) -> None:
    at, count = _number(draw, len(lines)), 1 + _number(draw, 5)
    to = _number(draw, len(lines))
    lines[to:to] = lines[at : at + count]


def _moved(draw: Draw, lines: list[str]) -> None:
    at, to = _number(draw, len(lines)), _number(draw, len(lines))
    lines[at], lines[to] = lines[to], lines[at]


def _joined(draw: Draw, lines: list[str]) -> None:
    at = _number(draw, len(lines))
    lines[at : at + 2] = ["".join(lines[at : at + 2])]


def _turned(draw: Draw, lines: list[str]) -> None:
    """Another separator or decimal sign all over the file."""
    old, new = draw(
        st.sampled_from(
            ((",", ";"), (",", "\t"), (".", ","), ("-", "/"), ("T", " "), (":", "."), ("Z", ""), ("=", ":"))
        )
    )  # type: ignore[misc]
    lines[:] = [line.replace(old, new) for line in lines]


SLIPS = (_lost, _doubled, _moved, _joined, _turned)


def _bytes(draw: Draw, raw: bytes) -> bytes:
    """Bytes lost, flipped or put in, or the rest of the file."""
    at, kind = _number(draw, len(raw)), _number(draw, 4)
    if kind == 0:
        return raw[:at]
    if kind == 1:
        return raw[:at] + bytes([_number(draw, 256)]) + raw[at + 1 :]
    put = draw(st.sampled_from(PUT_IN))
    return raw[:at] + put + raw[at:]  # type: ignore[operator]


@st.composite
def files(draw: Draw, texts: tuple[str, ...], *, toml: bool = False) -> bytes:
    """One of these texts with one to four things wrong with it."""
    lines = str(draw(st.sampled_from(texts))).splitlines()
    slips = (*SLIPS, _value, _value, _value, _key) if toml else (*SLIPS, _cell, _cell, _cell)
    for slip in draw(st.lists(st.sampled_from(slips), min_size=0, max_size=4)):  # type: ignore[attr-defined]
        if lines:
            slip(draw, lines)
    made = "\n".join(lines).encode(str(draw(st.sampled_from(ENCODINGS))), errors="replace")
    return _bytes(draw, made) if _number(draw, 3) == 0 else made


@st.composite
def packed(draw: Draw, held: bytes) -> bytes:
    """A file that is no text, with one to three of its bytes lost, flipped or put in."""
    for _ in range(1 + _number(draw, 3)):
        held = _bytes(draw, held)
    return held
