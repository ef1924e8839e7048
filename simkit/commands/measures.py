"""`simkit measures`: a case and what could be done to its home in; a ladder of it, and what each budget buys, out."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, NoRange, Option, open_case
from simkit.commands.outputs import Json, Page, require_drawing, show, write
from simkit.commands.progress import announce_compiling, progress

Tariffs = Annotated[
    list[Path] | None,
    typer.Option("--tariff", metavar="FILE", help="A further tariff at which every set is charged; may be repeated."),
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
    require_drawing(page=page)
    home = open_case(case, option)
    announce_compiling()
    with progress(1 + (not no_range)) as begin:
        from simkit.decide.measures.ladder import rank_measures
        from simkit.decide.measures.rung_ranges import rung_ranges
        from simkit.decide.measures.usual import usual_measures
        from simkit.tariff.tariff import read_tariff

        listed = home.money.measure if home.money else None
        others = [read_tariff(path) for path in tariff or []]
        begin("every combination")
        ladder = rank_measures(home, listed or usual_measures(home, tariffs=others), tariffs=others)
        ranges = None
        if not no_range:
            begin("likely ranges")
            ranges = rung_ranges(ladder)
    from simkit.reporting.results.measure_ladder import ladder_object, ladder_view

    if page is not None:
        from simkit.reporting.results.ladder_page import ladder_page

        write(page, lambda: ladder_page(ladder, ranges, home))
    show(
        lambda: ladder_object(ladder, ranges, case_name=home.name),
        lambda: ladder_view(ladder, ranges, title=home.name),
        json=json,
    )
