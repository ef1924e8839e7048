"""`simkit page`: a case in; a page in the browser, a tab for each question and no code, out."""

from __future__ import annotations

import json as text
import os
import signal
import subprocess
import sys
import tempfile
from importlib.util import find_spec
from pathlib import Path
from typing import Annotated

import typer

from simkit.case.sample_homes import CASE_FILE
from simkit.commands.outputs import Json
from simkit.commands.progress import compile_first
from simkit.errors import CaseError, Fault

PARTS = ("voila", "anywidget", "matplotlib")
CASE, FOLDER = "SIMKIT_PAGE_CASE", "SIMKIT_PAGE_FOLDER"  # how the page is told, so that no name of a file becomes code
TEMPLATES = Path(__file__).parents[1] / "panels" / "page_template"
SHOWN = f"""import os

from simkit.panels.page import page

page(os.environ["{CASE}"] or None, os.environ["{FOLDER}"])"""

MaybeCase = Annotated[
    Path | None, typer.Argument(metavar="CASE", help="Case file, or its folder; your own or a sample if left out.")
]
NoBrowser = Annotated[bool, typer.Option("--no-browser", help="Open no browser, and print the address only.")]
Port = Annotated[int, typer.Option("--port", min=1024, max=65535, help="Port on this computer; the next free one.")]


def page(case: MaybeCase = None, no_browser: NoBrowser = False, port: Port = 8866, json: Json = False) -> None:
    """Open a page without code.

    A tab for each question, with sliders. It is served to this computer alone; Ctrl-C ends it.
    """
    _require_parts()
    found = _case_file(case)
    with tempfile.TemporaryDirectory(prefix="simkit-page-") as place:
        notebook = Path(place) / "simkit.ipynb"
        command = page_command(notebook, port=port, browser=not no_browser)
        if json:
            from simkit.reporting.as_data import as_json

            typer.echo(as_json({"case": None if found is None else str(found), "command": command}))
            return
        notebook.write_text(text.dumps(page_notebook()), encoding="utf-8")
        compile_first()
        told = {
            CASE: str(found or ""),
            FOLDER: str(found.parent if found else Path.cwd()),
            "JUPYTER_PATH": _templates(),
        }
        before = signal.signal(signal.SIGINT, lambda *_: None)  # Ctrl-C is the server's, which ends by it
        try:
            code = subprocess.call(command, env={**os.environ, **told})
        finally:
            signal.signal(signal.SIGINT, before)
    raise typer.Exit(code)


def page_command(notebook: Path, *, port: int, browser: bool) -> list[str]:
    """The command that serves a notebook as a page, to this computer alone and to who knows the address."""
    command = [sys.executable, "-m", "voila", str(notebook), f"--port={port}", "--Voila.ip=127.0.0.1"]
    command += ["--Voila.auto_token=True", "--template=plain", "--theme=light", "--preheat_kernel=True"]
    return [*command, *([] if browser else ["--no-browser"])]


def page_notebook() -> dict[str, object]:
    """A notebook of one cell, which shows the page."""
    cell: dict[str, object] = {
        "cell_type": "code", "id": "page", "metadata": {}, "execution_count": None, "outputs": [],
        "source": SHOWN,
    }  # fmt: skip
    kernel = {"kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"}}
    return {"cells": [cell], "metadata": kernel, "nbformat": 4, "nbformat_minor": 5}


def _templates() -> str:
    """Where the server looks for our template, and for what others have put there."""
    return os.pathsep.join(filter(None, (str(TEMPLATES), os.environ.get("JUPYTER_PATH"))))


def _require_parts() -> None:
    missing = [part for part in PARTS if find_spec(part) is None]
    if missing:
        remedy = f"Install into this environment: python -m pip install {' '.join(missing)}"
        raise CaseError(Fault("", "simkit page", f"needs {' and '.join(missing)}, which can't be found", remedy))


def _case_file(case: Path | None) -> Path | None:
    """The case file, read once so that what is wrong with it is said here."""
    if case is None:
        return None
    from simkit.case.load import read_case

    path = (case / CASE_FILE if case.is_dir() else case).resolve()
    read_case(path)
    return path
