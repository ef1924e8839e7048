"""`simkit change`: a case, files of readings and the day of a change in; what the change did to a day out."""

from __future__ import annotations

from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, open_case
from simkit.commands.meter_files import Files, LessHousehold, Mapping, Option, PerUnit, read_all
from simkit.commands.outputs import Csv, Figure, Force, Json, Page, require_targets, show_answer

On = Annotated[str, typer.Option("--on", metavar="DATE", help="Local day of the change, as 2026-01-20.")]
InTurn = Annotated[
    bool, typer.Option("--in-turn", help="Weeks with and without it took turns from that day, the first with it.")
]
Meter = Annotated[
    str | None, typer.Option("--meter", metavar="NAME", help="What to compare, as import_kwh or heat_pump_kwh.")
]


def change(
    case: CaseArgument,
    files: Files,
    *,
    on: On,
    in_turn: InTurn = False,
    meter: Meter = None,
    option: Option = None,
    mapping: Mapping = None,
    kwh_per_unit: PerUnit = None,
    less_household: LessHousehold = False,
    page: Page = None,
    figure: Figure = None,
    csv: Csv = None,
    force: Force = False,
    json: Json = False,
) -> None:
    """Find what one change did, at the same weather.

    A lower flow, a tariff, a schedule: readings from before and after it, with outdoor temperatures of the same days;
    rooms that were logged beside them are compared too.
    """
    require_targets(case, *files, mapping, page=page, figure=figure, csv=csv, force=force)
    home = open_case(case, option)
    from simkit.meter.account.before_after import change as change_of

    readings = read_all(files, home, mapping, kwh_per_unit, less_household=less_household)
    found = change_of(home, readings, on, in_turn=in_turn, meter=meter)
    show_answer(found.answer(), json=json, page=page, figure=figure, csv=csv, force=force)
