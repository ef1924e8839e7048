"""`simkit read`: a file of readings in; what it was taken to be, and what is wrong with it, out."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from simkit.commands.meter_files import Bills, Mapping, PerUnit, Say, bills_of, said_of
from simkit.commands.outputs import Csv, Figure, Force, Json, Page, require_targets, show_answer

FileArgument = Annotated[Path, typer.Argument(metavar="FILE", help="A file of readings, whatever its layout.")]
Zone = Annotated[str, typer.Option("--zone", metavar="ZONE", help='The home\'s time zone, as "Europe/Dublin".')]
Save = Annotated[
    Path | None, typer.Option("--save", metavar="FILE.toml", help="Remember what the columns mean in this file.")
]


def read(
    file: FileArgument,
    *,
    zone: Zone,
    mapping: Mapping = None,
    say: Say = None,
    save: Save = None,
    kwh_per_unit: PerUnit = None,
    bill: Bills = None,
    page: Page = None,
    figure: Figure = None,
    csv: Csv = None,
    force: Force = False,
    json: Json = False,
) -> None:
    """Read a file of meter readings and report on it.

    Prints what was read, the first rows, every guess with its confidence, what was left out (gaps, doubles, spikes),
    and months against bills [kWh]. Nothing is filled in. A file that leaves a question open ends with exit code 3 and
    says how to answer it.
    """
    require_targets(file, mapping, page=page, figure=figure, csv=csv, save=save, force=force)
    from simkit.answers.meter.readings import readings_answer
    from simkit.meter.reading.mapping import write_mapping
    from simkit.meter.reading.reading import read_meter

    found = read_meter(
        file, zone=zone, mapping=said_of(say, mapping), kwh_per_unit=kwh_per_unit, bill_kwh=bills_of(bill)
    )
    show_answer(
        readings_answer(found), json=json, page=page, figure=figure, csv=csv, force=force,
        save=(save, lambda path: write_mapping(found.mapping, path)),
    )  # fmt: skip
    if found.questions:
        raise typer.Exit(3)
