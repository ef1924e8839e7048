"""Files that can't be read, and files written whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from case.stated import assert_plain
from hypothesis import given, settings
from hypothesis import strategies as st

from simkit.errors import CaseError
from simkit.schema.toml_file import read_toml, write_whole


def refusal(path: Path) -> str:
    """The one sentence with which a file is refused."""
    with pytest.raises(CaseError) as caught:
        read_toml(path)
    assert caught.value.exit_code == 2
    (fault,) = caught.value.faults
    assert_plain(str(fault))
    return str(fault)


def written(folder: Path, content: bytes | str) -> Path:
    path = folder / "case.toml"
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


def test_a_file_is_read_with_a_mark_in_front_and_with_either_line_end(tmp_path: Path) -> None:
    assert read_toml(written(tmp_path, b'\xef\xbb\xbfname = "x"\r\n[site]\r\nyear = 2025\r\n')) == {
        "name": "x",
        "site": {"year": 2025},
    }


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    written(tmp_path, "")
    assert refusal(tmp_path / "cass.toml") == "cass.toml: is not there. Perhaps case.toml is meant."
    assert refusal(tmp_path / "bungalow.txt") == f"bungalow.txt: is not there. Look for the case file in {tmp_path}."
    lost = tmp_path / "none" / "case.toml"
    assert refusal(lost) == (
        f"case.toml: is not there. There is no folder {tmp_path / 'none'} either: look at the spelling of the path."
    )


def test_a_folder(tmp_path: Path) -> None:
    folder = tmp_path / "bungalow"
    folder.mkdir()
    assert refusal(folder) == (
        "bungalow: is a folder, not a file. Name the case file inside it, such as bungalow/case.toml."
    )


def test_a_name_that_no_file_can_have(tmp_path: Path) -> None:
    assert refusal(tmp_path / ("x" * 300)).endswith("Look at its name and at the rights to read it.")
    assert "the name can't be used" in refusal(tmp_path / "case\0.toml")


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def locked(_: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    path = written(tmp_path, "name = 1")
    monkeypatch.setattr(Path, "read_bytes", locked)
    assert refusal(path) == (
        "case.toml: can't be opened (permission denied). Look at its name and at the rights to read it."
    )


CONTENTS = [
    (b"", "case.toml: is empty. Write the case file anew, or take a copy of a sample."),
    (b" \n\n", "case.toml: is empty. Write the case file anew, or take a copy of a sample."),
    (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "case.toml: is not text but binary data. Look whether it is really a case "
     "file."),
    ("name".encode("utf-16"), "case.toml: is not UTF-8 text but UTF-16. Save it again as UTF-8 from the editor."),
    (b'a = 1\nname = "caf\xe9"', "case.toml: is not UTF-8 text: line 2 holds a character in another encoding. Save "
     "it again "
     "as UTF-8 from the editor."),
    (b"a = " + b"[" * 5000, "case.toml: can't be read as TOML. Look for an endless number or for brackets that are "
     "never "
     "closed, or begin a new case file."),
    (b"a = " + b"9" * 5000, "case.toml: can't be read as TOML. Look for an endless number or for brackets that are "
     "never "
     "closed, or begin a new case file."),
    (b"#" * 6_000_000, "case.toml: holds 6 MB, far more than a case file. Look whether it is the right file."),
]  # fmt: skip


@pytest.mark.parametrize(("content", "sentence"), CONTENTS, ids=[str(content[:12]) for content, _ in CONTENTS])
def test_what_is_no_toml_at_all(tmp_path: Path, content: bytes, sentence: str) -> None:
    assert refusal(written(tmp_path, content)) == sentence


SLIPS = [
    ("share = 0,9", "column 10", "Write a decimal point, not a comma: 0.9."),
    ("start = 07:00", "column 10", 'Put times of day in quotes: "07:00".'),
    ("start: 7", "column 6", "Write an equals sign between key and value, not a colon."),
    ("start =", "column 8", "Write a value after the equals sign, or take the line out."),
    ("power = 7 kW", "column 11", "Write the number alone, without its unit."),
    ("straight = True", "column 12", "Write true or false in small letters."),
    ("name = “home”", "column 8", 'Use straight quotes: "like this".'),
    ("name = home", "column 8", 'Put text in quotes: "like this".'),
    ("[site", "column 6", "Close the bracket of the heading."),
    ("just words", "column 6", 'Write "key = value", a [heading], or begin a remark with #.'),
    ('name = "home', "column 13", "Close the quote."),
    ("power = 7 + 3", "column 11", "Write the number alone, without its unit."),
    ("a b = 7", "column 3",
     'Look for a missing quote, bracket or equals sign: a line is "key = value" or a [heading].'),
]  # fmt: skip


@pytest.mark.parametrize(("line", "column", "remedy"), SLIPS, ids=[line for line, *_ in SLIPS])
def test_a_line_that_is_no_toml(tmp_path: Path, line: str, column: str, remedy: str) -> None:
    sentence = refusal(written(tmp_path, f'a = 1\n{line}\nb = "x"\n'))
    assert sentence == f'case.toml, line 2, {column}: "{line}" can\'t be read as TOML. {remedy}'


def test_a_quote_that_is_never_closed(tmp_path: Path) -> None:
    content = "a = 'it is'\nb = \"the owner's\" # don't\nname = 'home\nc = 1\n"
    assert (
        refusal(written(tmp_path, content))
        == "case.toml, line 3: \"name = 'home\" can't be read as TOML. Close the quote."
    )


def test_an_open_end_names_the_last_line_that_holds_anything(tmp_path: Path) -> None:
    assert refusal(written(tmp_path, "a = [1,\n2,\n\n\n")).startswith('case.toml, line 2: "2," can\'t be read as TOML.')


@pytest.mark.parametrize("content", ["a = 1\na = 2", "[site]\n[home]\n[site]", "a = 1\n[a]", "a.b = 1\na = 2"])
def test_what_stands_twice(tmp_path: Path, content: str) -> None:
    sentence = refusal(written(tmp_path, content))
    assert "says again what was said before. Keep one of the two." in sentence
    assert f'"{content.splitlines()[-1]}"' in sentence


def number_of_faults(path: Path) -> int:
    try:
        read_toml(path)
    except CaseError as error:
        return len(error.faults)
    return 0


@settings(max_examples=200, deadline=None)
@given(content=st.binary(max_size=200) | st.text(alphabet="ab=[]{}\"'.,#\n 012:", max_size=80).map(str.encode))
def test_nothing_but_sentences_whatever_the_file_holds(
    content: bytes, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = written(tmp_path_factory.getbasetemp(), content)
    assert number_of_faults(path) <= 1


# --- writing ----------------------------------------------------------------------------------------------------------
def test_a_file_is_replaced_whole_and_keeps_its_rights(tmp_path: Path) -> None:
    path = written(tmp_path, "old = 1")
    path.chmod(0o640)
    write_whole(path, "new = 2\n")
    assert path.read_text() == "new = 2\n"
    assert path.stat().st_mode & 0o777 == 0o640
    assert list(tmp_path.iterdir()) == [path]


def test_what_can_not_be_written_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = written(tmp_path, "old = 1")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(CaseError) as caught:
        write_whole(path, "new = 2\n")
    assert str(caught.value) == (
        "case.toml: can't be written (no space left on device). Nothing was changed: make room, or choose another folder."
    )
    assert path.read_text() == "old = 1"
    assert list(tmp_path.iterdir()) == [path]


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(CaseError) as caught:
        write_whole(tmp_path / "none" / "case.toml", "a = 1\n")
    assert str(caught.value) == (
        "case.toml: can't be written (no such file or directory). Choose a folder that is there and may be written to."
    )
