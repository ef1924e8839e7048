"""`simkit project`: a case and files of readings in; the fitted home's year with its range, and what next, out."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, Json
from simkit.commands.fit import fit_object, fitted
from simkit.commands.meter_files import BaseC, DegreeDays, Draws, Files, Mapping, Option, PerUnit
from simkit.commands.outputs import needs, require_targets
from simkit.commands.progress import progress

Page = Annotated[
    Path | None, typer.Option("--page", metavar="FILE.html", help="Write one self-contained page to open in a browser.")
]


def project(
    case: CaseArgument,
    files: Files,
    *,
    option: Option = None,
    mapping: Mapping = None,
    draws: Draws = 20_000,
    page: Page = None,
    kwh_per_unit: PerUnit = None,
    degree_days: DegreeDays = None,
    base_c: BaseC = None,
    json: Json = False,
) -> None:
    """Project a fitted home over a year.

    One page: the fitted home, whether the design was right, what the year costs with its likely range, month by month,
    and what to measure next.
    """
    require_targets(("--page", page, (".html", ".htm")))
    if page is not None:
        needs("matplotlib", "--page")
    found, readings = fitted(
        case, files, option=option, mapping=mapping, kwh_per_unit=kwh_per_unit, draws=draws, degree_days=degree_days,
        base_c=base_c,
    )  # fmt: skip
    with progress(3) as begin:
        begin("weather years")
        from simkit.meter.account.fitted_page import answer_of

        made = answer_of(found)
    if json:
        from simkit.reporting.json import as_json

        cost = made.projection.year_cost
        typer.echo(
            as_json(
                fit_object(found, readings)
                | {
                    "year_cost": [cost.low, cost.middle, cost.high], "currency": found.case.currency,
                    "months": made.projection.months.reset_index().to_dict("list"), "design": list(made.design),
                    "next": [[s.what, s.width_now, s.width_then] for s in made.steps],
                }
            )
        )  # fmt: skip
    else:
        from simkit.commands.meter_tables import month_table
        from simkit.reporting.terminal import bullets, console, heading

        screen = console()
        for name, note, sentences in made.sections():
            screen.print(heading(name, note))
            screen.print(bullets(sentences))
            screen.print()
        screen.print(month_table(made.projection))
    if page is not None:
        from simkit.schema.toml_file import write_whole

        write_whole(page, made.page())
        typer.echo(f"Written: {page}", err=True)
