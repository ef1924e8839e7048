"""Notebooks that were handed in are read and never run; each that can't be marked is one sentence."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from simkit.errors import DataError
from simkit.lesson.answer import lesson_plan
from simkit.lesson.errors import wrong_lines
from simkit.lesson.exercises import of_level
from simkit.lesson.marking import RECORD, check
from simkit.lesson.plan import PLAN
from simkit.panels import Errors, Exercises, PupilPanel
from simkit.panels.showing import show


def notebook(*records: Any, source: str = "") -> str:
    """A notebook that holds these records as outputs."""
    cells = [{"cell_type": "code", "source": source, "outputs": [{"data": {RECORD: one}}]} for one in records]
    return json.dumps({"cells": cells, "nbformat": 4})


def record(number: int, level: int, given: dict[str, Any], part: str = "A") -> dict[str, Any]:
    """What a box leaves behind."""
    return {"pupil": number, "level": level, "part": part, "given": given}


def test_marks_are_worked_out_anew_and_nothing_is_run(tmp_path: Path) -> None:
    trap = tmp_path / "run"
    asked = {one.key: one.value for one in of_level(5, 2)}
    wrong = ", ".join(map(str, sorted(wrong_lines(5))))
    (tmp_path / "all.ipynb").write_text(
        notebook(
            record(5, 2, {**asked, "guess_A": "3"}), record(5, 2, {"E": wrong}), source=f"open({str(trap)!r}, 'w')"
        )
    )
    half = {"A1": asked["A1"], "A2": "right", "B1": -1.0, "C1": True, "E": "no lines"}
    (tmp_path / "sub").mkdir()
    (tmp_path / "sub" / "half.ipynb").write_text(notebook(record(6, 1, half)))
    found = check(tmp_path)
    assert found.faults == ()
    assert not trap.exists()
    rows = found.table.to_dict("index")
    assert rows["all.ipynb"]["all_marks"] == rows["all.ipynb"]["full_marks"] == 18
    assert rows["all.ipynb"]["error_marks"] == 10
    assert rows["sub/half.ipynb"]["full_marks"] == 14
    assert rows["sub/half.ipynb"]["all_marks"] == 0, "the answer of another pupil"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "can't be read as a notebook"),
        ("[" * 100_000, "can't be read as a notebook"),
        ("[]", "holds no answers"),
        ('{"cells": 3}', "holds no answers"),
        ('{"cells": [{"outputs": [{"data": 1}, 2]}, null]}', "holds no answers"),
        (notebook(record(0, 1, {})), "holds no answers"),
        (notebook(record(1, 4, {})), "holds no answers"),
        (notebook({"pupil": "1", "level": 1, "given": {}}), "holds no answers"),
        (notebook(record(1, 1, {}), record(2, 1, {})), "holds answers of pupils 1 and 2"),
    ],
)
def test_a_broken_notebook_is_one_sentence_and_stops_no_other(text: str, says: str, tmp_path: Path) -> None:
    (tmp_path / "bad.ipynb").write_text(text)
    (tmp_path / "good.ipynb").write_text(notebook(record(2, 1, {})))
    (tmp_path / "twin.ipynb").write_text(notebook(record(2, 1, {})))
    found = check(tmp_path)
    (fault,) = found.faults
    assert str(fault).startswith(f"bad.ipynb: {says}. ")
    assert list(found.table.index) == ["good.ipynb", "twin.ipynb"]
    said = found.answer()
    assert "Pupil 2 stands on more than one notebook: ask whose they are." in said.sentences
    assert [table.name for table in said.tables] == ["marks", "not_marked"]


def test_a_folder_without_notebooks_is_refused(tmp_path: Path) -> None:
    for place, says in ((tmp_path, "holds 0 notebooks"), (tmp_path / "no", "is not there")):
        with pytest.raises(DataError, match=says):
            check(place)


def test_what_a_box_holds_is_recorded_and_stays_when_all_cells_run_anew(tmp_path: Path) -> None:
    pupil = PupilPanel(tmp_path)
    assert list(tmp_path.iterdir()) == [], "nothing is written before something is typed"
    heat, errors = Exercises(pupil, "A"), Errors(pupil)
    pupil.set_all({"pupil": "5", "level": "2"})
    value = of_level(5, 2)[0].value
    heat.set("A1", f"{value:.2f}".replace(".", ","))
    heat.set("A2", "7")
    for typed in (f"{value:.3f}".replace(".", ","), f"{value:.3f}"):  # three decimals are no thousands here
        heat.set("A1", typed)
        assert (heat.verdict("A1"), heat.problems) == ("right", {})
    errors.set("E", "1 and 99")
    assert errors.problems["E"] == '"1 and 99" are no lines from 1 to 16. Write numbers such as 2, 5, 7.'
    errors.set("E", "3 and 2")
    assert (heat.verdict("A1"), heat.verdict("A2")) == ("right", "not yet")
    assert heat.hint("A1").startswith("Right. ")
    assert heat.hint("A2").startswith("Not yet. ")
    assert heat.answer().sentences == ("1 of 2 are right.",)
    anew = PupilPanel(tmp_path)
    assert (anew.number, anew.level) == (5, 2)
    assert Exercises(anew, "A").record() == heat.record()
    assert Errors(anew).record()[RECORD]["given"] == {"E": "2, 3"}
    (tmp_path / "one.ipynb").write_text(notebook(heat.record()[RECORD], errors.record()[RECORD]))
    assert check(tmp_path).table.at["one.ipynb", "heat_marks"] == 1
    (tmp_path / "my_lesson.json").write_text("{")
    assert PupilPanel(tmp_path).number == 1


def test_the_record_stands_beside_the_still_copy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[dict[str, Any]] = []
    monkeypatch.setattr("IPython.display.display", lambda data, **_: shown.append(data))
    show(Exercises(PupilPanel(tmp_path), "B"))
    assert shown[-1][RECORD] == record(1, 1, {}, "B")
    assert "A static copy of a panel, with the answers of pupil 1" in shown[-1]["text/html"]


def test_the_plan_fills_fifty_minutes_and_holds_the_key() -> None:
    assert sum(part.minutes for part in PLAN) == 50
    tables = {table.name: table.frame for table in lesson_plan(3).tables}
    assert list(tables["plan"]["minutes_words"])[-1] == "48–50"
    assert len(tables["answers"]) == 12
    assert len(tables["errors"]) == 10
