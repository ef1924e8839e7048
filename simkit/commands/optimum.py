"""`simkit optimum`: a case in; the least that any schedule could cost beside the best rule and today, out."""

from __future__ import annotations

from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, Option, open_case
from simkit.commands.outputs import Json, needs, show
from simkit.commands.progress import announce_compiling, progress

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
    from simkit.reporting.results.schedules import optimum_object, optimum_view

    show(lambda: optimum_object(found), lambda: optimum_view(found), json=json)
