"""`simkit new`: the name of a folder in; a starter folder with a case, tariffs, samples and notebooks out."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path
from typing import Annotated

import typer

from simkit.case.sample_homes import CASE_FILE, NOTEBOOKS, SAMPLE_DATA, TARIFFS, shipped_folder
from simkit.commands.outputs import Json
from simkit.errors import CaseError, Fault

MODEL_HOME = "estuary_bungalow"
LEFT_BEHIND = shutil.ignore_patterns(".ipynb_checkpoints", "__pycache__", ".*")

Folder = Annotated[Path, typer.Argument(metavar="DIR", help="Folder to make; it must not hold anything yet.")]


def new(folder: Folder, json: Json = False) -> None:
    """Make a starter folder.

    It holds a case to change into your own, tariffs, sample homes and notebooks. Nothing is ever overwritten.
    """
    made = make_starter(folder)
    if json:
        from simkit.reporting.as_data import as_json

        typer.echo(as_json({"folder": str(folder), "case": str(folder / CASE_FILE), "files": made}))
        return
    tariffs = sum(name.startswith(f"{TARIFFS}/") and name.endswith(".toml") for name in made)
    typer.echo(
        f"Made {folder} with {len(made)} files.\n"
        f"  {folder / CASE_FILE}: a home to change into yours; it and its prices are invented\n"
        f"  {folder / TARIFFS}: {tariffs} tariffs sold where it stands, invented too\n"
        f"  {folder / SAMPLE_DATA}: sample homes with tariffs of their own, invented too\n"
        f"  {folder / NOTEBOOKS}: notebooks\n"
        f"Next: simkit compare {folder / CASE_FILE}, or simkit lab {folder}"
    )


def make_starter(folder: Path) -> list[str]:
    """Make a starter folder, whole or not at all.

    Parameters
    ----------
    folder
        Folder to make, or an empty one.

    Returns
    -------
    list of str
        The files in it, relative to it, in order.

    Raises
    ------
    CaseError
        Where the folder holds anything, or can't be made.
    """
    _require_room(folder)
    samples, notebooks = shipped_folder(SAMPLE_DATA), shipped_folder(NOTEBOOKS)
    try:
        with tempfile.TemporaryDirectory(prefix=".simkit-", dir=folder.resolve().parent) as beside:
            built = Path(beside) / "starter"
            shutil.copytree(samples, built / SAMPLE_DATA, ignore=LEFT_BEHIND)
            shutil.copytree(notebooks, built / NOTEBOOKS, ignore=LEFT_BEHIND)
            text = (samples / MODEL_HOME / CASE_FILE).read_text(encoding="utf-8")
            own = text.replace(f'"../{TARIFFS}/', f'"{TARIFFS}/')
            (built / CASE_FILE).write_text(own, encoding="utf-8", newline="\n")
            _add_tariffs(samples, built / TARIFFS)
            made = sorted(path.relative_to(built).as_posix() for path in built.rglob("*") if path.is_file())
            if folder.exists():
                folder.rmdir()
            built.rename(folder)
    except OSError as error:
        reason = (error.strerror or "no reason given").lower()
        remedy = "Choose another place, or look at the rights to write there"
        raise CaseError(Fault("", f"the folder {folder}", f"can't be made ({reason})", remedy)) from None
    return made


def _add_tariffs(samples: Path, folder: Path) -> None:
    """Lay the tariffs that are sold where the model home stands, with the files they name, into a folder."""
    from simkit.case.load import read_case
    from simkit.tariff.tariff import read_tariff

    country = read_case(samples / MODEL_HOME / CASE_FILE).site.country
    folder.mkdir()
    for path in sorted((samples / TARIFFS).glob("*.toml")):
        tariff = read_tariff(path)
        if tariff.sold_in == country:
            for file in (path, *map(Path, tariff.files)):
                shutil.copy(file, folder / file.name)


def _require_room(folder: Path) -> None:
    if folder.is_file():
        raise CaseError(Fault("", str(folder), "is a file", "Choose another name for the folder"))
    if folder.is_dir() and any(folder.iterdir()):
        raise CaseError(
            Fault(
                "", f"the folder {folder}", "holds something already, and nothing is overwritten", "Choose another name"
            )
        )
    if not folder.resolve().parent.is_dir():
        remedy = "Make the folder above it first"
        raise CaseError(
            Fault("", f"the folder {folder}", f"has no folder {folder.resolve().parent} to stand in", remedy)
        )
