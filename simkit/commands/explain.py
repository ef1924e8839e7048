"""`simkit explain`: a case and a figure in, the chain from the inputs to that figure out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from simkit.commands.case_file import CaseArgument, open_case
from simkit.commands.outputs import Csv, Force, Json, Page, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress

if TYPE_CHECKING:
    from collections.abc import Sequence

    from simkit.answers.answer import Answer
    from simkit.answers.report.report import Content

What = Annotated[
    str,
    typer.Argument(
        metavar="WHAT",
        help='A figure by its name (bill.total, spf.h4, payback), a month, a time ("2025-01-08 07:30"), or what it '
        "reads (412).",
    ),
]


def explain(  # noqa: PLR0917 - a command's options are its parameters
    case: CaseArgument, what: What, page: Page = None, csv: Csv = None, force: Force = False, json: Json = False,
) -> None:  # fmt: skip
    """Say why a figure is what it is.

    Prints the chain from the inputs through the laws to the figure, with the numbers put in, and the inputs that move
    it most. Where several figures may be meant, it asks which.
    """
    require_targets(case, page=page, csv=csv, force=force)
    home = open_case(case)
    announce_compiling()
    with progress(2) as begin:
        begin("the years")
        from simkit.reporting.report.kept import kept_answer

        def make(contents: Sequence[Content]) -> Answer:
            from simkit.explaining.explain import explain as explain_figure

            found = explain_figure(home, what, contents=contents)
            begin("what it comes to")
            return found.answer()

        answer = kept_answer(home, f"explain {what}", make)
    show_answer(answer, json=json, page=page, csv=csv, force=force)
