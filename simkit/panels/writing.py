"""A case and a name in, a new case file out; a name or a text in, a case out; or a sentence that says why not."""

from __future__ import annotations

import os
import tempfile
from dataclasses import dataclass
from pathlib import Path

from simkit.case.build import case_from
from simkit.case.case import Case
from simkit.case.load import read_case, write_case
from simkit.errors import SimkitError
from simkit.schema.toml_file import read_toml


@dataclass(frozen=True)
class Written:
    """What became of a wish: the path written or read, None where it was refused, and a sentence either way."""

    path: Path | None
    sentence: str


def write_new(case: Case, name: str, folder: Path) -> Written:
    """Write a case file beside `folder`, with its suffix; a file that is there is never overwritten."""
    path = placed(name, folder)
    if os.path.lexists(path):  # a link that leads nowhere too
        return Written(None, f"{path} is there already and was not overwritten. Choose another name.")
    if not path.parent.is_dir():
        return Written(None, f"There is no folder {path.parent}. Choose a folder that is there.")
    try:
        write_case(case, path)
    except SimkitError as error:
        return Written(None, str(error))
    return Written(path, f"Written to {path.resolve()}. Run it with: simkit compare {path.name}")


def placed(name: str, folder: Path) -> Path:
    """Path of a case file of that name; an absolute name stays as it is."""
    path = folder / name
    return path if path.suffix == ".toml" else path.with_name(f"{path.name}.toml")


def read_named(name: str, folder: Path) -> tuple[Case | None, str]:
    """Read a case file of the folder: the case and what was read, or None and every fault."""
    path = placed(name, folder)
    if not path.is_file():
        return None, f"There is no file {path}. Choose a file that is there, or write one first."
    try:
        return read_case(path), f"Read from {path.resolve()}."
    except SimkitError as error:
        return None, " ".join(map(str, error.faults))


def read_text(text: str, name: str, folder: Path) -> tuple[Case | None, str]:
    """Read a case from the text of a file that was sent: the case and what was read, or None and every fault."""
    name = Path(name).name or "case.toml"
    with tempfile.TemporaryDirectory() as place:
        held = Path(place) / name
        held.write_text(text, encoding="utf-8")
        try:
            return case_from(read_toml(held), folder=folder, label=name), f"Read from {name}."
        except SimkitError as error:
            return None, " ".join(map(str, error.faults))
