"""An answer is the same on every face: each figure on the terminal and the page is the one of its data, rounded once."""

from __future__ import annotations

import json
import re
from io import StringIO

import pandas as pd
import pytest
from homes import sample
from rich.console import Console

from simkit.answers.answer import Answer, Column, Table
from simkit.answers.cautions import LAST, REGISTER
from simkit.answers.comparison import comparison_answer
from simkit.answers.year import year_answer
from simkit.notation import Notation, joined
from simkit.reporting.as_data import answer_csv, answer_json
from simkit.reporting.on_page import answer_page
from simkit.reporting.on_terminal import answer_view
from simkit.year.compare import compare
from simkit.year.simulate import simulate

NAMES = ("estuary_bungalow", "canal_terrace", "harbour_flat", "moor_cottage")


@pytest.fixture(scope="module", params=NAMES)
def answers(request: pytest.FixtureRequest) -> list[Answer]:
    case = sample(request.param)
    return [year_answer(simulate(case)), comparison_answer(compare(case), case.name)]


def shown(answer: Answer, width: int) -> str:
    """What a terminal of that width shows."""
    screen = Console(width=width, markup=False, highlight=False, emoji=False, record=True, file=StringIO())
    screen.print(answer_view(answer))
    return screen.export_text()


@pytest.mark.parametrize("width", [40, 60, 80, 120, 200])
def test_the_terminal_keeps_its_width_and_shows_every_cell(answers: list[Answer], width: int) -> None:
    for answer in answers:
        text = shown(answer, width)
        assert max(len(line) for line in text.splitlines()) <= width
        joined = " ".join(text.split())
        for table in answer.tables:
            for row in table.cells(answer.notation):
                for cell in row:
                    for piece in cell.split():
                        assert piece in joined, (table.name, row[0], cell)


def test_every_sentence_caution_and_cell_stands_on_the_page(answers: list[Answer]) -> None:
    from html import unescape

    for answer in answers:
        page = re.sub(
            r"</?span[^>]*>", "", unescape(answer_page(answer)).replace("<code>", "`").replace("</code>", "`")
        )
        for said in (*answer.sentences, *answer.cautions, *answer.notes):
            assert joined(said) in page
        for table in answer.tables:
            for row in table.cells(answer.notation):
                for cell in row:
                    assert all(joined(line) in page for line in cell.split("\n"))


def test_the_data_are_strict_and_hold_what_is_said(answers: list[Answer]) -> None:
    for answer in answers:
        data = json.loads(answer_json(answer))
        assert data["answer"] == list(answer.sentences)
        assert data["cautions"][-1] == LAST
        main = answer.tables[0]
        read = pd.read_csv(StringIO(answer_csv(answer)), index_col=0)
        assert list(read.index) == list(main.frame.index)


def test_no_option_is_called_cheapest_that_is_not_held() -> None:
    case = sample("estuary_bungalow")
    made = compare(case)
    said = comparison_answer(made, case.name).sentences
    cheapest = next(sentence for sentence in said if "cheapest" in sentence)
    named = next(year for year in made.years if f"“{year.case.name}” at" in cheapest)
    assert named.comfort.held
    assert named.bill.total == min(year.bill.total for year in made.years if year.comfort.held)


def test_a_cell_with_a_range_says_both_in_the_same_rounding() -> None:
    frame = pd.DataFrame(
        {"year_cost": [3475.6], "year_cost_low": [3014.0], "year_cost_high": [4011.0]}, index=pd.Index(["a"])
    )
    table = Table("t", "T", frame, (Column("year_cost", "year_cost_low", "year_cost_high"),))
    assert table.cells(Notation("en_IE", "EUR")) == [["a", "€3,480\n€3,010 to €4,010"]]


def test_every_entry_of_the_register_names_who_to_ask_and_who_says_so() -> None:
    assert len({entry.name for entry in REGISTER}) == len(REGISTER)
    for entry in REGISTER:
        assert entry.ask
        assert entry.source
