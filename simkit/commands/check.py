"""`simkit check`: a case in; what it describes, what was assumed and what to be careful about out, or every fault."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from simkit.commands.case_file import open_case
from simkit.commands.outputs import Csv, Force, Json, Page, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress
from simkit.errors import CaseError, Fault

MaybeCase = Annotated[
    Path | None, typer.Argument(metavar="CASE", help="Case file (TOML), or the folder that holds it as case.toml.")
]
Schema = Annotated[
    bool, typer.Option("--schema", help="Print the JSON schema of a case file, for editors, and check nothing.")
]


def check(  # noqa: PLR0917 - a command's options are its parameters
    case: MaybeCase = None, schema: Schema = False, page: Page = None, csv: Csv = None, force: Force = False,
    json: Json = False,
) -> None:  # fmt: skip
    """Check a case and list what it assumes.

    Reads the case, its options, tariffs and files, and says what they describe, what was filled in for
    you, by how much each such value moves the cost of a year, what would settle it, and what to be careful about.
    """
    if schema:
        from simkit.case.json_schema import case_schema
        from simkit.reporting.as_data import as_json

        typer.echo(as_json(case_schema()))
        return
    require_targets(case, page=page, csv=csv, force=force)
    from simkit.case.build import options_of

    if case is None:
        raise CaseError(Fault("simkit check", "CASE", "is missing", "Name a case file, such as home/case.toml"))
    home = open_case(case)
    announce_compiling()
    options = options_of(home)
    with progress(2 + len(options)) as begin:
        from simkit.year.simulate import simulate

        years = []
        for made in (home, *options):
            begin(made.name)
            years.append(simulate(made))
        from simkit.decide.assumptions import assumptions_of

        begin("what it leaves open")
        answer = assumptions_of(years[0], years[1:]).answer()
    show_answer(answer, json=json, page=page, csv=csv, force=force)
