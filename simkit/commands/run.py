"""`simkit run`: a case in, what its year costs out, its hours as a CSV file where asked."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from simkit.commands.case_file import CaseArgument, NoRange, Option, open_case
from simkit.commands.outputs import Csv, Figure, Force, Json, Page, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress

if TYPE_CHECKING:
    from simkit.year.year import Year

Hourly = Annotated[
    Path | None, typer.Option("--hourly", metavar="FILE.csv", help="Write every step of the year to this CSV file.")
]


def run(  # noqa: PLR0917 - a command's options are its parameters
    case: CaseArgument, option: Option = None, hourly: Hourly = None, page: Page = None, figure: Figure = None,
    csv: Csv = None, no_range: NoRange = False, force: Force = False, json: Json = False,
) -> None:  # fmt: skip
    """Work out one home's year.

    Prints the cost with its likely range, then months, bill, energy, performance by boundary, and comfort.
    """
    require_targets(case, page=page, figure=figure, csv=csv, hourly=hourly, force=force)
    home = open_case(case, option)
    announce_compiling()
    ranged = not no_range
    with progress(2 + ranged) as begin:
        from simkit.answers.year import year_answer
        from simkit.schema.toml_file import write_whole
        from simkit.year.simulate import simulate

        begin("one year")
        year = simulate(home)
        if ranged:
            begin("its likely range")
            year.range()
        begin("what it comes to")
        answer = year_answer(year, ranged=ranged)

    def write_hours(path: Path) -> None:
        write_whole(path, hours_csv(year))

    show_answer(answer, json=json, page=page, figure=figure, csv=csv, force=force, hourly=(hourly, write_hours))


def hours_csv(year: Year) -> str:
    """Every step of a year as CSV: its start in UTC and in wall time, then the columns of `Year.hourly`."""
    frame = year.hourly.copy()
    frame.insert(0, "time_utc", [stamp.isoformat() for stamp in year.axis.utc])
    frame.insert(1, "time_local", [stamp.isoformat() for stamp in year.axis.local])
    return str(frame.to_csv(index=False, float_format="%.6g", lineterminator="\n"))
