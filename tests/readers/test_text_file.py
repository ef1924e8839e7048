"""What is no text file is answered in a sentence."""

from __future__ import annotations

import gzip
import zipfile
from pathlib import Path

import pytest

from simkit.errors import DataError
from simkit.readers.text_file import read_text


def refusal(path) -> str:
    with pytest.raises(DataError) as caught:
        read_text(path)
    assert caught.value.exit_code == 3
    return str(caught.value)


@pytest.mark.parametrize(
    ("raw", "text"),
    [
        (b"a;b\r\n1;2\r\n", "a;b\n1;2\n"),
        (b"\xef\xbb\xbfa;b", "a;b"),
        ("Wärme".encode("utf-16"), "Wärme"),
        ("Wärme °C".encode("cp1252"), "Wärme °C"),
        (b"a\rb", "a\nb"),
    ],
    ids=["line ends", "byte-order mark", "UTF-16", "Windows-1252", "old line ends"],
)
def test_text_of_any_make(tmp_path, raw, text):
    path = tmp_path / "a.csv"
    path.write_bytes(raw)
    assert read_text(path) == text


def test_missing(tmp_path):
    path = tmp_path / "a.csv"
    assert refusal(path) == f"a.csv: the file is not there. Put it there, or mend the path: {path} was looked for."


def test_folder(tmp_path):
    assert refusal(tmp_path) == f"{tmp_path.name}: is a folder, and a file is needed. Name the file in it."


@pytest.mark.parametrize("raw", [b"", b" \n\n"], ids=["nothing", "blanks"])
def test_empty(tmp_path, raw):
    path = tmp_path / "a.epw"
    path.write_bytes(raw)
    assert refusal(path) == (
        "a.epw: the file is empty. Fetch or export it again; a file of a year has thousands of lines."
    )


def test_binary(tmp_path):
    path = tmp_path / "a.epw"
    path.write_bytes(bytes(range(256)) * 40)
    assert refusal(path) == (
        "a.epw: the file is binary, and plain text is needed. Check that the right file is named, or export the table "
        "as plain text (CSV)."
    )


def test_binary_without_zeros(tmp_path):
    path = tmp_path / "a.epw"
    path.write_bytes(bytes([1, 2, 3, 200, 4, 5, 6]) * 400)
    assert "is binary" in refusal(path)


def test_packed(tmp_path):
    packed, squeezed = tmp_path / "a.xlsx", tmp_path / "a.epw"
    with zipfile.ZipFile(packed, "w") as archive:
        archive.writestr("sheet", "1")
    squeezed.write_bytes(gzip.compress(b"LOCATION"))
    assert refusal(packed) == (
        "a.xlsx: the file is a spreadsheet or a packed file, and plain text is needed. Unpack it, or export the table "
        "as plain text (CSV)."
    )
    assert "is a packed file" in refusal(squeezed)


def test_a_file_that_may_not_be_read(tmp_path, monkeypatch):
    path = tmp_path / "a.csv"
    path.write_text("a")

    def refuse(_: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_bytes", refuse)
    assert refusal(path) == (
        "a.csv: the file can't be read (Permission denied). See that it may be read and that its name is right."
    )


def test_what_nobody_sees_is_taken_out_of_names_and_numbers(tmp_path: Path) -> None:
    """A terminal would obey it, and some exports put marks of direction around every part of a date."""
    path = tmp_path / "a.csv"
    path.write_text("time,\u202eimport\x1b[31m_kwh\n\u200e2025\u200e-03-01,1\x85\u20282\n", encoding="utf-8")
    assert read_text(path) == "time,import[31m_kwh\n2025-03-01,12\n"
