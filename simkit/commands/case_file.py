"""The CASE that a command was given in, the case that it means out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from simkit.case.sample_homes import CASE_FILE

if TYPE_CHECKING:
    from simkit.case.case import Case

CaseArgument = Annotated[
    Path, typer.Argument(metavar="CASE", help="Case file (TOML), or the folder that holds it as case.toml.")
]
Option = Annotated[
    str | None,
    typer.Option("--option", metavar="NAME", help="Take this option of the case instead of the case itself."),
]
NoRange = Annotated[bool, typer.Option("--no-range", help="Leave out the likely range, which is the slower part.")]


def open_case(path: Path, option: str | None = None) -> Case:
    """Read the case file, or the one in a folder, and take one of its options where asked.

    Parameters
    ----------
    path
        File or folder.
    option
        Name of one of its options; None for the case itself.
    """
    from simkit.case.build import options_of
    from simkit.case.load import read_case
    from simkit.errors import CaseError, Fault, nearest

    case = read_case(path / CASE_FILE if path.is_dir() else path)
    if option is None:
        return case
    options = {made.name: made for made in options_of(case)}
    if option in options:
        return options[option]
    near = nearest(option, options)
    listed = ", ".join(f'"{name}"' for name in options)
    remedy = f'Perhaps "{near}" is meant' if near else f"Its options are: {listed}" if options else "It lists none"
    raise CaseError(Fault(case.label, f'option "{option}"', "is not in this case", remedy))
