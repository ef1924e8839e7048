"""`simkit offers`: a case with two offers in; what each holds, what is promised, and what to ask, out."""

from __future__ import annotations

from simkit.commands.case_file import CaseArgument, open_case
from simkit.commands.outputs import Csv, Force, Json, Page, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress
from simkit.commands.worth import Offer


def offers(  # noqa: PLR0917 - a command's options are its parameters
    case: CaseArgument, offer: Offer = None, page: Page = None, csv: Csv = None, force: Force = False,
    json: Json = False,
) -> None:  # fmt: skip
    """Set two installers' offers side by side.

    Prints the ledgers line by line with what one holds and the other leaves out, flow, emitters and sizes, promised
    against simulated performance at one boundary, and what to ask each of them.
    """
    require_targets(case, page=page, csv=csv, force=force)
    home = open_case(case)
    announce_compiling()
    with progress(1) as begin:
        begin("both offers")
        from simkit.answers.money.offers import offers_answer
        from simkit.finance.beside import offers as beside

        answer = offers_answer(beside(home, tuple(offer or ())), home.name)
    show_answer(answer, json=json, page=page, csv=csv, force=force)
