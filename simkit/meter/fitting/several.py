"""A folder of readings in, one home a file; each home fitted in a row, and why any was not, out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

from simkit.answered import Answered
from simkit.case.case import Case
from simkit.case.load import read_case
from simkit.errors import DataError, Fault, SimkitError
from simkit.meter.fitting.fitted import Fit
from simkit.meter.fitting.fitting import fit
from simkit.meter.reading.reading import Readings

CASES = ".toml"


@dataclass(frozen=True, eq=False, repr=False)
class SeveralFits(Answered):
    """Homes fitted one after the other; of each only its row is kept, so that any number of them fits into memory.

    Attributes
    ----------
    case
        What describes a home that has no case file of its own.
    folder
        Name of the folder.
    table
        One row for each home, by the name of its file: described, low, fitted, high [W/K], the days fitted and how
        many lie in their range when held out, and how far off a day is by the fit and by a line on temperature [share].
    refused
        By the name of its file: why a home was not fitted.
    """

    answered_by = "simkit.answers.meter.several:several_answer"

    case: Case
    folder: str
    table: pd.DataFrame
    refused: dict[str, str]


def fit_folder(
    case: Case, folder: Path, read: Callable[[Path, Case], Readings], *, draws: int, tell: Callable[[str], None]
) -> SeveralFits:
    """Fit every home of a folder.

    Parameters
    ----------
    case
        The home as described, of every file without a case file of the same name beside it.
    folder
        Holds one file of readings for each home.
    read
        Reads a file of readings of a home.
    draws
        Of each posterior.
    tell
        Called with the name of each file as it begins.

    Raises
    ------
    DataError
        Where it holds no file of readings.
    """
    rows, refused = {}, {}
    for path in files_of(folder):
        tell(path.name)
        try:
            described = path.with_suffix(CASES)
            home = read_case(described) if described.is_file() else case
            rows[path.name] = _row(fit(home, read(path, home), draws=draws))
        except SimkitError as problem:
            refused[path.name] = str(problem.faults[0])
    frame = pd.DataFrame.from_dict(rows, orient="index").rename_axis("home")
    return SeveralFits(case, folder.name, frame, refused)


def files_of(folder: Path) -> list[Path]:
    """Files of readings in a folder, by name; case files and hidden ones are none.

    Raises
    ------
    DataError
        Where there is none.
    """
    found = sorted(
        path for path in folder.iterdir() if path.is_file() and path.suffix != CASES and not path.name.startswith(".")
    )
    if not found:
        remedy = "Put one file of readings for each home into it"
        raise DataError(Fault(str(folder), "the folder", "holds no file of readings", remedy))
    return found


def _row(found: Fit) -> dict[str, Any]:
    """What a table of homes says of one."""
    loss, held = found.table.loc["loss_w_per_k"], found.held_out.get(found.channels[0].name)
    return {
        "described": loss["prior"], "fitted": loss["middle"], "fitted_low": loss["low"], "fitted_high": loss["high"],
        "meter": found.channels[0].name, "count": len(found.channels[0].values),
        "inside_count": held.inside if held else None, "day_off_share": held.error() if held else None,
        "line_off_share": held.error("line") if held else None, "third_off_share": held.total_error if held else None,
        "strained": ", ".join(one.label for one in found.strained()),
    }  # fmt: skip
