"""`simkit sweep`: a case and design flow temperatures in; cost, performance and comfort of each out."""

from __future__ import annotations

from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, Option, open_case
from simkit.commands.outputs import Figure, Json, require_drawing, show, write
from simkit.commands.progress import announce_compiling, progress
from simkit.errors import CaseError, Fault

MOST_FLOWS = 200

Flow = Annotated[
    str,
    typer.Option(
        "--flow", metavar="FROM:TO[:STEP]", help="Design flow temperatures in °C, such as 35:60 or 35:60:0.5."
    ),
]


def sweep(case: CaseArgument, flow: Flow, option: Option = None, figure: Figure = None, json: Json = False) -> None:
    """Work out a year at each of many design flow temperatures.

    Prints what a year costs at each, its performance, and with rooms how far the worst one stays short of its need.
    """
    flows = flows_of(flow)
    require_drawing(figure=figure)
    home = open_case(case, option)
    announce_compiling()
    with progress(2 + (figure is not None)) as begin:
        from simkit.decide.flow.sweep import sweep_flow
        from simkit.decide.flow.worth import flow_worth

        begin(f"{len(flows)} years")
        table = sweep_flow(home, flows)
        begin("what a kelvin is worth")
        worth = None if home.controls.slope is not None else flow_worth(home)
        picture = b""
        if figure is not None:
            from simkit.reporting.pictures import flow_picture

            begin("figure")
            picture = flow_picture(table, home, kind=figure.suffix)
    from simkit.reporting.results.flow import sweep_object, sweep_view

    show(lambda: sweep_object(table, home, worth), lambda: sweep_view(table, home, worth), json=json)
    write(figure, lambda: picture)


def flows_of(text: str) -> list[float]:
    """Read ``35:60`` or ``35:60:0.5``, both ends included [°C].

    Raises
    ------
    CaseError
        Where it is something else, or too many.
    """
    parts = text.replace(",", ".").split(":")
    try:
        numbers = [float(part) for part in parts]
    except ValueError:
        numbers = []
    if len(numbers) not in (2, 3) or any(value != value for value in numbers):  # noqa: PLR0124 - NaN
        remedy = "Write for example --flow 35:60 or --flow 35:60:0.5"
        raise CaseError(Fault("", f"--flow {text}", "is not a first and a last temperature", remedy))
    first, last, step = (*numbers, 1.0)[:3]
    if first > last or step <= 0:
        raise CaseError(Fault("", f"--flow {text}", "does not rise", "Write the lower temperature first"))
    count = int((last - first) / step + 1e-9) + 1
    if count > MOST_FLOWS:
        allowed = f"asks for {count:,} years, more than the {MOST_FLOWS} that are worked out at once"
        raise CaseError(Fault("", f"--flow {text}", allowed, "Take a wider step"))
    return [first + step * number for number in range(count)]
