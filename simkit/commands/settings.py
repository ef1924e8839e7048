"""`simkit settings`: a case in; the sheet of what to type into its controller out, today's or the best schedule's."""

from __future__ import annotations

from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, Option, open_case
from simkit.commands.outputs import Csv, Force, Json, Page, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress

Best = Annotated[
    bool, typer.Option("--best", help="Look for the cheapest schedule at the same comfort first, which takes longer.")
]
STEPS = 12  # more than a search takes


def settings(
    case: CaseArgument, *, option: Option = None, best: Best = False, page: Page = None, csv: Csv = None,
    force: Force = False, json: Json = False,
) -> None:  # fmt: skip
    """Write the sheet of what to type into the controller.

    Prints rooms, heating curve, hot water, hot cycle, battery and cheap hours in wall time, winter beside summer; what
    an option changes is told against the case as it stands.
    """
    require_targets(case, page=page, csv=csv, force=force)
    home, chosen = open_case(case), open_case(case, option)
    announce_compiling()
    with progress(STEPS) as begin:
        from simkit.answers.report.settings import settings_answer
        from simkit.year.simulate import simulate

        begin("one year")
        if best:
            from simkit.decide.schedule.search import best_schedule

            found = best_schedule(chosen, before_each=begin)
            answer = settings_answer(found.best, found.today, searched=True)
        else:
            answer = settings_answer(simulate(chosen), simulate(home))
    show_answer(answer, json=json, page=page, csv=csv, force=force)
