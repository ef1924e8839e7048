"""A case and a name in; a new case file, or a sentence that says why there is none, out."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from simkit.case.case import Case
from simkit.case.load import write_case
from simkit.errors import SimkitError


@dataclass(frozen=True)
class Written:
    """What became of the wish to write a file: its path, or None, and a sentence either way."""

    path: Path | None
    sentence: str


def write_new(case: Case, name: str, folder: Path) -> Written:
    """Write a case file beside `folder`, with its suffix; a file that is there is never overwritten."""
    path = folder / name  # an absolute name stays as it is
    path = path if path.suffix == ".toml" else path.with_name(f"{path.name}.toml")
    if os.path.lexists(path):  # a link that leads nowhere too
        return Written(None, f"{path} is there already and was not overwritten. Choose another name.")
    if not path.parent.is_dir():
        return Written(None, f"There is no folder {path.parent}. Choose a folder that is there.")
    try:
        write_case(case, path)
    except SimkitError as error:
        return Written(None, str(error))
    return Written(path, f"Written to {path.resolve()}. Run it with: simkit compare {path.name}")
