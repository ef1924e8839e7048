"""A folder with a notebook in, a page of JupyterLab in a browser without a screen out."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
QUIET = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
SIZE = {"width": 1400, "height": 900}
PICTURE = ".simkit-panel img.picture"
# from the slider's own event to the frame that follows the new picture, without what the driver of the browser takes
WATCHED = """([place, picture]) => {
  const image = document.querySelectorAll(picture)[place];
  if (image.watched) return window.simkitMoves.length;
  image.watched = true;
  window.simkitMoves = window.simkitMoves || [];
  let began = null;
  document.addEventListener('input', event => { began ??= event.timeStamp; }, true);
  image.addEventListener('load', () => requestAnimationFrame(() => {
    if (began !== null) window.simkitMoves.push(performance.now() - began);
    began = null;
  }));
  return window.simkitMoves.length;
}"""
STARTED_IN_MS, RUN_IN_MS = 60_000, 300_000


def chromium() -> str | None:
    """Path of a Chromium that is installed, or None."""
    found = next((path for path in map(shutil.which, NAMES) if path), None)
    if found is not None:
        return found
    try:
        from playwright.sync_api import sync_playwright

        with sync_playwright() as player:
            path = player.chromium.executable_path
    except Exception:
        return None
    return path if os.path.exists(path) else None


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def lab(folder: Path) -> Iterator[str]:
    """Run JupyterLab on a folder, with settings of its own; its address, without the name of a notebook, is given."""
    port = free_port()
    with tempfile.TemporaryDirectory() as home:
        server = subprocess.Popen(
            [sys.executable, "-m", "jupyterlab", "--no-browser", f"--port={port}", "--ServerApp.token=t",
             "--ServerApp.ip=127.0.0.1", "--allow-root", f"--ServerApp.root_dir={folder}"],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env={**os.environ, **_apart(Path(home))},
        )  # fmt: skip
        try:
            for _ in range(300):
                with socket.socket() as probe:
                    if probe.connect_ex(("127.0.0.1", port)) == 0:
                        break
                time.sleep(0.1)
            yield f"http://127.0.0.1:{port}/lab/tree/"
        finally:
            server.terminate()
            server.wait(20)


def _apart(home: Path) -> dict[str, str]:
    """Keep clear of anybody's own settings and open tabs, ask for no news, and keep cells that are out of sight."""
    settings = home / "settings"
    for name, held in (
        ("apputils-extension/notification", '{"fetchNews": "false", "checkForUpdates": false}'),
        ("notebook-extension/tracker", '{"windowingMode": "none"}'),
    ):
        place = settings / "@jupyterlab" / f"{name}.jupyterlab-settings"
        place.parent.mkdir(parents=True)
        place.write_text(held, encoding="utf-8")
    return {
        "JUPYTER_PLATFORM_DIRS": "1", "JUPYTER_CONFIG_DIR": str(home / "config"),
        "JUPYTERLAB_SETTINGS_DIR": str(settings), "JUPYTERLAB_WORKSPACES_DIR": str(home / "workspaces"),
    }  # fmt: skip


@contextmanager
def browser() -> Iterator[Any]:
    """A browser without a screen."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as player:
        started = player.chromium.launch(executable_path=chromium(), args=list(QUIET))
        try:
            yield started
        finally:
            started.close()


def opened(started: Any, address: str, notebook: str) -> Any:
    """A page with a notebook, without its side bar; `asked` holds every address that it asks for."""
    page = started.new_page(viewport=SIZE)
    page.set_default_timeout(STARTED_IN_MS)
    page.asked = []
    page.on("request", lambda request: page.asked.append(request.url))
    page.goto(f"{address}{notebook}?token=t&reset")
    page.wait_for_selector(".jp-Notebook", timeout=STARTED_IN_MS)
    page.wait_for_timeout(2_000)
    page.keyboard.press("Control+b")
    return page


def run_all(page: Any) -> None:
    """Run every cell and wait until the kernel has nothing left to do, and a panel's picture stands there."""
    page.locator(".lm-MenuBar-itemLabel", has_text="Run").click()
    page.locator(".lm-Menu-itemLabel").get_by_text("Run All Cells", exact=True).click()
    page.wait_for_selector(f"{PICTURE}[src]", timeout=RUN_IN_MS)
    idle = "() => document.querySelector('.jp-Notebook-ExecutionIndicator').dataset.status === 'idle'"
    page.wait_for_function(idle, timeout=RUN_IN_MS)
    page.wait_for_timeout(1_500)


def moved_in_ms(page: Any, x: float, y: float, place: int = 0) -> float:
    """Move the mouse and wait for another picture of a panel; how long that took in the browser [ms]."""
    before = page.evaluate(WATCHED, [place, PICTURE])
    page.mouse.move(x, y)
    page.wait_for_function("before => window.simkitMoves.length > before", arg=before, timeout=40_000)
    return float(page.evaluate("() => window.simkitMoves.at(-1)"))
