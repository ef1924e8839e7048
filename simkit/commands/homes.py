"""`simkit homes`: a table of homes in; what each costs under each tariff and option, in files, and one answer, out."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from simkit.commands.outputs import Csv, Figure, Force, Json, Page, needs, require_targets, show_answer
from simkit.commands.progress import announce_compiling, cores, counted
from simkit.errors import CaseError, Fault

TableFile = Annotated[
    Path, typer.Argument(metavar="TABLE", help="A row for each home, columns by key of a case (.csv or .parquet).")
]
To = Annotated[
    Path, typer.Option("--output", "-o", metavar="DIR", help="Folder of the results; one begun is taken up again.")
]
Place = Annotated[
    str, typer.Option("--place", metavar="CASE", help="Case that rows without a place stand on: a file or a sample.")
]
Option = Annotated[list[str] | None, typer.Option("--option", metavar="NAME", help="Run each home with this option.")]
TariffFile = Annotated[
    list[Path] | None, typer.Option("--tariff", metavar="FILE.toml", help="Charge each home at this tariff as well.")
]
Weathers = Annotated[int, typer.Option("--weathers", metavar="N", help="Run so many other years beside the usual one.")]
Street = Annotated[
    bool, typer.Option("--street", help="Give each home a household of its own, and add up what all take at once.")
]
Workers = Annotated[int | None, typer.Option("--workers", metavar="N", help="Processes at once; all cores by default.")]
ENDINGS = (".csv", ".parquet")


def homes(  # noqa: PLR0917 - typer hands them over by name
    table: TableFile, output: To, place: Place = "", option: Option = None, tariff: TariffFile = None,
    weathers: Weathers = 0, street: Street = False, workers: Workers = None, page: Page = None, figure: Figure = None,
    csv: Csv = None, force: Force = False, json: Json = False,
) -> None:  # fmt: skip
    """Simulate every home of a long table, under every tariff and with every option named.

    Prints where comfort fails first, then what the middle home pays. Results are Parquet files, written part by part:
    what was stopped goes on where it was. Rows that are wrong stop no other and are listed in a file.
    """
    if table.suffix.lower() not in ENDINGS:
        allowed = f"does not end in {' or '.join(ENDINGS)}"
        raise CaseError(Fault("", f"TABLE {table}", allowed, "Save the table as one of them"))
    require_targets(table, page=page, figure=figure, csv=csv, force=force)
    needs("pyarrow", "simkit homes")
    from simkit.stock.stock import sweep_homes

    announce_compiling()
    with counted("homes") as told:
        found = sweep_homes(
            table, output, place=place, options=option or (), tariffs=tariff or (), weathers=weathers,
            street=street, workers=cores() if workers is None else workers, force=force, progress=told,
        )  # fmt: skip
    show_answer(found.answer(), json=json, page=page, figure=figure, csv=csv, force=force)
