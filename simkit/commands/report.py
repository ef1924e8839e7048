"""`simkit report`: a case in; a report that can be handed over, as a page, a PDF or a workbook, out."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, open_case
from simkit.commands.outputs import Force, Json, needs, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress

Output = Annotated[
    Path | None,
    typer.Option("--output", "-o", metavar="FILE", help="Write a page (.html), a PDF (.pdf) or a workbook (.xlsx)."),
]
DetailsFile = Annotated[
    Path | None,
    typer.Option(
        "--details", metavar="FILE.toml",
        help="Author, firm, client, reference, date, notes, logo, accent, second_accent, language, locale, sections.",
    ),
]  # fmt: skip
Wanted = Annotated[
    list[str] | None,
    typer.Option("--section", metavar="NAME", help="Only this section, or with a plus sign this one as well."),
]
Without = Annotated[list[str] | None, typer.Option("--without", metavar="NAME", help="Leave this section out.")]
Readings = Annotated[
    Path | None, typer.Option("--readings", metavar="FILE.csv", help="Meter readings of the home, for a section.")
]
Since = Annotated[
    Path | None,
    typer.Option("--since", metavar="OLD.json", help="What --json printed of the last report: tell what changed."),
]
STEPS = 40  # more than options, parts and sections


def report(  # noqa: PLR0917 - typer hands them over by name
    case: CaseArgument, output: Output = None, details: DetailsFile = None, section: Wanted = None,
    without: Without = None, readings: Readings = None, since: Since = None, force: Force = False, json: Json = False,
) -> None:  # fmt: skip
    """Write a report that can be handed over.

    Prints its first page: the decision, money now and a year, rooms, what decides, what to do first and who does it.
    The file holds the sections as well, with inputs, method, limits, sign-off and provenance.
    """
    require_targets(case, details, readings, since, output=output, force=force)
    from simkit.reporting.report.kept import kept
    from simkit.reporting.report.written import NEEDED, write_report

    if output is not None:
        for part in ("matplotlib", NEEDED.get(output.suffix.lower())):
            needs(part or "matplotlib", f"--output {output}")
    home = open_case(case)
    from simkit.answers.report.details import read_details
    from simkit.answers.report.report import report as made_of

    known = None if details is None else read_details(details)
    announce_compiling()
    with progress(STEPS) as begin:
        made = made_of(
            home, details=known, sections=section, without=without or (), readings=readings, since=since,
            before_each=begin, source=kept,
            command=_again(case, output, details=details, section=section, without=without, readings=readings,
                           since=since),
        )  # fmt: skip
        begin("the file")
        show_answer(
            made.answer(), json=json, force=force, output=(output, lambda path: write_report(made, path))
        )  # fmt: skip


def _again(case: Path, output: Path | None, **options: Path | list[str] | None) -> str:
    """The command that makes the report again, by the names of its files."""
    words = ["simkit report", case.name]
    for option, given in options.items():
        several = given if isinstance(given, list) else [given.name] if given is not None else []
        words += [f"--{option} {value}" for value in several]
    return " ".join([*words, *([f"-o {output.name}"] if output else [])])
