"""Files to write are looked at before anything is worked out, and a slip leaves nothing behind."""

from __future__ import annotations

from pathlib import Path

import pytest

from commands.conftest import Ask


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        (("run", "--hourly", "hours.xlsx"), "--hourly hours.xlsx does not end in .csv. Write for example hours.csv."),
        (("run", "--hourly", "no/hours.csv"), "--hourly no/hours.csv can't be written: there is no folder no. Make the folder first."),
        (("run", "--hourly", "d.csv"), "--hourly d.csv is a folder. Name a file inside it."),
        (("compare", "--page", "page"), "--page page does not end in .html or .htm. Write for example page.html."),
        (("compare", "--figure", "a.gif"), "--figure a.gif does not end in .png or .svg or .pdf. Write for example a.png."),
    ],
)  # fmt: skip
def test_a_file_that_could_not_be_written_is_refused_first(
    ask: Ask, bungalow: Path, homes: Path, words: tuple[str, ...], fault: str
) -> None:
    (homes / "d.csv").mkdir()
    before = sorted(homes.rglob("*"))
    found = ask(words[0], bungalow, *words[1:])
    assert (found.code, found.out) == (2, "")
    assert found.faults == [fault]
    assert sorted(homes.rglob("*")) == before


def test_all_slips_come_at_once(ask: Ask, bungalow: Path) -> None:
    assert len(ask("compare", bungalow, "--page", "a.txt", "--figure", "b.txt").faults) == 2


def test_bad_input_writes_nothing(ask: Ask, bungalow: Path, homes: Path) -> None:
    bungalow.write_text("name = ", encoding="utf-8")
    before = sorted(homes.rglob("*"))
    for words in (
        ("run", bungalow, "--hourly", "h.csv"),
        ("compare", bungalow, "--page", "p.html", "--figure", "f.png"),
    ):
        found = ask(*words)
        assert (found.code, found.out) == (2, "")
    assert sorted(homes.rglob("*")) == before
