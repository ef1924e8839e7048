"""The page of a report: strict, complete, one file, the same bytes each time, and every text stays text."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from reported import LONG, NASTY, small_report, with_content

from simkit.answers.report.report import Report
from simkit.errors import CaseError
from simkit.reporting.report.as_page import report_page

VOID = {"meta", "br", "img", "link", "input", "hr"}


class Strict(HTMLParser):
    """Every tag that is opened is closed, in order; texts and addresses are kept."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str] = []
        self.addresses: list[str] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.ids += [value or "" for name, value in attrs if name == "id"]
        self.addresses += [value or "" for name, value in attrs if name in {"src", "href", "action"}]
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if not self.open or self.open[-1] not in {"style", "script"}:
            self.text.append(data)


@pytest.fixture(scope="module")
def brief() -> Report:
    """The report without its sections."""
    return with_content(small_report(), sections=())


@pytest.fixture(scope="module")
def page() -> str:
    return report_page(small_report())


@pytest.fixture(scope="module")
def read(page: str) -> Strict:
    parser = Strict()
    parser.feed(page)
    parser.close()
    return parser


def test_it_is_whole_and_asks_nothing_of_any_other_place(page: str, read: Strict) -> None:
    assert read.open == []
    assert len(set(read.ids)) == len(read.ids)
    assert all(address.startswith(("#", "data:image/")) for address in read.addresses)
    assert {address[1:] for address in read.addresses if address.startswith("#")} <= set(read.ids)
    assert "url(" not in page
    assert "@import" not in page


def test_every_sentence_figure_and_caution_stands_in_it(read: Strict) -> None:
    text = re.sub(r"\s+", " ", " ".join(read.text))
    made = small_report()
    for section in made.sections:
        notation = section.answer.notation
        for said in (*section.answer.sentences, *section.answer.cautions, section.heading):
            assert re.sub(r"\s+", " ", said) in text
        for table in section.answer.tables:
            for cell in (cell for row in table.on_paper.cells(notation) for cell in row):
                for line in cell.split("\n"):
                    assert re.sub(r"\s+", " ", line.strip()) in text


def test_a_caution_stands_in_full_once(page: str) -> None:
    cautions = small_report().cautions
    assert len(re.findall(r'class="caution" id="caution_\d+"', page)) == len(cautions)


def test_the_same_report_makes_the_same_page(page: str) -> None:
    assert report_page(small_report()) == page


def test_it_is_replaced_only_as_it_was_written(tmp_path: Path, brief: Report) -> None:
    path = brief.write(tmp_path / "r.html")
    brief.write(path)
    path.write_text(path.read_text(encoding="utf-8").replace("The decision", "My decision"), encoding="utf-8")
    with pytest.raises(CaseError, match="nothing that may have been changed by hand is overwritten"):
        brief.write(path)
    with pytest.raises(CaseError, match=r"does not end in \.html, \.pdf or \.xlsx"):
        brief.write(tmp_path / "r.docx")


def test_what_a_user_writes_stays_text(brief: Report) -> None:
    nasty = replace(brief, details=brief.details.model_copy(update={"title": f"{NASTY} {LONG}", "notes": NASTY}))
    page = report_page(nasty)
    assert "<b>&amp; " not in page.split("</head>")[1].replace("<b>1</b>", "")
    assert "&lt;b&gt;&amp;amp; &#34;=1+1&#34; &lt;/b&gt;" in page
    assert LONG in page
