"""`simkit battery`: a case with a battery in; what it saves, what the next kWh would, and its coldest day, out."""

from __future__ import annotations

from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, NoRange, Option, open_case
from simkit.commands.outputs import Figure, Json, require_drawing, show, write
from simkit.commands.progress import announce_compiling, progress

Together = Annotated[
    bool,
    typer.Option("--together", help="Also panels, battery and best schedule: none, each, each pair and all of them."),
]


def battery(  # noqa: PLR0917 - typer hands them over by name
    case: CaseArgument, option: Option = None, together: Together = False, no_range: NoRange = False,
    figure: Figure = None, json: Json = False,
) -> None:  # fmt: skip
    """Work out what a battery is worth, and what one kWh more would be.

    Prints its saving with its range, without panels and beside them, by size with the knee; and whether it carries the
    expensive hours of the coldest week. Where the case has no battery, one of a usual size is assumed.
    """
    require_drawing(figure=figure)
    home = open_case(case, option)
    announce_compiling()
    with progress(1 + 4 * together + (figure is not None)) as begin:
        from simkit.decide.battery.together import together as overlap
        from simkit.decide.battery.worth import battery_worth

        begin("a year for each size")
        found = battery_worth(home, ranges=not no_range)
        added = overlap(found.case, before_each=begin) if together else None
        picture = b""
        if figure is not None:
            from simkit.reporting.pictures import battery_picture

            begin("figure")
            picture = battery_picture(found, kind=figure.suffix)
    from simkit.reporting.results.battery import battery_object, battery_view

    show(lambda: battery_object(found, added), lambda: battery_view(found, added), json=json)
    write(figure, lambda: picture)
