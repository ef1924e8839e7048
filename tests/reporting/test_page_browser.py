"""The page in a real browser: it shows its pictures, fits the window, prints, and its text can be selected."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser import QUIET, chromium
from reported import small_report, written

from simkit.answers.comparison import comparison_answer
from simkit.case.build import Case
from simkit.reporting.on_page import answer_page
from simkit.year.compare import Comparison

pytest.importorskip("matplotlib")
playwright = pytest.importorskip("playwright.sync_api")
axe = pytest.importorskip("axe_playwright_python.sync_playwright")
pytestmark = pytest.mark.skipif(chromium() is None, reason="no Chromium is found: pages are not opened in a browser")


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory, compared: Comparison, flagship: Case) -> Iterator[Any]:
    """The page of the flagship in a browser without a screen, with everything the browser complained of."""
    file = tmp_path_factory.mktemp("page") / "compare.html"
    file.write_text(answer_page(comparison_answer(compared, flagship.name)), encoding="utf-8")
    with playwright.sync_playwright() as player:
        browser = player.chromium.launch(executable_path=chromium(), args=list(QUIET))
        page = browser.new_page(viewport={"width": 1200, "height": 900})
        page.complaints = []
        page.on("console", lambda message: page.complaints.append(message.text))
        page.on("pageerror", lambda error: page.complaints.append(str(error)))
        page.on(
            "request",
            lambda asked: page.complaints.extend([] if asked.url.startswith(("file:", "data:")) else [asked.url]),
        )
        page.goto(file.as_uri())
        yield page
        browser.close()


def test_every_picture_is_shown_and_nothing_is_asked_of_the_network(opened: Any) -> None:
    widths = opened.evaluate("[...document.images].map(image => image.complete && image.naturalWidth)")
    assert len(widths) == 5
    assert all(width > 300 for width in widths)
    assert opened.complaints == []


@pytest.mark.parametrize("width", [1200, 800, 390])
def test_the_page_fits_the_window(opened: Any, width: int) -> None:
    opened.set_viewport_size({"width": width, "height": 900})
    assert opened.evaluate("document.documentElement.scrollWidth") <= width


def test_the_table_can_be_selected_and_copied(opened: Any, compared: Comparison) -> None:
    select = (
        "const r = document.createRange(); r.selectNode(document.querySelector('table')); const s = getSelection();"
    )
    text = opened.evaluate(f"() => {{ {select} s.removeAllRanges(); s.addRange(r); return s.toString() }}")
    for year in compared.years:
        assert year.case.name in text


@pytest.mark.parametrize("width", [718, 600])  # A4 upright between margins of 12 mm, and less
def test_no_column_is_lost_on_paper_and_nothing_is_folded_shut(opened: Any, width: int) -> None:
    opened.set_viewport_size({"width": width, "height": 1000})
    opened.emulate_media(media="print")
    over = "[...document.querySelectorAll('.scroll')].filter(box => box.scrollWidth > box.clientWidth).length"
    assert opened.evaluate(over) == 0
    assert opened.evaluate("document.querySelectorAll('details:not([open])').length") == 0
    opened.emulate_media(media="screen")


def _found(page: Any) -> list[tuple[str, str]]:
    """What an audit of accessibility finds in a page: its rule, and where."""
    rules = axe.Axe().run(page).response["violations"]
    return [(rule["id"], node["html"][:200]) for rule in rules for node in rule["nodes"]]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_an_audit_of_accessibility_finds_nothing(opened: Any, scheme: str) -> None:
    opened.emulate_media(color_scheme=scheme)
    assert _found(opened) == []


def test_nor_does_it_in_a_report(opened: Any, tmp_path: Path) -> None:
    page = opened.context.browser.new_page(viewport={"width": 1000, "height": 900})
    page.goto(written(small_report(), tmp_path / "report.html").as_uri())
    assert _found(page) == []
    page.close()


def test_it_prints(opened: Any, tmp_path: Path) -> None:
    opened.pdf(path=str(tmp_path / "page.pdf"))
    assert (tmp_path / "page.pdf").read_bytes().startswith(b"%PDF")
