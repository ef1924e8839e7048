"""`simkit read`: a file of readings in; what it was taken to be, and what is wrong with it, out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from simkit.commands.meter_files import Bills, Mapping, PerUnit, bills_of
from simkit.commands.outputs import Json, require_new, require_targets, show

if TYPE_CHECKING:
    from rich.console import RenderableType

    from simkit.meter.reading.reading import Readings

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
    save: Save = None,
    kwh_per_unit: PerUnit = None,
    bill: Bills = None,
    json: Json = False,
) -> None:
    """Read a file of meter readings and report on it.

    Prints the first rows, every guess with its confidence, and an import report: gaps, duplicates, clock changes,
    spikes, and months against bills [kWh]. Nothing is filled in.
    """
    require_targets(("--save", save, (".toml",)))
    require_new("--save", save)
    from simkit.meter.reading.mapping import write_mapping
    from simkit.meter.reading.reading import read_meter

    found = read_meter(file, zone=zone, mapping=mapping, kwh_per_unit=kwh_per_unit, bill_kwh=bills_of(bill))
    show(lambda: _object(found), lambda: _view(found, zone), json=json)
    if save is not None:
        write_mapping(found.mapping, save)
        typer.echo(f"Written: {save}", err=True)


def _object(found: Readings) -> dict[str, Any]:
    report, guesses = found.report, found.layout.guesses if found.layout else ()
    return {
        "file": report.file, "rows": report.rows, "readings": report.used, "quantities": list(found.quantities),
        "first": report.first.isoformat(), "last": report.last.isoformat(), "step_minutes": report.step_minutes,
        "totals_kwh": dict(report.totals_kwh),
        "gaps": [[gap.first.isoformat(), gap.end.isoformat(), gap.steps] for gap in report.gaps],
        "usable_as_is": report.is_good, "notes": list(report.sentences()),
        "guesses": [[g.what, g.answer, g.confidence, g.why] for g in guesses], "mapping": found.mapping,
    }  # fmt: skip


def _view(found: Readings, zone: str) -> RenderableType:
    from rich.console import Group
    from rich.text import Text

    from simkit.reporting.terminal import bullets, heading

    preview = Text(found.preview(), no_wrap=True, overflow="ignore")
    return Group(heading(found.report.file, zone), preview, Text(), bullets(found.report.sentences()))
