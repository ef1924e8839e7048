"""`simkit worth`: a case with ledgers in; what its options are worth over the years against an alternative, out."""

from __future__ import annotations

from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, NoRange, open_case
from simkit.commands.outputs import Figure, Json, Page, needs, require_drawing, show, write
from simkit.commands.progress import announce_compiling, progress

Against = Annotated[
    str | None,
    typer.Option("--against", metavar="NAME", help="The alternative; the baseline of the case when left out."),
]
Offer = Annotated[
    list[str] | None, typer.Option("--offer", metavar="NAME", help="Given twice: the two offers to set side by side.")
]
Years = Annotated[bool, typer.Option("--years", help="Print ledger and yearly table of every option too.")]
Shares = Annotated[
    bool, typer.Option("--shares", help="Work out which share of the spread each input causes, all of them moving.")
]
Samples = Annotated[int, typer.Option("--samples", min=16, max=65_536, help="Sampled home-years of each option.")]


def worth(
    case: CaseArgument,
    *,
    against: Against = None,
    offer: Offer = None,
    samples: Samples = 256,
    page: Page = None,
    figure: Figure = None,
    years: Years = False,
    shares: Shares = False,
    no_range: NoRange = False,
    json: Json = False,
) -> None:
    """Weigh the options of a case over the years.

    Prints which offer is cheaper over its life and by how much a year, payback and gain of each option against a named
    alternative, what was worth it and what comes next, the inputs that decide, and where it tips.
    """
    require_drawing(page=page, figure=figure)
    if shares:
        needs("SALib", "--shares")
    home = open_case(case)
    announce_compiling()
    sampled = 0 if no_range else samples * len(home.options())
    with progress(3 + sampled) as begin:
        from simkit.commands.weighing import weighed

        found = weighed(home, against=against, offers=offer or [], samples=0 if no_range else samples, begin=begin,
                        shares=shares)  # fmt: skip
    if figure is not None:
        from simkit.reporting.worth.picture import weighing_picture

        write(figure, lambda: weighing_picture(found, kind=figure.suffix))
    if page is not None:
        from simkit.reporting.worth.page import weighing_page

        write(page, lambda: weighing_page(found, home))
    from simkit.reporting.worth.json import weighing_object
    from simkit.reporting.worth.terminal import weighing_view

    show(
        lambda: weighing_object(found, case_name=home.name),
        lambda: weighing_view(found, title=home.name, years=years),
        json=json,
    )
