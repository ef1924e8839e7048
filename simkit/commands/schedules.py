"""`simkit schedules`: a case in; the cheapest schedule that keeps it warm, and what to type in, as text or JSON out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from simkit.commands.case_file import CaseArgument, Json, open_case
from simkit.commands.progress import announce_compiling, progress

if TYPE_CHECKING:
    from simkit.decide.schedule.search import BestSchedule
    from simkit.decide.schedule.setback import SetBack

Option = Annotated[
    str | None, typer.Option("--option", metavar="NAME", help="Take this option of the case, not the case itself.")
]
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
    if json:
        from simkit.reporting.json import as_json

        typer.echo(as_json(schedules_object(found, verdict)))
    else:
        from simkit.reporting.results.schedules import schedules_view
        from simkit.reporting.terminal import console

        console().print(schedules_view(found, verdict))


def schedules_object(found: BestSchedule, verdict: SetBack) -> dict[str, Any]:
    """The same as one JSON object."""
    from simkit.decide.schedule.settings_sheet import settings_sheet

    return {
        "case": found.today.case.name,
        "currency": found.today.case.currency,
        "today": {"cost": found.today.bill.total, "comfort": found.today.comfort.words},
        "best": {"cost": found.best.bill.total, "comfort": found.best.comfort.words},
        "saving": found.saving,
        "tried": found.tried,
        "thrown_out_for_comfort": found.too_cold,
        "settings": [{"setting": name, **row} for name, row in settings_sheet(found).to_dict("index").items()],
        "verdict": verdict.table().reset_index().to_dict("records"),
    }
