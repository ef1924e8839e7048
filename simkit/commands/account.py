"""`simkit account`: a folder in; its running account begun, appended to and drawn up, out."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from simkit.commands.fit import fitted
from simkit.commands.meter_files import Bills, Mapping, Option, bills_of, read_all
from simkit.commands.outputs import Csv, Figure, Force, Json, Page, require_targets, show_answer

if TYPE_CHECKING:
    from simkit.meter.account.account import Account

DEAREST_FUEL = 1e6  # the bound of the account's own file
Folder = Annotated[Path, typer.Argument(metavar="FOLDER", help="Folder of the account.")]
Start = Annotated[
    Path | None, typer.Option("--start", metavar="CASE", help="Begin it: fit this case to the readings of --add.")
]
Add = Annotated[
    list[Path] | None,
    typer.Option("--add", metavar="FILE", help="Append readings, of the whole home or of a logger; late ones fill in."),
]
Correct = Annotated[
    list[Path] | None,
    typer.Option("--correct", metavar="FILE", help="Readings that replace what is there; the old ones are kept too."),
]
NewTariff = Annotated[
    list[str] | None,
    typer.Option("--tariff", metavar="DATE=FILE", help="A tariff from a day on, as 2026-03-01=new_tariff.toml."),
]
FuelPrice = Annotated[
    list[str] | None,
    typer.Option("--fuel-price", metavar="DATE=AMOUNT", help="A price of the old fuel from a day on."),
]
Old = Annotated[
    str | None, typer.Option("--old", metavar="NAME", help="The option before the change; the baseline if left out.")
]


def account(
    folder: Folder,
    *,
    start: Start = None,
    add: Add = None,
    correct: Correct = None,
    tariff: NewTariff = None,
    fuel_price: FuelPrice = None,
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

    Expected in the weather that was against metered, what made the difference (weather, use, efficiency, price), what
    the old fuel would have cost, payback to date, days away, and any drift. Bills are in money: --bill 2026-03=214.5.
    """
    require_targets(
        start,
        *(add or []),
        *(correct or []),
        mapping,
        *folder.glob("*.toml"),
        *folder.glob("readings*"),
        page=page,
        figure=figure,
        csv=csv,
        force=force,
    )
    from simkit.answers.meter.account import account_answer
    from simkit.meter.account.account import open_account
    from simkit.meter.account.dated_prices import set_prices
    from simkit.meter.account.statement import statement

    billed = bills_of(bill)
    changes: list[tuple[dt.date, dict[str, Any]]] = [
        *((day, {"tariff": Path(said)}) for day, said in _dated(tariff, "--tariff", "new_tariff.toml")),
        *((day, {"fuel_price": _amount(said)}) for day, said in _dated(fuel_price, "--fuel-price", "1.25")),
    ]
    if start is not None:
        _begun(folder, start, add or [], option=option, old=old, mapping=mapping)
        add = []
    made = open_account(folder)
    for day, price in changes:
        made = set_prices(made, day, **price)
    made = _added(made, add or [], mapping, correct=False)
    made = _added(made, correct or [], mapping, correct=True)
    show_answer(
        account_answer(statement(made, billed=billed)), json=json, page=page, figure=figure, csv=csv, force=force
    )


def _begun(
    folder: Path, start: Path, files: list[Path], *, option: str | None, old: str | None, mapping: Path | None
) -> None:
    """Fit the case to its first readings and begin the account with them."""
    from simkit.errors import CaseError, Fault
    from simkit.meter.account.account import require_new, start_account

    if not files:
        raise CaseError(Fault("", "--start", "needs the readings that the home is fitted to", "Name them: --add FILE"))
    path = start / "case.toml" if start.is_dir() else start
    require_new(folder)
    found, readings = fitted(path, files, option=option, mapping=mapping, kwh_per_unit=None, draws=20_000)
    start_account(folder, path, found, readings, old=old)
    used = sum(one.report.used for one in readings)
    typer.echo(f"Begun in {folder} with {found.case.notation.number(used)} readings.", err=True)


def _added(made: Account, files: list[Path], mapping: Path | None, *, correct: bool) -> Account:
    """Take files in one after the other, and say what each brought."""
    from simkit.answers.meter.account import added_words
    from simkit.meter.account.account import add_readings

    for one in read_all(files, made.case, mapping, None):
        made, added = add_readings(made, one, correct=correct)
        typer.echo(added_words(one.report.file, added, made.case.notation), err=True)
    return made


def _dated(texts: list[str] | None, where: str, example: str) -> list[tuple[dt.date, str]]:
    """Days and what holds from them on, out of DATE=WHAT."""
    from simkit.errors import CaseError, Fault

    found = []
    for text in texts or []:
        day, sign, said = (part.strip() for part in text.partition("="))
        try:
            found.append((dt.date.fromisoformat(day), said))
        except ValueError:
            sign = ""
        if not sign or not said:
            remedy = f"Write for example 2026-03-01={example}"
            raise CaseError(Fault(where, text, "is not a day and what holds from it on", remedy)) from None
    return found


def _amount(text: str) -> float:
    """A price, with a decimal point or comma."""
    from simkit.errors import CaseError, Fault

    try:
        found = float(text.replace(",", "."))
    except ValueError:
        found = -1.0
    if not 0.0 <= found <= DEAREST_FUEL:
        remedy = "Write for example 2026-03-01=1.25"
        raise CaseError(Fault("--fuel-price", text, "is no price of a unit of fuel", remedy))
    return found
