"""`simkit share`: a case in, a folder with the same home without private data out."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, open_case
from simkit.commands.outputs import Json, show_answer
from simkit.commands.progress import announce_compiling, progress

To = Annotated[Path, typer.Option("--output", "-o", metavar="DIR", help="Folder to make; it must not be there yet.")]


def share(case: CaseArgument, output: To, json: Json = False) -> None:
    """Make a copy of a home without what tells whose it is.

    Names, notes, days and the exact place are taken out or made less exact, in the case and in every file that it
    names. Prints what was changed, and how far the results moved.
    """
    home = open_case(case)
    announce_compiling()
    with progress(1) as begin:
        begin("the years before and after")
        from simkit.sharing.share import share as share_case

        answer = share_case(home, output).answer()
    show_answer(answer, json=json)
