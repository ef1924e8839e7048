"""`simkit run`: a case in, its year as text or JSON out, its hours as a CSV file where asked."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from simkit.commands.case_file import CaseArgument, Json, NoRange, open_case
from simkit.commands.outputs import require_targets
from simkit.commands.progress import announce_compiling, progress

if TYPE_CHECKING:
    from simkit.year.year import Year

Hourly = Annotated[
    Path | None, typer.Option("--hourly", metavar="FILE.csv", help="Write every step of the year to this CSV file.")
]
Option = Annotated[
    str | None, typer.Option("--option", metavar="NAME", help="Run this option of the case instead of the case itself.")
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
    if json:
        from simkit.reporting.json import as_json, year_object

        typer.echo(as_json(year_object(year, ranged=ranged)))
    else:
        from simkit.reporting.tables import year_view
        from simkit.reporting.terminal import console

        console().print(year_view(year, ranged=ranged))
    if hourly is not None:
        write_hours(year, hourly)
        typer.echo(f"Written: {hourly}", err=True)


def write_hours(year: Year, path: Path) -> None:
    """Write every step of a year to a CSV file: its start in UTC and in wall time, then the columns of `Year.hourly`.

    Parameters
    ----------
    year
        The simulated year.
    path
        The file, replaced if it is there.
    """
    from simkit.schema.toml_file import write_whole

    frame = year.hourly
    frame.insert(0, "time_utc", [stamp.isoformat() for stamp in year.axis.utc])
    frame.insert(1, "time_local", [stamp.isoformat() for stamp in year.axis.local])
    write_whole(path, frame.to_csv(index=False, float_format="%.6g", lineterminator="\n"))
