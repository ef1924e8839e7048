"""`simkit rooms`: a case with rooms in; which room sets the limit, and what bigger emitters would save, out."""

from __future__ import annotations

from simkit.commands.case_file import CaseArgument, NoRange, Option, open_case
from simkit.commands.outputs import Json, show
from simkit.commands.progress import announce_compiling, progress


def rooms(case: CaseArgument, option: Option = None, no_range: NoRange = False, json: Json = False) -> None:
    """Look at a home room by room.

    Prints the flow that each room needs and the temperature it settles at; where rooms name what could take the place
    of their emitters, the cheapest set for each flow with its saving and payback.
    """
    home = open_case(case, option)
    announce_compiling()
    ranged = not no_range
    with_ladder = any(room.candidate for room in home.room or ())
    with progress(1 + with_ladder) as begin:
        from simkit.decide.flow.emitters import emitter_ladder
        from simkit.year.simulate import simulate

        begin("one year")
        found = simulate(home).rooms
        ladder = table = None
        if with_ladder:
            begin("sets of emitters")
            ladder = emitter_ladder(home)
            table = ladder.table(ranges=ranged)
    from simkit.reporting.results.rooms import rooms_object, rooms_view

    show(
        lambda: rooms_object(found, ladder, table, ranged=ranged),
        lambda: rooms_view(found, ladder, table, ranged=ranged),
        json=json,
    )
