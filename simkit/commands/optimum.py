"""`simkit optimum`: a case in; the least that any schedule could cost beside the best schedule and today, out."""

from __future__ import annotations

from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, NoRange, Option, open_case
from simkit.commands.outputs import Csv, Figure, Force, Json, Page, needs, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress

Days = Annotated[int, typer.Option("--days", metavar="N", help="Length of the stretches that are solved, in days.")]
WORK = 120  # two passes through a year in stretches of a week, and the search before them


def optimum(  # noqa: PLR0917 - a command's options are its parameters
    case: CaseArgument, option: Option = None, days: Days = 7, page: Page = None, figure: Figure = None,
    csv: Csv = None, no_range: NoRange = False, force: Force = False, json: Json = False,
) -> None:  # fmt: skip
    """Find the least that any schedule could cost, and how near one comes that can be typed in.

    Prints four numbers in order: the lowest conceivable cost, its plan simulated, the best schedule, today; then that
    schedule by what its control knows, and the gap by month. Press Ctrl-C to stop.
    """
    needs("highspy", "optimum")
    require_targets(case, page=page, figure=figure, csv=csv, force=force)
    home = open_case(case, option)
    announce_compiling()
    with progress(WORK) as begin:
        from simkit.answers.optimum import optimum_answer
        from simkit.decide.optimum.optimum import optimum as find

        found = find(home, before_each=begin, stretch_days=days)
        begin("a controller that knows yesterday, and one with a forecast")
        answer = optimum_answer(found, ranged=not no_range)
    show_answer(answer, json=json, page=page, figure=figure, csv=csv, force=force)
