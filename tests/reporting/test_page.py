"""The page: self-contained, escaped, selectable, the same each time, and holding all that it should."""

from __future__ import annotations

import html
import re
from html.parser import HTMLParser

import pytest

from simkit.case.build import Case, vary
from simkit.reporting.page import NARROW_SPACE, comparison_page
from simkit.reporting.words import comparison_answer
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
        self.links += [str(value) for name, value in attrs if name in ("href", "src") and value]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data if "style" not in self.open else ""


@pytest.fixture(scope="module")
def page(compared: Comparison, flagship: Case) -> str:
    return comparison_page(compared, flagship)


def test_nothing_is_fetched_from_anywhere(page: str) -> None:
    assert all(link.startswith("data:image/svg+xml;base64,") for link in Reader(page).links)
    assert "<script" not in page
    assert "@import" not in page
    assert "url(" not in page


def test_every_tag_is_closed_and_every_picture_said(page: str) -> None:
    read = Reader(page)
    assert read.open == []
    assert len(read.images) == 4
    assert all(str(image["alt"]).endswith(".") for image in read.images)


def test_the_page_holds_answer_options_bill_months_performance_and_notes(page: str, compared: Comparison) -> None:
    text = " ".join(Reader(page).text.replace(NARROW_SPACE, ",").split())
    for sentence in comparison_answer(compared):
        assert sentence in text
    for year in compared.years:
        assert year.case.name in text
        assert f"€{year.bill.total:,.2f}" in text
        assert year.comfort.words in text
        assert year.case.digest in text
    for part in ("H1", "H4", "with circulation pumps and standby", "Standing charge", "Jan", "Dec", "Size"):
        assert part in text
    for note in compared.years[2].notes:
        assert note.removeprefix("Assumed for you: ") in text


def test_the_page_is_the_same_each_time(page: str, compared: Comparison, flagship: Case) -> None:
    assert comparison_page(compared, flagship) == page


def test_thousands_are_parted_by_a_narrow_space_as_in_the_pictures(page: str) -> None:
    text = Reader(page).text
    assert re.search(rf"€\d{NARROW_SPACE}\d\d\d", text)
    assert not re.search(r"\d,\d\d\d\b", text)


def test_without_ranges_none_are_shown(compared: Comparison, flagship: Case) -> None:
    assert "Likely range" not in comparison_page(compared, flagship, ranged=False)


def test_names_are_text_and_never_markup(flagship: Case) -> None:
    evil = '<img src=x onerror="alert(1)"> & "Co"'
    changed = vary(flagship, {"name": evil, "note": evil, "heat_pump.name": evil, "tariff.name": evil})
    options = [{"name": evil, "heat_source": "boiler"}, {"name": evil + "2", "note": evil}]
    changed = vary(changed, {"option": options, "baseline": evil})
    page = comparison_page(compare(changed), changed, ranged=False)
    assert "<img src=x" not in page
    assert html.escape(evil, quote=True).replace("&quot;", "&#34;") in page
