"""`simkit worth`: a case with ledgers in; what its options are worth over the years against an alternative, out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from simkit.commands.case_file import CaseArgument, Json, NoRange, open_case
from simkit.commands.outputs import needs, require_targets
from simkit.commands.progress import announce_compiling, progress

if TYPE_CHECKING:
    from simkit.case.build import Case
    from simkit.reporting.worth.terminal import Weighed

Against = Annotated[
    str | None,
    typer.Option("--against", metavar="NAME", help="The alternative; the baseline of the case when left out."),
]
Offer = Annotated[
    list[str] | None, typer.Option("--offer", metavar="NAME", help="Given twice: the two offers to set side by side.")
]
Figure = Annotated[
    Path | None, typer.Option("--figure", metavar="FILE.png", help="Write the picture of the offers (png, svg or pdf).")
]
Page = Annotated[
    Path | None, typer.Option("--page", metavar="FILE.html", help="Write one self-contained page to open in a browser.")
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
    require_targets(("--page", page, (".html", ".htm")), ("--figure", figure, (".png", ".svg", ".pdf")))
    for path, what in ((page, "--page"), (figure, "--figure")):
        if path is not None:
            needs("matplotlib", what)
    if shares:
        needs("SALib", "--shares")
    home = open_case(case)
    announce_compiling()
    sampled = 0 if no_range else samples * len(home.options())
    with progress(3 + sampled) as begin:
        from simkit.commands.weighing import weighed

        found = weighed(home, against=against, offers=offer or [], samples=0 if no_range else samples, begin=begin,
                        shares=shares)  # fmt: skip
    _write_files(found, home, page=page, figure=figure)
    if json:
        from simkit.reporting.json import as_json
        from simkit.reporting.worth.json import weighing_object

        typer.echo(as_json(weighing_object(found, case_name=home.name)))
        return
    from simkit.reporting.terminal import console
    from simkit.reporting.worth.terminal import weighing_view

    console().print(weighing_view(found, title=home.name))
    if years:
        from simkit.reporting.worth.cash_years import cash_years_view

        console().print(cash_years_view(found.worth))


def _write_files(found: Weighed, home: Case, *, page: Path | None, figure: Path | None) -> None:
    """Write what was asked for, whole or not at all."""
    from simkit.schema.toml_file import write_whole

    if figure is not None:
        from simkit.reporting.worth.picture import weighing_picture

        write_whole(figure, weighing_picture(found, kind=figure.suffix[1:].lower()))
        typer.echo(f"Written: {figure}", err=True)
    if page is not None:
        from simkit.reporting.worth.page import weighing_page

        write_whole(page, weighing_page(found, home).encode())
        typer.echo(f"Written: {page}", err=True)
