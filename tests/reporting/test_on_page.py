"""The page: self-contained, escaped, selectable, the same each time, and holding all that it should."""

from __future__ import annotations

import html
from html.parser import HTMLParser

import pytest

from simkit.answers.answer import Answer
from simkit.answers.comparison import comparison_answer
from simkit.case.build import Case, vary
from simkit.reporting.on_page import answer_html, answer_page
from simkit.year.compare import Comparison, compare

pytest.importorskip("matplotlib")

VOID = {"meta", "img", "br"}


class Reader(HTMLParser):
    """Reads text and attributes, and notes every tag that is not closed in order."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.images: list[dict[str, str | None]] = []
        self.links: list[str] = []
        self.text = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.open += [] if tag in VOID else [tag]
        self.images += [dict(attrs)] if tag == "img" else []
        self.text += "`" if tag == "code" else ""
        self.links += [str(value) for name, value in attrs if name in ("href", "src") and value]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag
        self.text += "`" if tag == "code" else ""

    def handle_data(self, data: str) -> None:
        self.text += data if "style" not in self.open else ""


@pytest.fixture(scope="module")
def answer(compared: Comparison, flagship: Case) -> Answer:
    return comparison_answer(compared, flagship.name)


@pytest.fixture(scope="module")
def page(answer: Answer) -> str:
    return answer_page(answer)


def test_nothing_is_fetched_from_anywhere(page: str) -> None:
    assert all(link.startswith("data:image/svg+xml;base64,") for link in Reader(page).links)
    assert "<script" not in page
    assert "@import" not in page
    assert "url(" not in page


def test_every_tag_is_closed_and_every_picture_said(page: str) -> None:
    read = Reader(page)
    assert read.open == []
    assert len(read.images) == 5
    assert all(str(image["alt"]).endswith(".") for image in read.images)


def test_the_page_holds_all_of_the_answer(page: str, answer: Answer) -> None:
    text = " ".join(Reader(page).text.split())
    for said in (*answer.sentences, *answer.cautions, *answer.notes, answer.provenance["case_sha256"]):
        assert " ".join(said.split()) in text
    for table in answer.tables:
        for cell in (cell for row in table.cells(answer.notation) for cell in row):
            assert all(" ".join(line.split()) in text for line in cell.split("\n"))
    for part in ("H1", "H4", "with circulation pumps and standby", "Standing charge", "Jan", "Dec"):
        assert part in text


def test_nothing_is_folded_shut(page: str) -> None:
    assert "<details" not in page


def test_the_page_is_the_same_each_time(page: str, answer: Answer) -> None:
    assert answer_page(answer) == page


def test_without_ranges_none_are_shown(compared: Comparison, flagship: Case) -> None:
    page = answer_page(comparison_answer(compared, flagship.name, ranged=False))
    assert "ikely" not in Reader(page).text


def test_names_are_text_and_never_markup(flagship: Case) -> None:
    evil = '<img src=x onerror="alert(1)"> & "Co"'
    changed = vary(flagship, {"name": evil, "note": evil, "heat_pump.name": evil, "tariff.name": evil})
    options = [{"name": evil, "heat_source": "boiler"}, {"name": evil + "2", "note": evil}]
    changed = vary(changed, {"option": options, "baseline": evil})
    made = comparison_answer(compare(changed), evil, ranged=False)
    for page in (answer_page(made), answer_html(made)):
        assert "<img src=x" not in page
        assert html.escape(evil, quote=True).replace("&quot;", "&#34;") in page
