"""`simkit measures`: a case and what could be done to its home in; a ladder of it, and what each budget buys, out."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, Json, NoRange, open_case
from simkit.commands.outputs import needs, require_targets
from simkit.commands.progress import announce_compiling, progress
from simkit.commands.sweep import Option

Tariffs = Annotated[
    list[Path] | None,
    typer.Option("--tariff", metavar="FILE", help="A further tariff at which every set is charged; may be repeated."),
]

Page = Annotated[
    Path | None, typer.Option("--page", metavar="FILE.html", help="Write one self-contained page to open in a browser.")
]


def measures(
    case: CaseArgument,
    *,
    option: Option = None,
    tariff: Tariffs = None,
    page: Page = None,
    no_range: NoRange = False,
    json: Json = False,
) -> None:
    """Rank what could be done to a home next.

    Simulates every combination of the measures that the case lists (the usual free ones where it lists none), and
    prints them in the order of what each adds for its money, free ones first, with the best set for three budgets.
    """
    require_targets(("--page", page, (".html", ".htm")))
    if page is not None:
        needs("matplotlib", "--page")
    home = open_case(case, option)
    announce_compiling()
    with progress(1 + (not no_range)) as begin:
        from simkit.decide.measures.ladder import rank_measures
        from simkit.decide.measures.usual import usual_measures
        from simkit.tariff.tariff import read_tariff

        listed = home.money.measure if home.money else None
        others = [read_tariff(path) for path in tariff or []]
        begin("every combination")
        ladder = rank_measures(home, listed or usual_measures(home, tariffs=others), tariffs=others)
        ranges = None
        if not no_range:
            begin("likely ranges")
            ranges = ladder.rung_ranges()
    if page is not None:
        from simkit.reporting.results.ladder_page import ladder_page
        from simkit.schema.toml_file import write_whole

        write_whole(page, ladder_page(ladder, ranges, home).encode())
        typer.echo(f"Written: {page}", err=True)
    from simkit.reporting.results.measure_ladder import ladder_object, ladder_view

    if json:
        from simkit.reporting.json import as_json

        typer.echo(as_json(ladder_object(ladder, ranges, case_name=home.name)))
        return
    from simkit.reporting.terminal import console

    console().print(ladder_view(ladder, ranges, title=home.name))
