"""One answer on every face: each figure is that of its data after the one rounding, by row and column; no face
contradicts the verdict; each caution that holds is there; the order of options changes no word."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser
from io import StringIO
from typing import Any

import pandas as pd
import pytest
from reporting.read_back import as_table, printed

from answers.made import CASES, PLACES, Said, decided_of, printed_by, said_of
from answers.numbers import FIGURE, allowed, amounts_in, misshapen, texts_of_page
from simkit.answers.answer import Answer, Table
from simkit.answers.cautions import REGISTER
from simkit.answers.comparison import comparison_answer
from simkit.answers.severity import Subject
from simkit.notation import joined, named
from simkit.reporting.as_data import answer_csv, answer_json
from simkit.reporting.on_page import answer_html, answer_page, pieces_html
from simkit.reporting.on_terminal import answer_view, table_grid
from simkit.year.comfort import WARM_HOURS

# of values to be typed in, which stand as a case file has them
AS_IN_THE_FILE = "Is the case sound, and what does it leave open?"
WIDE = 1000  # no cell folds
WINDOWS = (60, 80, 120)
WARM, CHEAPEST = re.compile(r"\bwarm enough\b"), re.compile(r"\bcheapest\b")


@pytest.fixture(scope="module", params=(*CASES, *PLACES), ids=str)
def which(request: pytest.FixtureRequest) -> str | int:
    found: str | int = request.param
    return found


@pytest.fixture(scope="module")
def lived(which: str | int) -> tuple[Said, ...]:
    """What is said of years and of options."""
    return said_of(which)


@pytest.fixture(scope="module")
def decided(which: str | int) -> tuple[Said, ...]:
    """What is said of what to do."""
    return decided_of(which)


@pytest.fixture(scope="module")
def every(which: str | int, lived: tuple[Said, ...], decided: tuple[Said, ...]) -> Iterator[tuple[Said, ...]]:
    printed_by(which)  # while its years are at hand, for the tests of words
    yield lived + decided
    page_of.cache_clear()


class Tables(HTMLParser):
    """The cells of every table of a page, by table and row."""

    def __init__(self) -> None:
        super().__init__()
        self.tables: list[list[list[str]]] = []
        self.inside = False

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        if tag == "table":
            self.tables.append([])
        elif tag == "tr":
            self.tables[-1].append([])
        elif tag in {"td", "th"}:
            self.tables[-1][-1].append("")
            self.inside = True
        elif tag == "br" and self.inside:
            self.tables[-1][-1][-1] += "\n"

    def handle_endtag(self, tag: str) -> None:
        self.inside = self.inside and tag not in {"td", "th"}

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.tables[-1][-1][-1] += data


@cache
def page_of(answer: Answer) -> str:
    """Its pictures drawn once."""
    return answer_page(answer)


def bare(text: str) -> str:
    return "".join(text.split())


def rounded(table: Table, records: list[dict[str, Any]], answer: Answer) -> list[list[str]]:
    """The cells of a table, made from what the JSON or the CSV holds."""
    read = replace(table, frame=pd.DataFrame(records).set_index(table.frame.index.name or table.frame.index))
    return read.cells(answer.notation)


def test_terminal_and_page_show_the_data_after_the_one_rounding_by_row_and_column(every: tuple[Said, ...]) -> None:
    for said in every:
        answer = said.answer
        data = json.loads(answer_json(answer))["tables"]
        for face in (page_of(answer), answer_html(replace(answer, pictures=()))):
            pages = Tables()
            pages.feed(face)
            assert len(pages.tables) == len(answer.tables)
            for table, (heads, *rows) in zip(answer.tables, pages.tables, strict=True):
                expected = rounded(table, data[table.name], answer)
                assert [list(map(bare, row)) for row in rows] == [list(map(bare, row)) for row in expected]
                assert list(map(bare, heads)) == list(map(bare, table.heads(answer.notation)))
        for table in answer.tables:
            grid = table_grid(table, answer.notation)
            assert [list(map(str, row)) for row in grid.rows] == rounded(table, data[table.name], answer)
            assert as_table(grid, printed(grid, WIDE).splitlines()), table.name


def test_the_csv_holds_the_values_of_the_json(every: tuple[Said, ...]) -> None:
    for said in every:
        if not said.answer.tables:
            assert not answer_csv(said.answer)
            continue
        table = said.answer.tables[0]
        read = pd.read_csv(StringIO(answer_csv(said.answer)), keep_default_na=False, na_values=[""])
        data = json.loads(answer_json(said.answer))["tables"][table.name]
        assert len(read) == len(data)
        for row, other in zip(read.to_dict("records"), data, strict=True):
            for name in table.frame.columns:
                held = other[name]
                if isinstance(held, int | float):
                    assert row[name] == pytest.approx(held, rel=1e-12, abs=0.0)
                else:
                    assert (held or None) == (None if pd.isna(row[name]) else row[name])


def shown_of(answer: Answer) -> tuple[str, ...]:
    """All that a terminal, a page with its pictures and a panel show, piece by piece."""
    panel = pieces_html(answer, "sentences", "tables", "cautions")
    terminal = printed(answer_view(answer), WIDE).splitlines()
    return (*terminal, *texts_of_page(page_of(answer)), *texts_of_page(panel), *answer.notes)


def test_each_amount_on_every_face_is_the_data_after_the_one_rounding(every: tuple[Said, ...]) -> None:
    for said in every:
        held, notation = allowed(said.answer), said.answer.notation
        for text in shown_of(said.answer):
            assert not [amount for amount in amounts_in(text, notation) if amount not in held], text


def test_each_number_on_every_face_is_written_as_its_place_writes_it(every: tuple[Said, ...]) -> None:
    for said in every:
        if said.answer.question != AS_IN_THE_FILE:
            for text in shown_of(said.answer):
                assert not misshapen(text, said.answer.notation), text


def test_a_number_of_another_place_and_an_amount_that_no_data_hold_are_found(lived: tuple[Said, ...]) -> None:
    answer = lived[0].answer
    other = replace(answer.notation, locale="en_IE" if answer.notation.number(0.5, 1) == "0,5" else "de_DE")
    assert misshapen(f"at {other.number(2345.5, 1)} kWh", answer.notation)
    (amount,) = amounts_in(f"costs {answer.notation.amount(123456.78)} more", answer.notation)
    assert amount not in allowed(answer)


def test_nothing_is_cut_and_no_figure_broken_in_a_window_of_any_width(every: tuple[Said, ...]) -> None:
    for said in every:
        view = answer_view(said.answer)
        whole = set(re.findall(FIGURE, printed(view, WIDE)))
        for width in WINDOWS:
            shown = printed(view, width)
            assert set(re.findall(FIGURE, shown)) == whole, said.answer.question
            assert max(map(len, shown.splitlines())) <= width


def test_no_face_calls_warm_what_is_not(lived: tuple[Said, ...]) -> None:
    for said in lived:
        levels = {year.case.name: year.comfort for year in said.years}
        for table in said.answer.tables:
            for name, *cells in table.cells(said.answer.notation):
                if any(WARM.search(cell) for cell in cells):
                    assert levels[name].level == 0
        if len(said.years) == 1 and any(WARM.search(text) for text in said.answer.sentences):
            assert said.years[0].comfort.held


def test_nothing_is_called_cheapest_that_is_less_comfortable_than_needed(lived: tuple[Said, ...]) -> None:
    for said in lived:
        if said.comparison is None:
            continue
        assert not any(CHEAPEST.search(picture.sentence) for picture in said.answer.pictures)
        for sentence in filter(CHEAPEST.search, said.answer.sentences):
            name = re.search(r"is “([^”]+)”", sentence)
            assert name
            found = next(year for year in said.years if year.case.name == name[1])
            assert found.comfort.held
            assert found.bill.total == min(year.bill.total for year in said.years if year.comfort.held)


def test_what_speaks_against_an_option_stands_in_the_sentence_of_its_cost(lived: tuple[Said, ...]) -> None:
    for said in lived:
        if len(said.years) > 1:
            continue
        (year,) = said.years
        if not year.comfort.held:
            assert year.comfort.lacking(said.answer.notation.number) in said.answer.sentences[0]


def test_every_caution_whose_condition_holds_is_on_every_face(every: tuple[Said, ...]) -> None:
    for said in every:
        page, shown = page_of(said.answer), bare(printed(answer_view(said.answer), 100))
        for name, year in said.called.items():
            on = Subject(year, year.case, frozenset(), year.case.notation)
            for entry in REGISTER:
                words = entry.found(on)
                those = [
                    one for one in said.answer.cautions if one.endswith(f"Ask {entry.ask}. Source: {entry.source}.")
                ]
                whole = any(one.startswith(words[:-1]) for one in those) if words else True
                assert whole or (entry.worse and any(named(name) in one for one in those)), words
        for caution in said.answer.cautions:
            assert bare(caution) in shown
            assert joined(caution) in page.replace("&#39;", "'").replace("&#34;", '"').replace("&amp;", "&")


def test_options_in_another_order_are_said_in_the_same_words(lived: tuple[Said, ...]) -> None:
    for said in lived:
        if said.comparison is None:
            continue
        turned = replace(said.comparison, years=said.comparison.years[::-1])
        ranged = said.answer.tables[0].frame["year_cost_low"].notna().any()
        again = comparison_answer(turned, said.answer.title, ranged=bool(ranged))
        assert again.sentences == said.answer.sentences
        assert again.cautions == said.answer.cautions
        assert sorted(again.notes) == sorted(said.answer.notes)


def test_no_decision_is_praised_against_the_verdict(decided: tuple[Said, ...]) -> None:
    for said in decided:
        for table in said.answer.tables:  # a row that has its hours felt cool has the verdict that they give
            if not {"comfort", "cool_h"} <= set(table.frame):
                continue
            for words, cool_h in zip(table.frame["comfort"], table.frame["cool_h"], strict=True):
                assert not (WARM.search(words) and cool_h > WARM_HOURS), (words, cool_h)
        if not said.years or all(year.comfort.held for year in said.years):
            continue
        assert not re.search(r"rooms are warm enough|is the cheapest\b", said.answer.sentence), said.answer.sentence
