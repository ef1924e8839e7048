"""`simkit account`: a folder in; its running account begun, appended to and drawn up, out."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from simkit.commands.fit import fitted
from simkit.commands.meter_files import Bills, Mapping, Option, bills_of, read_all
from simkit.commands.outputs import Csv, Figure, Force, Json, Page, require_targets, show_answer

Folder = Annotated[Path, typer.Argument(metavar="FOLDER", help="Folder of the account.")]
Start = Annotated[
    Path | None, typer.Option("--start", metavar="CASE", help="Begin it: fit this case to the readings of --add.")
]
Add = Annotated[
    list[Path] | None, typer.Option("--add", metavar="FILE", help="Append readings; nothing is overwritten.")
]
Old = Annotated[
    str | None, typer.Option("--old", metavar="NAME", help="The option before the change; the baseline if left out.")
]


def account(
    folder: Folder,
    *,
    start: Start = None,
    add: Add = None,
    option: Option = None,
    old: Old = None,
    mapping: Mapping = None,
    bill: Bills = None,
    page: Page = None,
    figure: Figure = None,
    csv: Csv = None,
    force: Force = False,
    json: Json = False,
) -> None:
    """Keep a running account.

    Expected in the weather that was against metered, what the old fuel would have cost, payback to date, and any drift.
    Bills are in money: --bill 2026-03=214.5.
    """
    require_targets(
        start,
        *(add or []),
        mapping,
        *folder.glob("*.toml"),
        *folder.glob("readings*"),
        page=page,
        figure=figure,
        csv=csv,
        force=force,
    )
    from simkit.answers.meter.account import account_answer
    from simkit.errors import CaseError, Fault
    from simkit.meter.account.account import add_readings, open_account, start_account, whole_home
    from simkit.meter.account.statement import statement

    billed = bills_of(bill)
    if start is not None:
        if not add:
            raise CaseError(
                Fault("", "--start", "needs the readings that the home is fitted to", "Name them: --add FILE")
            )
        path = start / "case.toml" if start.is_dir() else start
        if (folder / "account.toml").exists():
            remedy = "Leave --start out to append to it, or name another folder"
            raise CaseError(Fault(str(folder), "an account", "is there already, and nothing is overwritten", remedy))
        found, readings = fitted(path, add, option=option, mapping=mapping, kwh_per_unit=None, draws=20_000)
        whole = whole_home(readings)
        made = start_account(folder, path, found, whole, old=old)
        typer.echo(f"Begun in {folder} with {whole.report.used:,} readings.", err=True)
    else:
        made = open_account(folder)
        read = read_all(add or [], made.case, mapping, None)
        loggers = [one for one in read if "import_kwh" not in one.quantities and "outdoor_c" in one.quantities]
        for one in [one for one in read if one not in loggers] or read:
            made, fresh = add_readings(made, whole_home([one, *loggers]))
            typer.echo(f"{one.report.file}: {fresh:,} readings appended.", err=True)
    show_answer(
        account_answer(statement(made, billed=billed)), json=json, page=page, figure=figure, csv=csv, force=force
    )
