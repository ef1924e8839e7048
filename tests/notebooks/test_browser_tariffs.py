"""The notebook of tariffs in a real browser: it runs, no label is cut off, a slider moves picture and table.

The time from moving the mouse to the new picture is measured and printed, not asserted: a busy computer is no fault of
the panel.
"""

from __future__ import annotations

import shutil
import statistics
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser import chromium, lab, moved_in_ms, page_of, run_all

CHECKOUT = Path(__file__).parents[2]
NOTEBOOK = "03_which_tariff.ipynb"
PANEL = ".simkit >> nth=0"
MOVES, MOVE_PX = 24, 10  # one step of the slider is half a dozen pixels

pytestmark = [
    pytest.mark.skipif(chromium() is None, reason="no Chromium is installed: install it to run the browser tests"),
    pytest.mark.filterwarnings("default"),  # of the browser's driver
]


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """The notebook, run from top to bottom in a starter folder."""
    home = tmp_path_factory.mktemp("home")
    shutil.copytree(CHECKOUT / "sample_data", home / "sample_data")
    shutil.copytree(CHECKOUT / "sample_data" / "tariffs", home / "tariffs")
    (home / "notebooks").mkdir()
    shutil.copy(CHECKOUT / "notebooks" / NOTEBOOK, home / "notebooks")
    with lab(home / "notebooks") as address, page_of(address, NOTEBOOK) as opened:
        run_all(opened)
        opened.home = home
        yield opened


def table(page: Any) -> str:
    """The table under the picture."""
    return str(page.locator(PANEL).locator("tbody").first.inner_text())


def wait_for_another(page: Any, before: str) -> str:
    """Wait until the table reads differently."""
    for _ in range(100):
        now = table(page)
        if now != before:
            return now
        page.wait_for_timeout(100)
    raise AssertionError(f"still the same after ten seconds: {before}")


def test_every_cell_ran_and_no_label_is_cut_off(page: Any, tmp_path: Path) -> None:
    assert page.locator(".jp-RenderedText[data-mime-type='application/vnd.jupyter.stderr']").count() == 0
    assert page.locator(".jp-OutputArea-output").filter(has_text="Traceback").count() == 0
    cut = """() => [...document.querySelectorAll('.simkit .widget-label, .simkit th, .simkit td')]
        .filter(e => e.innerText.trim() && e.scrollWidth > e.clientWidth + 1).map(e => e.innerText)"""
    assert page.evaluate(cut) == []
    wide = """() => [...document.querySelectorAll('.simkit')].filter(e => e.scrollWidth > e.clientWidth + 1).length"""
    assert page.evaluate(wide) == 0
    page.locator(PANEL).scroll_into_view_if_needed()
    page.wait_for_timeout(500)
    page.screenshot(path=tmp_path / "tariffs.png")
    print(f"screenshot: {tmp_path / 'tariffs.png'}")


def test_a_dragged_slider_moves_picture_and_table(page: Any, tmp_path: Path) -> None:
    handle = page.locator(PANEL).locator(".noUi-handle").first
    handle.scroll_into_view_if_needed()
    page.wait_for_timeout(1_000)
    before = table(page)
    box = handle.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    times = []
    for _ in range(MOVES):
        x += MOVE_PX
        times.append(moved_in_ms(page, x, y))
    page.mouse.up()
    median, slow = statistics.median(times), sorted(times)[int(0.95 * len(times))]
    print(f"mouse to picture: median {median:.0f} ms, 95th percentile {slow:.0f} ms, {len(times)} moves")
    wait_for_another(page, before)
    assert table(page) != before
    page.wait_for_timeout(2_000)  # the table is written anew once the drag rests
    page.locator(PANEL).locator("table").scroll_into_view_if_needed()
    page.screenshot(path=tmp_path / "dragged.png")
    print(f"screenshot: {tmp_path / 'dragged.png'}")


def test_keyboard_box_and_charger_are_answered_and_the_home_is_written(page: Any) -> None:
    hours, box = (page.locator(PANEL).locator("input[type=text]").nth(k) for k in (1, 2))
    page.locator(PANEL).locator(".noUi-handle").nth(1).focus()
    page.keyboard.press("ArrowLeft")
    page.wait_for_function("box => box.value === '2.5'", arg=hours.element_handle())
    before = table(page)
    box.fill("0,75")
    box.press("Enter")
    before = wait_for_another(page, before)
    box.fill("9")
    box.press("Enter")
    page.locator(PANEL).locator("[role=alert]").first.wait_for()
    page.locator(PANEL).get_by_role("button", name="Write case file").click()
    page.locator(PANEL).get_by_text("Nothing was written. Mend what is marked first.").wait_for()
    box.fill("0,5")
    box.press("Enter")
    before = wait_for_another(page, before)
    page.locator(PANEL).get_by_role("button", name="Write case file").click()
    page.locator(PANEL).get_by_text("Written to").wait_for()
    assert (page.home / "notebooks" / "my_schedule.toml").is_file()
    page.locator(PANEL).get_by_role("button", name="Reset all").click()
    wait_for_another(page, before)
    page.wait_for_function("() => !document.querySelector('.simkit .moved')")
