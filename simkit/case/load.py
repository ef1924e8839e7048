"""A case file (TOML) in, a `Case` out, and back again."""

from __future__ import annotations

from pathlib import Path

from simkit.case.case import Case, case_from
from simkit.case.toml_file import read_toml


def read_case(path: str | Path) -> Case:
    """Read a case file and check everything in it, its options and its tariff included.

    Parameters
    ----------
    path
        A TOML file.

    Returns
    -------
    Case
        The case; what it leaves out is filled in from ``defaults.toml`` and named in its notes.

    Raises
    ------
    CaseError
        With every fault of the file, one sentence each.
    """
    path = Path(path)
    return case_from(read_toml(path), folder=path.parent, label=path.name)
