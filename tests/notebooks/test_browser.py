"""Notebooks and the page without code in a real browser: panels answer, sliders move picture and table, nothing is cut, nobody is asked.

The time from moving the mouse to the new picture is measured and printed, not asserted: a busy computer is no fault of
the panel.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import statistics
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser import PICTURE, RUN_IN_MS, browser, chromium, free_port, lab, moved_in_ms, opened, run_all

from simkit.case.build import vary
from simkit.panels.my_case import found_case
from simkit.panels.page import QUESTIONS
from simkit.year.simulate import simulate

CHECKOUT = Path(__file__).parents[2]
HOME, TARIFFS = "01_your_home_your_year.ipynb", "03_which_tariff.ipynb"
NEXT = CHECKOUT / "sample_data" / "estuary_bungalow" / "readings_next.csv"
SEARCHES = ("best_schedule(", "set_back(")
MOVES, MOVE_PX = 12, 6
SERIOUS = ("serious", "critical")
WIDTHS = (1000, 1400, 1800)
NAMELESS = """() => [...document.querySelectorAll('.simkit-panel :is(input, select, button, textarea)')]
    .filter(e => !e.getAttribute('aria-label') && e.labels?.length !== 1 && !e.innerText.trim()).map(e => e.outerHTML)"""

pytestmark = [
    pytest.mark.skipif(chromium() is None, reason="no Chromium is installed: install it to run the browser tests"),
    pytest.mark.filterwarnings("default"),  # of the browser's driver
]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A starter folder."""
    home = tmp_path_factory.mktemp("home")
    shutil.copytree(CHECKOUT / "sample_data", home / "sample_data")
    shutil.copytree(CHECKOUT / "notebooks", home / "notebooks", ignore=shutil.ignore_patterns(".*"))
    shorter(home / "notebooks" / TARIFFS)
    return home


def shorter(notebook: Path) -> None:
    """Leave out the cells that search schedules for half a minute: no browser is needed for those."""
    held = json.loads(notebook.read_text(encoding="utf-8"))
    held["cells"] = [cell for cell in held["cells"] if not any(name in "".join(cell["source"]) for name in SEARCHES)]
    notebook.write_text(json.dumps(held), encoding="utf-8")


@pytest.fixture(scope="module")
def address(folder: Path) -> Iterator[str]:
    """One server for all."""
    with lab(folder / "notebooks") as found:
        yield found


@pytest.fixture(scope="module")
def started() -> Iterator[Any]:
    """One browser for all."""
    with browser() as found:
        yield found


@pytest.fixture(scope="module")
def page(started: Any, address: str) -> Any:
    """The first notebook, run from top to bottom."""
    found = opened(started, address, HOME)
    run_all(found)
    return found


def panel(page: Any, place: int) -> Any:
    """One panel of the page."""
    return page.locator(".simkit-panel").nth(place)


def box(page: Any, place: int, label: str) -> Any:
    """The box of a setting, found by its name as a screen reader would."""
    return panel(page, place).get_by_role("textbox", name=label)


def words(page: Any, place: int) -> str:
    """What a panel says."""
    return str(panel(page, place).locator(".answered").inner_text())


def serious(page: Any, ours: str, *rules: str) -> list[str]:
    """What stands in the way of somebody inside our own elements; by some rules only, where they are named."""
    found = Axe().run(page, ours, {"runOnly": list(rules)} if rules else None).response["violations"]
    return [one["id"] for one in found if one["impact"] in SERIOUS]


def wait_for_another(page: Any, place: int, before: str) -> str:
    """Wait until a panel says something else."""
    for _ in range(400):
        now = words(page, place)
        if now != before:
            return now
        page.wait_for_timeout(100)
    raise AssertionError(f"still the same after forty seconds: {before}")


def dragged(page: Any, place: int) -> list[float]:
    """Drag the first slider of a panel back and forth; how long each picture took [ms]."""
    slider = panel(page, place).get_by_role("slider").first
    slider.scroll_into_view_if_needed()
    page.wait_for_timeout(1_000)
    at = slider.bounding_box()
    share = slider.evaluate("s => (s.value - s.min) / (s.max - s.min)")
    x, y = at["x"] + 8 + share * (at["width"] - 16), at["y"] + at["height"] / 2
    steps = slider.evaluate("s => (s.max - s.min) / s.step")
    apart = max(MOVE_PX, 1.2 * at["width"] / steps)  # so that every move is another value
    page.mouse.move(x, y)
    page.mouse.down()
    times = []
    for move in range(MOVES):
        x += -apart if (move // 5) % 2 == 0 else apart
        times.append(moved_in_ms(page, x, y, place))
    moved_in_ms(page, x - 3 * apart, y, place)  # and it rests elsewhere
    page.mouse.up()
    median, slow = statistics.median(times), sorted(times)[int(0.95 * len(times))]
    print(f"mouse to picture: median {median:.0f} ms, 95th percentile {slow:.0f} ms, {len(times)} moves")
    return times


def test_every_cell_ran_and_asked_no_other_host(page: Any) -> None:
    assert page.locator(".jp-RenderedText[data-mime-type='application/vnd.jupyter.stderr']").count() == 0
    assert page.locator(".jp-OutputArea-output").filter(has_text="Traceback").count() == 0
    assert [url for url in page.asked if not url.startswith(("http://127.0.0.1", "data:", "blob:"))] == []
    assert "€" in words(page, 0)
    assert page.locator(".simkit-still:visible").count() == 0
    assert serious(page, ".simkit-answer") == []
    page.evaluate("() => { document.body.dataset.jpThemeLight = 'false'; }")  # as the notebook's dark theme says it
    assert serious(page, ".simkit-answer", "color-contrast") == []
    page.evaluate("() => { document.body.dataset.jpThemeLight = 'true'; }")


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_is_cut_at_any_width(page: Any, width: int, tmp_path: Path) -> None:
    page.set_viewport_size({"width": width, "height": 900})
    page.wait_for_timeout(600)
    page.screenshot(path=tmp_path / f"{width}.png")
    print(f"screenshot: {tmp_path / f'{width}.png'}")
    cut = """() => [...document.querySelectorAll('.simkit-answer :is(label, th, td, button)')]
        .filter(e => e.offsetParent && e.scrollWidth > e.clientWidth + 1).map(e => e.innerText)"""
    assert page.evaluate(cut) == []
    wide = (
        "() => [...document.querySelectorAll('.simkit-answer')].filter(e => e.scrollWidth > e.clientWidth + 1).length"
    )
    assert page.evaluate(wide) == 0
    page.set_viewport_size({"width": 1400, "height": 900})


def test_the_form_answers_says_what_is_wrong_and_writes_the_case(page: Any, folder: Path) -> None:
    before, drawn = words(page, 0), words(page, 1)
    flow = box(page, 0, "Flow on the coldest day")
    flow.fill("45")
    flow.press("Enter")
    wait_for_another(page, 0, before)
    wait_for_another(page, 1, drawn)  # the settings follow the form
    flow.fill("hot")
    flow.press("Enter")
    panel(page, 0).get_by_text('"hot" is not a number.').wait_for()
    panel(page, 0).get_by_role("button", name="Reset all").click()
    page.wait_for_function("b => document.querySelector('.simkit-panel .answered').innerText === b", arg=before)
    panel(page, 0).get_by_role("button", name="Save").click()
    panel(page, 0).get_by_text("Written to").wait_for()
    panel(page, 0).get_by_role("button", name="Load").click()
    panel(page, 0).get_by_text("Read from").wait_for()
    text = (folder / "notebooks" / "my_home.toml").read_text(encoding="utf-8")
    for name, held, told in (
        (
            "broken.toml",
            text.replace("floor_area_m2 = 128", "floor_area_m2 = 1"),
            "broken.toml: [home] floor_area_m2 = 1",
        ),
        ("sent.toml", text.replace("floor_area_m2 = 128", "floor_area_m2 = 131"), "Read from sent.toml."),
    ):
        sent = {"name": name, "mimeType": "application/toml", "buffer": held.encode()}
        panel(page, 0).get_by_label("or from this computer").set_input_files(sent)
        panel(page, 0).get_by_text(told).wait_for()
    assert box(page, 0, "Heated floor area").input_value() == "131"
    assert (folder / "notebooks" / "my_home.toml").is_file()
    (folder / "notebooks" / "my_home.toml").unlink()


def test_a_dragged_slider_moves_picture_and_words_and_a_pin_stays(page: Any) -> None:
    before = words(page, 1)
    dragged(page, 1)
    wait_for_another(page, 1, before)
    panel(page, 1).get_by_role("button", name="Pin this setting").click()
    panel(page, 1).get_by_role("list", name="Pinned settings").get_by_text("Flow on the coldest day").wait_for()
    panel(page, 1).get_by_text("Likely: eight of ten").first.wait_for()  # the likely range, once the drag rests


def test_the_keyboard_moves_a_slider_and_a_box(page: Any) -> None:
    before = words(page, 1)
    panel(page, 1).get_by_role("slider").first.focus()
    page.keyboard.press("ArrowRight")
    before = wait_for_another(page, 1, before)
    flow = box(page, 1, "Flow on the coldest day")
    flow.fill("50,5")
    flow.press("Enter")
    before = wait_for_another(page, 1, before)
    panel(page, 1).get_by_role("button", name="Reset all").click()
    wait_for_another(page, 1, before)
    assert panel(page, 1).locator(".moved").count() == 0


def test_how_long_a_cell_takes_is_shown_while_it_does(page: Any) -> None:
    page.locator(".jp-Notebook-footer").click()  # which adds a cell
    page.keyboard.press("Enter")
    page.keyboard.type("import time; time.sleep(3)")
    page.keyboard.press("Control+Enter")
    page.locator(".simkit-working").get_by_text(re.compile(r"^Working … \d+ s$")).wait_for()
    page.wait_for_function("() => !document.querySelector('.simkit-working')")


def test_tariffs_follow_a_drag_and_nothing_is_without_a_name(started: Any, address: str) -> None:
    page = opened(started, address, TARIFFS)
    run_all(page)
    before = words(page, 0)
    dragged(page, 0)
    wait_for_another(page, 0, before)
    assert page.evaluate(NAMELESS) == []
    assert page.evaluate("() => [...document.querySelectorAll('.simkit-answer img')].filter(e => !e.alt).length") == 0


@pytest.fixture(scope="module")
def visited(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The page as the command serves it, in a folder that holds nothing."""
    command = [sys.executable, "-m", "simkit.cli", "page", "--no-browser", "--port", str(free_port())]
    home = tmp_path_factory.mktemp("visitor")
    served = subprocess.Popen(command, cwd=home, env=dict(os.environ), text=True, stdout=subprocess.PIPE,
                              stderr=subprocess.STDOUT, start_new_session=True)  # fmt: skip
    assert served.stdout is not None
    try:
        told = (re.search(r"http://127\.0\.0\.1:\d+/\?token=\w+", line) for line in served.stdout)
        yield next(found.group() for found in told if found)
    finally:
        os.killpg(served.pid, 15)
        served.wait(20)
        served.stdout.close()
    assert list(home.iterdir()) == [], "nothing is written unasked"


def test_a_visitor_opens_every_tab_and_moves_a_slider(started: Any, visited: str, tmp_path: Path) -> None:
    page = started.new_page(viewport={"width": 1400, "height": 900})
    asked: list[str] = []
    wrong: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: wrong.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.goto(visited, timeout=RUN_IN_MS)
    page.wait_for_selector(f"{PICTURE}[src]", timeout=RUN_IN_MS)
    tabs = page.get_by_role("tab")
    assert tabs.all_inner_texts() == [question.words for question in QUESTIONS]
    for place in (*range(len(QUESTIONS))[2:], 0, 1):  # what the second shows is moved below
        tabs.nth(place).click()
        panel = page.locator(".simkit-panel:visible")
        panel.locator(".answered p").first.wait_for(timeout=RUN_IN_MS)
        assert serious(page, ".simkit-page") == []
        assert page.evaluate(NAMELESS) == []
        if QUESTIONS[place].needs == ("readings",):
            panel.get_by_label("A meter's file").set_input_files(NEXT)
            panel.get_by_text(f"Read from {NEXT.name}.").wait_for()
        page.screenshot(path=tmp_path / f"tab_{place}.png")
        page.emulate_media(color_scheme="dark")
        assert serious(page, ".simkit-page", "color-contrast") == []
        page.screenshot(path=tmp_path / f"tab_{place}_dark.png")
        page.emulate_media(color_scheme="light")
    slider = panel.get_by_role("slider").first
    slider.focus()
    page.keyboard.press("ArrowLeft")
    case = found_case((), tmp_path, form=True).case
    flow = case.controls.design_flow_c - 0.5
    cost = simulate(vary(case, {"controls.design_flow_c": flow})).bill.total
    held = panel.locator("textarea")  # the exact amount: what is said beside the picture is rounded once it rests
    page.wait_for_function(
        "([held, cost]) => held.value.includes(cost)", arg=[held.element_handle(), str(round(float(cost), 3))]
    )
    assert slider.input_value() == f"{flow:g}"
    assert [url for url in asked if not url.startswith(("http://127.0.0.1", "data:", "blob:"))] == []
    assert wrong == []
