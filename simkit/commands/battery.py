"""`simkit battery`: a case with a battery in; what it saves, what the next kWh would, and its coldest day, out."""

from __future__ import annotations

from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, NoRange, Option, open_case
from simkit.commands.outputs import Csv, Figure, Force, Json, Page, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress

Together = Annotated[
    bool,
    typer.Option("--together", help="Also panels, battery and best schedule: none, each, each pair and all of them."),
]


def battery(  # noqa: PLR0917 - typer hands them over by name
    case: CaseArgument, option: Option = None, together: Together = False, page: Page = None, figure: Figure = None,
    csv: Csv = None, no_range: NoRange = False, force: Force = False, json: Json = False,
) -> None:  # fmt: skip
    """Work out what a battery is worth, and what one kWh more would be.

    Prints its saving with its range, without panels and beside them, by size with the knee; and whether it carries the
    expensive hours of the coldest week. Where the case has no battery, one of a usual size is assumed; with --together
    usual panels as well where it has none.
    """
    require_targets(case, page=page, figure=figure, csv=csv, force=force)
    home = open_case(case, option)
    announce_compiling()
    with progress(2 + 4 * together) as begin:
        from simkit.decide.battery.together import together as overlap
        from simkit.decide.battery.worth import battery_worth

        begin("a year for each size")
        found = battery_worth(home, ranges=not no_range)
        added = overlap(found.case, before_each=begin) if together else None
        begin("what it comes to")
        answer = found.answer(added=added)
    show_answer(answer, json=json, page=page, figure=figure, csv=csv, force=force)
