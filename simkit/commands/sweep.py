"""`simkit sweep`: a case and design flow temperatures in; cost, performance and comfort of each out."""

from __future__ import annotations

from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, Option, open_case
from simkit.commands.outputs import Csv, Figure, Force, Json, Page, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress
from simkit.errors import CaseError, Fault

MOST_FLOWS = 200

Flow = Annotated[
    str | None,
    typer.Option(
        "--flow", metavar="FROM:TO[:STEP]", help="Design flow temperatures in °C, such as 35:60 or 35:60:0.5."
    ),
]


def sweep(  # noqa: PLR0917 - a command's options are its parameters
    case: CaseArgument, flow: Flow = None, option: Option = None, page: Page = None, figure: Figure = None,
    csv: Csv = None, force: Force = False, json: Json = False,
) -> None:  # fmt: skip
    """Work out a year at each of many design flow temperatures.

    Prints which flow costs least with comfort held and where comfort ends, then cost, performance and comfort of each;
    without --flow a usual range, kelvin by kelvin.
    """
    flows = None if flow is None else flows_of(flow)
    require_targets(case, page=page, figure=figure, csv=csv, force=force)
    home = open_case(case, option)
    announce_compiling()
    with progress(3) as begin:
        from simkit.answers.flow import flow_answer
        from simkit.decide.flow.sweep import sweep_flow
        from simkit.decide.flow.worth import flow_worth
        from simkit.year.simulate import simulate

        begin(f"{len(flows)} years" if flows else "years of a usual range")
        made = sweep_flow(home, flows)
        begin("what a kelvin is worth")
        worth = None if home.controls.slope is not None else flow_worth(home)
        begin("what it comes to")
        answer = flow_answer(made, today=simulate(home), worth=worth)
    show_answer(answer, json=json, page=page, figure=figure, csv=csv, force=force)


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
