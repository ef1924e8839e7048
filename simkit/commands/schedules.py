"""`simkit schedules`: a case in; the cheapest schedule that keeps it warm, and what to type in, as text or JSON out."""

from __future__ import annotations

from simkit.commands.case_file import CaseArgument, Option, open_case
from simkit.commands.outputs import Json, show
from simkit.commands.progress import announce_compiling, progress

ROUNDS = 20  # more than a search and a verdict ever take


def schedules(case: CaseArgument, option: Option = None, json: Json = False) -> None:
    """Find the cheapest schedule that the controller can hold without costing comfort.

    Prints today's cost beside the best schedule's, what to type in, and what a set-back does under three recoveries.
    """
    home = open_case(case, option)
    announce_compiling()
    with progress(ROUNDS) as begin:
        from simkit.decide.schedule.search import best_schedule
        from simkit.decide.schedule.setback import set_back

        found = best_schedule(home, before_each=begin)
        verdict = set_back(home, before_each=begin)
    from simkit.reporting.results.schedules import schedules_object, schedules_view

    show(lambda: schedules_object(found, verdict), lambda: schedules_view(found, verdict), json=json)
