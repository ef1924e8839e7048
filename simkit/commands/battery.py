"""`simkit battery`: a case with a battery in; what it saves, what the next kWh would, and its coldest day, out."""

from __future__ import annotations

from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, Json, NoRange, open_case
from simkit.commands.outputs import needs, require_targets
from simkit.commands.progress import announce_compiling, progress
from simkit.commands.sweep import Figure, Option

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
    require_targets(("--figure", figure, (".png", ".svg", ".pdf")))
    if figure is not None:
        needs("matplotlib", "--figure")
    home = open_case(case, option)
    announce_compiling()
    with progress(1 + 4 * together + (figure is not None)) as begin:
        from simkit.decide.battery.together import together as overlap
        from simkit.decide.battery.worth import battery_worth
        from simkit.reporting.results.battery import battery_object, battery_view

        begin("a year for each size")
        found = battery_worth(home, ranges=not no_range)
        added = overlap(found.case, before_each=begin) if together else None
        picture = b""
        if figure is not None:
            from simkit.reporting.results.battery_picture import battery_picture

            begin("figure")
            picture = battery_picture(found, kind=figure.suffix[1:].lower())
    if json:
        from simkit.reporting.json import as_json

        typer.echo(as_json(battery_object(found, added)))
    else:
        from simkit.reporting.terminal import console

        console().print(battery_view(found, added))
    if figure is not None:
        from simkit.schema.toml_file import write_whole

        write_whole(figure, picture)
        typer.echo(f"Written: {figure}", err=True)
