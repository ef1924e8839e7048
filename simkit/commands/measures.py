"""`simkit measures`: a case and what could be done to its home in; a ladder of it, and what each budget buys, out."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, NoRange, Option, open_case
from simkit.commands.outputs import Csv, Figure, Force, Json, Page, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress

Tariffs = Annotated[
    list[Path] | None,
    typer.Option("--tariff", metavar="FILE", help="A further tariff at which every set is charged; may be repeated."),
]
Budgets = Annotated[
    list[float] | None,
    typer.Option("--budget", metavar="AMOUNT", min=0.0, help="What may be spent; may be repeated. 500, 2000 and 8000."),
]


def measures(  # noqa: PLR0917 - typer hands them over by name
    case: CaseArgument, option: Option = None, tariff: Tariffs = None, budget: Budgets = None, page: Page = None,
    figure: Figure = None, csv: Csv = None, no_range: NoRange = False, force: Force = False, json: Json = False,
) -> None:  # fmt: skip
    """Rank what could be done to a home next.

    Simulates every combination of the measures that the case lists (the usual free ones where it lists none), and
    prints them in the order of what each adds for its money, free ones first, with the best set for each budget.
    """
    require_targets(case, *(tariff or []), page=page, figure=figure, csv=csv, force=force)
    home = open_case(case, option)
    announce_compiling()
    with progress(2) as begin:
        from simkit.decide.measures.ladder import BUDGETS, rank_measures
        from simkit.decide.measures.usual import usual_measures
        from simkit.tariff.tariff import read_tariff

        listed = home.money.measure if home.money else None
        others = [read_tariff(path) for path in tariff or []]
        begin("every combination")
        ladder = rank_measures(home, listed or usual_measures(home, tariffs=others), tariffs=others)
        begin("what it comes to")
        answer = ladder.answer(title=home.name, budgets=budget or BUDGETS, ranged=not no_range)
    show_answer(answer, json=json, page=page, figure=figure, csv=csv, force=force)
