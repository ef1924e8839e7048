"""`simkit rooms`: a case with rooms in; which room sets the limit, and what bigger emitters would save, out."""

from __future__ import annotations

from simkit.commands.case_file import CaseArgument, NoRange, Option, open_case
from simkit.commands.outputs import Csv, Figure, Force, Json, Page, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress


def rooms(  # noqa: PLR0917 - a command's options are its parameters
    case: CaseArgument, option: Option = None, page: Page = None, figure: Figure = None, csv: Csv = None,
    no_range: NoRange = False, force: Force = False, json: Json = False,
) -> None:  # fmt: skip
    """Look at a home room by room.

    Prints the flow that each room needs and the temperature it settles at; where rooms name what could take the place
    of their emitters, the cheapest set for each flow with its saving and payback.
    """
    require_targets(case, page=page, figure=figure, csv=csv, force=force)
    home = open_case(case, option)
    announce_compiling()
    with_ladder = any(room.candidate for room in home.room or ())
    with progress(2 + with_ladder) as begin:
        from simkit.answers.rooms import rooms_answer
        from simkit.decide.flow.emitters import emitter_ladder
        from simkit.year.simulate import simulate

        begin("one year")
        found, ladder = simulate(home).rooms, None
        if with_ladder:
            begin("sets of emitters")
            ladder = emitter_ladder(home)
        begin("what it comes to")
        answer = rooms_answer(found, ladder=ladder, ranged=not no_range)
    show_answer(answer, json=json, page=page, figure=figure, csv=csv, force=force)
