"""`simkit spf`: a case in; its seasonal performance by boundary beside the standard's and the field's out.

With readings, what was measured is put at the same boundary, or it is said why that can't be done.
"""

from __future__ import annotations

from typing import Annotated, Literal

import typer

from simkit.commands.case_file import CaseArgument, Option, open_case
from simkit.commands.outputs import Csv, Force, Json, Page, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress
from simkit.errors import CaseError, Fault

HeatKwh = Annotated[float | None, typer.Option("--heat", metavar="KWH", help="Heat that was measured, in kWh.")]
ElectricityKwh = Annotated[
    float | None, typer.Option("--electricity", metavar="KWH", help="Electricity that was measured, in kWh.")
]
HeatBy = Annotated[
    Literal["unit display", "heat meter", "none"], typer.Option("--heat-by", help="What measured the heat.")
]
ElectricityBy = Annotated[
    Literal["unit display", "unit meter", "house sub-meter", "house meter"],
    typer.Option("--electricity-by", help="What measured the electricity."),
]
Days = Annotated[float, typer.Option("--days", help="Days between the readings.")]
MeterClass = Annotated[int | None, typer.Option("--meter-class", help="Accuracy class of the heat meter: 1, 2 or 3.")]


def spf(  # noqa: PLR0917 - a command's options are its parameters
    case: CaseArgument, option: Option = None, heat: HeatKwh = None, electricity: ElectricityKwh = None,
    heat_by: HeatBy = "heat meter", electricity_by: ElectricityBy = "house sub-meter", days: Days = 365.0,
    meter_class: MeterClass = None, page: Page = None, csv: Csv = None, force: Force = False, json: Json = False,
) -> None:  # fmt: skip
    """Say how well the heat pump does over a year, every figure with its boundary.

    Prints the reference seasons of its test points, the simulated year by boundary and the sensible band for its flow
    temperature; with readings, what was measured put at boundary H4.
    """
    if meter_class not in (None, 1, 2, 3):
        remedy = "Read the class off the meter, or leave it out"
        raise CaseError(Fault("", f"--meter-class {meter_class}", "is none of 1, 2 and 3", remedy))
    require_targets(case, page=page, csv=csv, force=force)
    home = open_case(case, option)
    announce_compiling()
    with progress(1) as begin:
        from simkit.answers.performance import performance_answer
        from simkit.performance.measured import Measured, spf_at_h4
        from simkit.year.simulate import simulate

        begin("one year")
        year = simulate(home)
        found = None
        if heat is not None or electricity is not None:
            measured = Measured(electricity_by, heat_by, heat, electricity, days, meter_class)  # type: ignore[arg-type]
            found = spf_at_h4(measured, year.spf)
        answer = performance_answer(year.seasonal, measured=found)
    show_answer(answer, json=json, page=page, csv=csv, force=force)
