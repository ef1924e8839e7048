"""Your own home is found where it lies, a sample stands in for it, and the line says which and what to add."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from homes import changed

import simkit as sk
from simkit.case.load import write_case
from simkit.errors import CaseError
from simkit.panels.my_case import MY_HOME, READINGS, found_case


def test_without_a_file_it_is_a_sample_and_says_so(tmp_path: Path) -> None:
    found = found_case((), tmp_path)
    assert found.case.name == "Estuary bungalow"
    assert found.line == (
        'The sample home "Estuary bungalow", which is invented: your own takes its place once the form has written '
        "my_home.toml."
    )


@pytest.mark.parametrize("place", [".", "notebooks"])
def test_the_form_s_file_is_found_beside_the_notebook_or_above_it(tmp_path: Path, place: str) -> None:
    (tmp_path / place).mkdir(exist_ok=True)
    write_case(sk.vary(changed("canal_terrace"), name="Ours"), tmp_path / MY_HOME)
    assert sk.my_case(folder=tmp_path / place).name == "Ours"
    assert found_case((), tmp_path / place).line == 'Your home "Ours", from my_home.toml.'


def test_what_a_question_lacks_is_named_and_the_sample_shown_meanwhile(tmp_path: Path) -> None:
    write_case(changed("canal_terrace"), tmp_path / MY_HOME)
    found = found_case(("rooms", "readings"), tmp_path)
    assert found.case.room
    assert found.line.startswith("my_home.toml lacks what this question needs. Add a [[room]] for each room")
    assert READINGS in found.line
    assert found.line.endswith("which is invented, is shown meanwhile.")


def test_a_file_broken_by_hand_is_told_in_its_sentences(tmp_path: Path) -> None:
    (tmp_path / MY_HOME).write_text('name = "x"\n[home]\nfloor_area_m2 = 2\n', encoding="utf-8")
    found = found_case((), tmp_path)
    assert found.wrong
    assert "floor_area_m2 = 2 is outside 10 to 2000 m²" in found.line
    assert "color" in found._repr_mimebundle_()["text/html"]


def test_what_one_question_lacks_stands_where_its_answer_would_and_stops_no_other(tmp_path: Path) -> None:
    (tmp_path / READINGS).write_text("a;b\nc;d\n", encoding="utf-8")
    found = sk.panels.or_why_not(sk.read_meter, tmp_path / READINGS, zone="Europe/Dublin")
    assert READINGS in found._repr_mimebundle_()["text/plain"]
    assert found.answer().part("sums") is found
    assert sk.panels.or_why_not(sk.fit, None, found) is found
    assert sk.panels.or_why_not(max, 1, 2) == 2
    write_case(changed("canal_terrace"), tmp_path / MY_HOME)
    assert "in which `simkit read` finds no fault" in found_case(("readings",), tmp_path).line


def test_a_need_that_is_none_is_refused() -> None:
    with pytest.raises(CaseError, match='Perhaps "rooms" is meant'):
        sk.my_case("room", folder=os.curdir)
