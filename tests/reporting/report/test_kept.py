"""What was worked out for a report is kept, and made anew where anything it is made from moved.

The contents here are made up: what is kept is a matter of what a report is made from, and of no figure in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from homes import SAMPLES

from simkit.answers.answer import Answer, Drawn, Picture, Table
from simkit.answers.report.decision import FirstPage
from simkit.answers.report.report import Asked, Content
from simkit.answers.report.sections import Section
from simkit.case.build import vary
from simkit.case.load import read_case
from simkit.kept import disk
from simkit.notation import PLAIN
from simkit.reporting.on_page import picture_bytes
from simkit.reporting.report.kept import kept, kept_answer
from simkit.uncertainty.ranges import Range
from simkit.year.comfort import YearComfort

ASKED = Asked("en", ("year",))
HOME = read_case(SAMPLES / "harbour_flat" / "case.toml")


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SIMKIT_CACHE", str(tmp_path))
    monkeypatch.setattr(disk, "to_disk", True)
    monkeypatch.setattr(disk, "FOLDER", "kept")
    return tmp_path / disk.FOLDER


class Maker:
    """Makes the content of a report, and counts how often."""

    def __init__(self) -> None:
        self.made = 0

    def __call__(self) -> Content:
        self.made += 1
        table = Table("one", "One", pd.DataFrame({"year_cost": [1.0 / 3.0]}, index=["a"]))
        drawn = Picture("line", lambda figure: figure.subplots().plot([1, 2]), "A line.")
        answer = Answer("Home", "What?", ("This.",), PLAIN, tables=(table,), pictures=(drawn,))
        comfort = YearComfort(*([0.0] * len(YearComfort.__dataclass_fields__)))
        first = FirstPage(("This.",), (), (), "", (), {})
        return Content("as it is", 1.0, Range(0.5, 1.0, 2.0), comfort, first, (Section("year", "The year", answer),))


def test_what_was_kept_is_what_was_made() -> None:
    make = Maker()
    first, again = kept(HOME, ASKED, make), kept(HOME, ASKED, make)
    assert make.made == 1
    one, other = first.sections[0].answer, again.sections[0].answer
    assert other.tables[0].frame.equals(one.tables[0].frame)
    assert again.first == first.first
    assert (again.range, again.comfort) == (first.range, first.comfort)
    assert isinstance(other.pictures[0].draw, Drawn)
    assert picture_bytes(other.pictures[0], "svg") == picture_bytes(make().sections[0].answer.pictures[0], "svg")


@pytest.mark.parametrize("changed", [{"home.loss.w_per_k": 201.0}, {"name": "Another"}])
def test_another_case_is_made_anew(changed: dict[str, Any]) -> None:
    make = Maker()
    kept(HOME, ASKED, make)
    kept(vary(HOME, changed), ASKED, make)
    assert make.made == 2


def test_another_question_is_made_anew(tmp_path: Path) -> None:
    make, readings = Maker(), tmp_path / "readings.csv"
    readings.write_text("1")
    asked = [Asked("de", ("year",)), Asked("en", ("year", "inputs")), Asked("en", ("year",), (("since", readings),))]
    for one in (ASKED, *asked):
        kept(HOME, one, make)
    readings.write_text("2")
    kept(HOME, asked[-1], make)
    assert make.made == 5


def test_damage_is_thrown_away(folder: Path) -> None:
    make = Maker()
    kept(HOME, ASKED, make)
    path = max(folder.iterdir(), key=lambda path: path.stat().st_size)  # beside it, which reports there are
    whole = path.read_bytes()
    for damaged in (b"", whole[:-1], whole[:40] + b"x" + whole[41:], b"plain"):
        path.write_bytes(damaged)
        before = make.made
        kept(HOME, ASKED, make)
        assert make.made == before + 1
        assert path.read_bytes() != damaged
    kept(HOME, ASKED, make)
    assert make.made == 5


def test_an_answer_is_kept_and_made_anew_where_a_report_is_new() -> None:
    asked: list[int] = []

    def make(contents: Sequence[Content]) -> Answer:
        asked.append(len(contents))
        return Maker()().sections[0].answer.part("one")

    for _ in range(2):
        assert kept_answer(HOME, "explain 412", make).question == "What?"
    kept_answer(HOME, "explain 413", make)
    kept(vary(HOME, {"site.locale": "de_DE"}), ASKED, Maker())
    kept(vary(HOME, {"home.loss.w_per_k": 201.0}), ASKED, Maker())
    kept_answer(HOME, "explain 412", make)
    assert asked == [0, 0, 1]
