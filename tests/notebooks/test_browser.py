"""The first notebook in a real browser: it runs, the form answers, a slider moves, picture and table follow.

The time from moving the mouse to the new picture is measured and printed, not asserted: a busy computer is no fault of
the panel.
"""

from __future__ import annotations

import re
import shutil
import statistics
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser import chromium, lab, moved_in_ms, page_of, run_all, source_of_picture, to_the_top

CHECKOUT = Path(__file__).parents[2]
NOTEBOOK = "01_your_home_your_year.ipynb"
FORM, SETTINGS = ".simkit >> nth=0", ".simkit >> nth=1"
MOVES, MOVE_PX = 40, 6

pytestmark = [
    pytest.mark.skipif(chromium() is None, reason="no Chromium is installed: install it to run the browser tests"),
    pytest.mark.filterwarnings("default"),  # of the browser's driver
]


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """The first notebook, run from top to bottom in a starter folder."""
    home = tmp_path_factory.mktemp("home")
    shutil.copytree(CHECKOUT / "sample_data", home / "sample_data")
    (home / "notebooks").mkdir()
    shutil.copy(CHECKOUT / "notebooks" / NOTEBOOK, home / "notebooks")
    with lab(home / "notebooks") as address, page_of(address, NOTEBOOK) as opened:
        run_all(opened)
        opened.home = home
        yield opened


def field(page: Any, label: str) -> Any:
    """The input beside a label of the form."""
    row = page.locator(FORM).locator(".widget-text, .widget-dropdown").filter(has_text=label)
    return row.locator("input, select").first


def answer(page: Any) -> str:
    """The first sentence that the form shows."""
    return str(page.locator(FORM).locator(".answer p").first.inner_text())


def cost(page: Any) -> float:
    """What a year with the heat pump costs, by the table of the form."""
    row = str(page.locator(FORM).locator("tbody tr").first.inner_text())
    return float(re.findall(r"€([\d,]+)", row)[0].replace(",", ""))


def setting(page: Any) -> str:
    """The row of this setting in the table under the picture."""
    return str(page.locator(SETTINGS).locator("tbody tr").first.inner_text())


def wait_for_another(page: Any, read: Any, before: str) -> str:
    """Wait until something reads differently."""
    for _ in range(100):
        now = str(read(page))
        if now != before:
            return now
        page.wait_for_timeout(100)
    raise AssertionError(f"still the same after ten seconds: {before}")


def test_every_cell_ran_and_the_answer_is_seen_first(page: Any, tmp_path: Path) -> None:
    assert page.locator(".jp-RenderedText[data-mime-type='application/vnd.jupyter.stderr']").count() == 0
    assert page.locator(".jp-OutputArea-output").filter(has_text="Traceback").count() == 0
    to_the_top(page)
    box = page.locator(FORM).locator(".answer p").first.bounding_box()
    assert box["y"] > 0
    assert box["y"] + box["height"] < 500  # on a screen of 1400 × 900, without scrolling
    assert "€" in answer(page)
    page.screenshot(path=tmp_path / "first_sight.png")
    print(f"screenshot: {tmp_path / 'first_sight.png'}")


def test_no_label_of_a_panel_is_cut_off_marked_or_not(page: Any) -> None:
    before = answer(page)
    for label, value in (
        ("Flow on the coldest day", "50"),
        ("Radiators are enough", "50"),
        ("Other electricity", "2800"),
    ):
        field(page, label).fill(value)
        field(page, label).press("Enter")
        wait_for_another(page, answer, before)
        before = answer(page)
    cut = """() => [...document.querySelectorAll('.simkit .widget-label, .simkit th, .simkit td')]
        .filter(e => e.innerText.trim() && e.scrollWidth > e.clientWidth + 1).map(e => e.innerText)"""
    assert page.evaluate(cut) == []
    wide = """() => [...document.querySelectorAll('.simkit')].filter(e => e.scrollWidth > e.clientWidth + 1).length"""
    assert page.evaluate(wide) == 0
    page.locator(FORM).get_by_role("button", name="Reset all").click()
    wait_for_another(page, answer, before)
    page.wait_for_timeout(1_500)


def test_the_form_answers_says_what_is_wrong_and_writes_the_case(page: Any) -> None:
    before, drawn, paid = answer(page), source_of_picture(page), cost(page)
    flow = field(page, "Flow on the coldest day")
    flow.fill("45")
    flow.press("Enter")
    wait_for_another(page, answer, before)
    assert cost(page) < paid
    wait_for_another(page, source_of_picture, drawn)  # the settings follow the form
    flow.fill("hot")
    flow.press("Enter")
    page.locator(FORM).get_by_text('"hot" is not a number.').wait_for()
    page.locator(FORM).get_by_role("button", name="Reset all").click()
    page.wait_for_function("b => document.querySelector('.simkit .answer p').innerText === b", arg=before)
    page.locator(FORM).get_by_role("button", name="Write case file").click()
    page.locator(FORM).get_by_text("Written to").wait_for()
    assert (page.home / "notebooks" / "my_home.toml").is_file()


def test_a_dragged_slider_moves_picture_and_table(page: Any, tmp_path: Path) -> None:
    handle = page.locator(SETTINGS).locator(".noUi-handle").first
    handle.scroll_into_view_if_needed()
    page.wait_for_timeout(1_000)
    row = setting(page)
    box = handle.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    times = []
    for move in range(MOVES):
        x += -MOVE_PX if (move // 10) % 2 == 0 else MOVE_PX
        times.append(moved_in_ms(page, x, y))
    x -= 10 * MOVE_PX
    moved_in_ms(page, x, y)
    page.mouse.up()
    median, slow = statistics.median(times), sorted(times)[int(0.95 * len(times))]
    print(f"mouse to picture: median {median:.0f} ms, 95th percentile {slow:.0f} ms, {len(times)} moves")
    moved = wait_for_another(page, setting, row)
    assert moved.split("\t")[0] == row.split("\t")[0] == "This setting"
    page.locator(SETTINGS).get_by_text("Likely: eight of ten").first.wait_for()  # the likely range, once the drag rests
    page.wait_for_timeout(2_000)  # the table is written anew once the drag rests
    page.locator(SETTINGS).locator("table").scroll_into_view_if_needed()
    page.screenshot(path=tmp_path / "dragged.png")
    print(f"screenshot: {tmp_path / 'dragged.png'}")


def test_the_keyboard_moves_a_slider_and_a_box(page: Any) -> None:
    handle = page.locator(SETTINGS).locator(".noUi-handle").first
    row = setting(page)
    handle.focus()
    page.keyboard.press("ArrowRight")
    row = wait_for_another(page, setting, row)
    box = page.locator(SETTINGS).locator("input[type=text]").first
    box.fill("50,5")
    box.press("Enter")
    assert wait_for_another(page, setting, row) != row
    page.locator(SETTINGS).get_by_role("button", name="Reset all").click()
    page.wait_for_function("() => !document.querySelectorAll('.simkit')[1].querySelector('.moved')")
    assert page.locator(SETTINGS).locator(".moved").count() == 0
