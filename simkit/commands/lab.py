"""`simkit lab`: a folder in; JupyterLab on its notebooks out."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path
from typing import Annotated

import typer

from simkit.case.sample_homes import NOTEBOOKS, STARTER, shipped_folder
from simkit.commands.outputs import Json
from simkit.commands.progress import compile_first
from simkit.errors import CaseError, Fault, raise_all

PARTS = ("jupyterlab", "anywidget", "matplotlib")
# an exported notebook asks no host for scripts, formulas and live widgets, of which its still copies need none
EXPORTED_ALONE = (
    "--HTMLExporter.require_js_url=", "--HTMLExporter.mathjax_url=", "--HTMLExporter.widget_renderer_url=data:,",
)  # fmt: skip

MaybeFolder = Annotated[
    Path | None,
    typer.Argument(
        metavar="DIR", help="Folder made by `simkit new`, or one that holds notebooks; else the checkout's."
    ),
]


def lab(folder: MaybeFolder = None, json: Json = False) -> None:
    """Open the notebooks in JupyterLab."""
    place = notebook_folder(folder)
    command = lab_command(place)
    if json:
        from simkit.reporting.as_data import as_json

        typer.echo(as_json({"folder": str(place), "command": command}))
        return
    compile_first()
    before = signal.signal(signal.SIGINT, lambda *_: None)  # Ctrl-C is JupyterLab's, which asks before it ends
    try:
        code = subprocess.call(command)
    finally:
        signal.signal(signal.SIGINT, before)
    raise typer.Exit(code)


def lab_command(place: Path) -> list[str]:
    """The command that opens a folder in JupyterLab.

    Parameters
    ----------
    place
        The folder.

    Raises
    ------
    CaseError
        Where JupyterLab, or what the notebooks need, is not installed.
    """
    missing = [part for part in PARTS if find_spec(part) is None]
    if missing:
        remedy = f"Install into this environment: python -m pip install {' '.join(missing)}"
        raise CaseError(Fault("", "simkit lab", f"needs {' and '.join(missing)}, which can't be found", remedy))
    command = [sys.executable, "-m", "jupyterlab", f"--ServerApp.root_dir={place.parent}"]
    command += [f"--ServerApp.default_url=/lab/tree/{place.name}", *EXPORTED_ALONE]
    # JupyterLab refuses to run as the system's administrator unless told, and in a container there is nobody else.
    return [*command, "--allow-root"] if hasattr(os, "geteuid") and os.geteuid() == 0 else command


def notebook_folder(folder: Path | None) -> Path:
    """Find the notebooks of a folder, or those of the checkout.

    Parameters
    ----------
    folder
        A starter folder, or one that holds notebooks itself; None for the current one, or else the checkout's.
    """
    places = [Path.cwd()] if folder is None else [folder]
    for place in places:
        for found in (place / NOTEBOOKS, place):
            if found.is_dir() and any(found.glob("*.ipynb")):
                return found.resolve()
    if folder is not None:
        exists = "holds no notebooks" if folder.is_dir() else "is not there"
        raise_all([Fault("", f"the folder {folder}", exists, f"Make one with: simkit new {folder}")])
    shipped = shipped_folder(NOTEBOOKS)
    if STARTER in shipped.parts:  # inside the installation, where nothing should be written
        raise CaseError(
            Fault("", "simkit lab", "finds no notebooks here", "Make a folder of your own: simkit new my_home")
        )
    return shipped
