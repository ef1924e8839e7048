"""`simkit optimum`: a case in; the least that any schedule could cost beside the best rule and today, out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from simkit.commands.case_file import CaseArgument, Json, open_case
from simkit.commands.outputs import needs
from simkit.commands.progress import announce_compiling, progress

if TYPE_CHECKING:
    from simkit.decide.optimum.optimum import Optimum

Option = Annotated[
    str | None, typer.Option("--option", metavar="NAME", help="Take this option of the case, not the case itself.")
]
Days = Annotated[int, typer.Option("--days", metavar="N", help="Length of the stretches that are solved, in days.")]
WORK = 66  # two passes through a year in stretches of two weeks, and the search before them


def optimum(case: CaseArgument, option: Option = None, days: Days = 14, json: Json = False) -> None:
    """Find the least that any schedule could cost, and how near one comes that can be typed in.

    Prints four numbers in order: the bound, its plan simulated, the best schedule, today; then that schedule by what
    its control knows, and the gap by month. Press Ctrl-C to stop.
    """
    needs("highspy", "optimum")
    home = open_case(case, option)
    announce_compiling()
    with progress(WORK) as begin:
        from simkit.decide.optimum.optimum import optimum as find

        found = find(home, before_each=begin, stretch_days=days)
    if json:
        from simkit.reporting.json import as_json

        typer.echo(as_json(optimum_object(found)))
    else:
        from simkit.reporting.results.schedules import optimum_view
        from simkit.reporting.terminal import console

        console().print(optimum_view(found))


def optimum_object(found: Optimum) -> dict[str, Any]:
    """The same as one JSON object."""
    return {
        "case": found.today.case.name,
        "currency": found.today.case.currency,
        "bound": found.bound,
        "optimum_simulated": found.followed.bill,
        "best_schedule": found.schedule.best.bill.total,
        "today": found.today.bill.total,
        "control": found.control.table()["cost"].to_dict(),
        "notes": list(found.notes),
        "gap_by_month": found.gap_by_month["gap"].tolist(),
    }
