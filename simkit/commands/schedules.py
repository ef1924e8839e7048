"""`simkit schedules`: a case in; the cheapest schedule that costs no comfort, and what to type in, out."""

from __future__ import annotations

from simkit.commands.case_file import CaseArgument, NoRange, Option, open_case
from simkit.commands.outputs import Csv, Figure, Force, Json, Page, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress

ROUNDS = 20  # more than a search and a verdict ever take


def schedules(  # noqa: PLR0917 - a command's options are its parameters
    case: CaseArgument, option: Option = None, page: Page = None, figure: Figure = None, csv: Csv = None,
    no_range: NoRange = False, force: Force = False, json: Json = False,
) -> None:  # fmt: skip
    """Find the cheapest schedule that the controller can hold without costing comfort.

    Prints what it saves against today's, what to type in, and what a set-back does under three recoveries.
    """
    require_targets(case, page=page, figure=figure, csv=csv, force=force)
    home = open_case(case, option)
    announce_compiling()
    with progress(ROUNDS) as begin:
        from simkit.answers.schedule import schedule_answer
        from simkit.decide.schedule.search import best_schedule
        from simkit.decide.schedule.setback import set_back

        found = best_schedule(home, before_each=begin)
        verdict = set_back(home, before_each=begin)
        begin("what it comes to")
        answer = schedule_answer(found, verdict, ranged=not no_range)
    show_answer(answer, json=json, page=page, figure=figure, csv=csv, force=force)
