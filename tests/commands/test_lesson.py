"""`simkit lesson`: plan, sheets and key on paper, and one table of marks."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path

import pytest
from lesson.test_marking import notebook, record
from pypdf import PdfReader

from commands.conftest import Ask
from simkit.lesson.exercises import of_level

GREY = re.compile(r"#(?:([0-9a-f])\1\1|([0-9a-f]{2})\2\2)\b")


def test_sheets_and_key_are_written_and_print_in_grey(ask: Ask, tmp_path: Path) -> None:
    for kind in ("sheet", "key"):
        for ending in ("html", "pdf"):
            path = tmp_path / f"{kind}.{ending}"
            assert ask("lesson", kind, "--pupils", "7-8", "--level", "1", "-o", path).code == 0
        page = (tmp_path / f"{kind}.html").read_text(encoding="utf-8")
        assert all(GREY.fullmatch(colour) for colour in re.findall(r"#[0-9a-f]{3,6}\b", page))
        assert "http" not in page
        assert ("<img" in page, "Pupil 8" in page) == (False, True)
        text = "".join(one.extract_text() for one in PdfReader(io.BytesIO(path.read_bytes())).pages)
        assert ("Pupil 7" in text, "Pupil 8" in text) == (True, True)
    one = of_level(7, 1)[0]
    assert one.because[:40] in page
    assert one.question[:40] in (tmp_path / "sheet.html").read_text(encoding="utf-8")


def test_marks_are_one_table_as_text_as_json_and_as_csv(ask: Ask, tmp_path: Path) -> None:
    (tmp_path / "ada.ipynb").write_text(notebook(record(3, 1, {"A1": of_level(3, 1)[0].value})))
    (tmp_path / "broken.ipynb").write_text("{")
    found = ask("lesson", "check", tmp_path, "--csv", tmp_path / "marks.csv")
    assert found.code == 0
    assert "1 notebook marked" in found.out
    assert "can't be read as a notebook" in found.out
    assert (tmp_path / "marks.csv").read_text().splitlines()[1].startswith("ada.ipynb,3,1,1,0,0,0,0,1,14")
    told = json.loads(ask("lesson", "check", tmp_path, "--json").out)
    assert told["tables"]["marks"][0]["all_marks"] == 1
    assert told["tables"]["not_marked"][0]["notebook"] == "broken.ipynb"


def test_the_plan_is_printed(ask: Ask) -> None:
    found = ask("lesson", "plan", "--pupils", "7")
    assert found.code == 0
    assert "What happens in the 50 minutes?" in found.out
    assert "Answers of pupil 7" in found.out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("check",), "FOLDER is missing. Write `simkit lesson check FOLDER`."),
        (("plan", "here"), "FOLDER belongs to check, not to plan. Write `simkit lesson check FOLDER`."),
        (("sheet",), "--output is missing. Write `simkit lesson sheet -o sheets.pdf`."),
        (("plan", "-o", "x.pdf"),
         "--output x.pdf can't be written of plan. Write worksheets or a key to a file that ends in .html or .pdf."),
        (("key", "--pupils", "9-3"),
         "--pupils 9-3 are no numbers of 1 to 200 pupils from 1 to 9999. Write for example 1-30."),
        (("key", "--pupils", "all"),
         "--pupils all are no numbers of 1 to 200 pupils from 1 to 9999. Write for example 1-30."),
    ],
)  # fmt: skip
def test_a_slip_is_one_sentence(ask: Ask, words: tuple[str, ...], says: str) -> None:
    found = ask("lesson", *words)
    assert (found.code, found.faults) == (2, [says])
