"""`simkit new`: the name of a folder in; a starter folder with a case, tariffs, samples and notebooks out."""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from itertools import count
from pathlib import Path
from typing import Annotated

import typer

from simkit.case.sample_homes import CASE_FILE, NOTEBOOKS, SAMPLE_DATA, TARIFFS, shipped_folder
from simkit.commands.outputs import Json
from simkit.errors import CaseError, Fault

MODEL_HOME = "estuary_bungalow"
LEFT_BEHIND = shutil.ignore_patterns(".ipynb_checkpoints", "__pycache__", ".*")

Folder = Annotated[Path, typer.Argument(metavar="DIR", help="Folder to make; it must not hold anything yet.")]
Aside = Annotated[bool, typer.Option("--force", help="Put a folder of that name aside under a new name, whole.")]


def new(folder: Folder, force: Aside = False, json: Json = False) -> None:
    """Make a starter folder.

    It holds a case to change into your own, tariffs, sample homes and notebooks. Nothing is ever overwritten.
    """
    made = make_starter(folder, aside=force)
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


def make_starter(folder: Path, *, aside: bool = False) -> list[str]:
    """Make a starter folder, whole or not at all.

    Parameters
    ----------
    folder
        Folder to make, or an empty one.
    aside
        Whether a folder that holds something is to be put aside; nothing in it is changed.

    Returns
    -------
    list of str
        The files in it, relative to it, in order.

    Raises
    ------
    CaseError
        Where the folder holds anything, or can't be made.
    """
    _require_room(folder, aside=aside)
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
            if folder.exists() and any(folder.iterdir()):
                _put_aside(folder)
            elif folder.exists():
                folder.rmdir()
            built.rename(folder)
    except OSError as error:
        first = re.search(r"\[Errno \d+\] ([^:'\"]+)", str(error))  # copying a tree lists what failed
        reason = (error.strerror or (first[1] if first else "no reason given")).lower()
        remedy = "Choose another place, make room, or look at the rights to write there"
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


def _put_aside(folder: Path) -> None:
    """Give a folder a name that is free, and say which."""
    place = folder.resolve()
    free = next(one for k in count(1) if not os.path.lexists(one := place.with_name(f"{place.name}_before_{k}")))
    place.rename(free)
    typer.echo(f"What was in {folder} is in {free}.", err=True)


def _require_room(folder: Path, *, aside: bool) -> None:
    """Refuse a place where no folder can be made without losing something."""
    given, above = f"the folder {folder}", folder.resolve().parent
    if folder.is_symlink():
        raise CaseError(Fault("", str(folder), "is a link, and links are not followed", "Choose another name"))
    if folder.exists() and not folder.is_dir():
        raise CaseError(Fault("", str(folder), "is a file", "Choose another name for the folder"))
    if folder.is_dir() and any(folder.iterdir()) and not aside:
        remedy = "Choose another name, or let --force put it aside"
        raise CaseError(Fault("", given, "holds something already, and nothing is overwritten", remedy))
    if aside and Path.cwd().is_relative_to(folder.resolve()):
        raise CaseError(Fault("", given, "is where you are, and can't be put aside", "Go out of it first"))
    if not above.is_dir():
        raise CaseError(Fault("", given, f"has no folder {above} to stand in", "Make the folder above it first"))
