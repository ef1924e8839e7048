"""`simkit clients`: a table of homes in; a report on each in a folder, and one answer over all, out."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated

import typer

from simkit.commands.outputs import Csv, Force, Json, needs, require_targets, show_answer
from simkit.commands.progress import announce_compiling, cores, progress
from simkit.commands.report import DetailsFile
from simkit.errors import CaseError, Fault, raise_all

TableFile = Annotated[
    Path | None, typer.Argument(metavar="TABLE", help="A row for each home, with a head (.csv or .xlsx).")
]
To = Annotated[
    Path | None,
    typer.Option("--output", "-o", metavar="DIR", help="Folder of the reports; one begun is taken up again."),
]
Pdf = Annotated[bool, typer.Option("--pdf", help="Write PDFs instead of pages.")]
Template = Annotated[bool, typer.Option("--template", help="Print a table to fill in, and do nothing else.")]
MOST_AT_ONCE = 2  # own: each process holds the kit and its compiled code
ENDINGS = (".csv", ".txt", ".tsv", ".xlsx")


def clients(  # noqa: PLR0917 - typer hands them over by name
    table: TableFile = None, output: To = None, details: DetailsFile = None, pdf: Pdf = False,
    template: Template = False, csv: Csv = None, force: Force = False, json: Json = False,
) -> None:  # fmt: skip
    """Make a report on every home of a table.

    Prints one answer over all: what may hurt first, then the homes by what their offer saves. A row that is wrong stops
    no other; what was stopped goes on where it was when it is called again.
    """
    if template:
        from simkit.clients.template import template as to_fill_in

        typer.echo(to_fill_in(), nl=False)
        return
    if table is None or output is None:
        remedy = "Write `simkit clients TABLE -o DIR`, or `simkit clients --template` for a table to fill in"
        raise CaseError(Fault("", "TABLE" if table is None else "--output", "is missing", remedy))
    page = output / "clients.html"
    _require(table, output, pdf=pdf)
    require_targets(table, csv=csv, page=page if output.is_dir() else None, force=force)
    from simkit.clients.clients import clients as made_of
    from simkit.clients.table import read_clients

    rows = read_clients(table)
    announce_compiling()
    with progress(len(rows)) as begin:
        found = made_of(
            table, output, rows=rows, ending=".pdf" if pdf else ".html", details=details, force=force,
            at_once=min(cores(), MOST_AT_ONCE), before_each=begin,
        )  # fmt: skip
    show_answer(found.answer(), json=json, page=page, csv=csv, force=force)
    raise_all(found.faults)


def _require(table: Path, output: Path, *, pdf: bool) -> None:
    """Refuse a table of another kind, a folder that is none, and what a part is missing for."""
    if table.suffix.lower() not in ENDINGS:
        remedy = "Save the table as .csv or .xlsx"
        raise CaseError(Fault("", f"TABLE {table}", f"does not end in {' or '.join(ENDINGS)}", remedy))
    if os.path.lexists(output) and (output.is_symlink() or not output.is_dir()):
        raise CaseError(Fault("", f"--output {output}", "is no folder", "Choose another name"))
    if not output.resolve().parent.is_dir():
        allowed = f"has no folder {output.resolve().parent} to stand in"
        raise CaseError(Fault("", f"--output {output}", allowed, "Make the folder above it first"))
    for part in ("matplotlib", *(["typst"] if pdf else []), *(["openpyxl"] if table.suffix.lower() == ".xlsx" else [])):
        needs(part, "simkit clients")
