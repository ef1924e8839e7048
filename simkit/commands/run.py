"""`simkit run`: a case in, its year as text or JSON out, its hours as a CSV file where asked."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from simkit.commands.case_file import CaseArgument, NoRange, Option, open_case
from simkit.commands.outputs import Json, require_targets, show, write
from simkit.commands.progress import announce_compiling, progress

if TYPE_CHECKING:
    from simkit.year.year import Year

Hourly = Annotated[
    Path | None, typer.Option("--hourly", metavar="FILE.csv", help="Write every step of the year to this CSV file.")
]


def run(
    case: CaseArgument, option: Option = None, hourly: Hourly = None, no_range: NoRange = False, json: Json = False
) -> None:
    """Work out one home's year.

    Prints the cost with its likely range, then the bill, months, energy, performance by boundary, comfort and size.
    """
    require_targets(("--hourly", hourly, (".csv",)))
    home = open_case(case, option)
    announce_compiling()
    ranged = not no_range
    with progress(1 + ranged) as begin:
        from simkit.year.simulate import simulate

        begin("one year")
        year = simulate(home)
        if ranged:
            begin("its likely range")
            year.range()
    from simkit.reporting.json import year_object
    from simkit.reporting.tables import year_view

    show(lambda: year_object(year, ranged=ranged), lambda: year_view(year, ranged=ranged), json=json)
    write(hourly, lambda: hours_csv(year))


def hours_csv(year: Year) -> str:
    """Every step of a year as CSV: its start in UTC and in wall time, then the columns of `Year.hourly`."""
    frame = year.hourly
    frame.insert(0, "time_utc", [stamp.isoformat() for stamp in year.axis.utc])
    frame.insert(1, "time_local", [stamp.isoformat() for stamp in year.axis.local])
    return frame.to_csv(index=False, float_format="%.6g", lineterminator="\n")
