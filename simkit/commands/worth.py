"""`simkit worth`: a case with ledgers in; what its options are worth over the years against an alternative, out."""

from __future__ import annotations

from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, NoRange, open_case
from simkit.commands.outputs import Csv, Figure, Force, Json, Page, needs, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress

Against = Annotated[
    str | None,
    typer.Option("--against", metavar="NAME", help="The alternative; the baseline of the case when left out."),
]
Offer = Annotated[
    list[str] | None, typer.Option("--offer", metavar="NAME", help="Given twice: the two offers to set side by side.")
]
Years = Annotated[bool, typer.Option("--years", help="Show ledger and yearly table of every option too.")]
Shares = Annotated[
    bool, typer.Option("--shares", help="Work out which share of the spread each input causes, all of them moving.")
]
Samples = Annotated[int, typer.Option("--samples", min=16, max=65_536, help="Sampled home-years of each option.")]


def worth(  # noqa: PLR0917 - typer hands them over by name
    case: CaseArgument, against: Against = None, offer: Offer = None, samples: Samples = 128, page: Page = None,
    figure: Figure = None, csv: Csv = None, years: Years = False, shares: Shares = False, no_range: NoRange = False,
    force: Force = False,
    json: Json = False,
) -> None:  # fmt: skip
    """Weigh the options of a case over the years.

    Prints what each option costs against keeping what is there, at equal comfort and at the old one, and when it pays
    back; which offer is cheaper over its life; what comes next, the inputs that decide, and where it tips.
    """
    require_targets(case, page=page, figure=figure, csv=csv, force=force)
    if shares:
        needs("SALib", "--shares")
    home = open_case(case)
    announce_compiling()
    sampled = 0 if no_range else samples
    with progress(4 + sampled * len(home.options())) as begin:
        from simkit.finance.worth import worth as weighed

        begin("options")
        found = weighed(home, against=against)
        begin("what it comes to")
        answer = found.answer(
            title=home.name, samples=sampled, offers=offer or (), shares=shares, years=years, begin=begin
        )
    show_answer(answer, json=json, page=page, figure=figure, csv=csv, force=force)
