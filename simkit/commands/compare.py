"""`simkit compare`: a case with its options in, one table or JSON object out, a page or a figure where asked."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from simkit.commands.case_file import CaseArgument, Json, NoRange, open_case
from simkit.commands.outputs import needs, require_targets
from simkit.commands.progress import announce_compiling, progress

Page = Annotated[
    Path | None, typer.Option("--page", metavar="FILE.html", help="Write one self-contained page to open in a browser.")
]
Figure = Annotated[
    Path | None, typer.Option("--figure", metavar="FILE.png", help="Write the picture of the costs (png, svg or pdf).")
]


def compare(
    case: CaseArgument, page: Page = None, figure: Figure = None, no_range: NoRange = False, json: Json = False
) -> None:
    """Set the options of a case side by side.

    Prints the answer, then what each option costs a year with its likely range, against the baseline of the case.
    """
    require_targets(("--page", page, (".html", ".htm")), ("--figure", figure, (".png", ".svg", ".pdf")))
    for path, what in ((page, "--page"), (figure, "--figure")):
        if path is not None:
            needs("matplotlib", what)
    home = open_case(case)
    announce_compiling()
    ranged = not no_range
    with progress((1 + ranged) * len(home.options()) + (page is not None) + (figure is not None)) as begin:
        from simkit.year.compare import compare as compare_options

        made = compare_options(home, before_each=begin)
        if ranged:
            for year in made.years:
                begin(f"likely range of {year.case.name}")
                year.range()
        files: list[tuple[Path, bytes]] = []
        if page is not None:
            from simkit.reporting.page import comparison_page

            begin("page")
            files.append((page, comparison_page(made, home, ranged=ranged).encode()))
        if figure is not None:
            from simkit.reporting.pictures import cost_picture

            begin("figure")
            files.append((figure, cost_picture(made, kind=figure.suffix[1:].lower(), ranged=ranged)))
    if json:
        from simkit.reporting.json import as_json, comparison_object

        typer.echo(as_json(comparison_object(made, case_name=home.name, ranged=ranged)))
    else:
        from simkit.reporting.tables import comparison_view
        from simkit.reporting.terminal import console

        screen = console()
        screen.print(comparison_view(made, title=home.name, width=screen.width, ranged=ranged))
    _write(files)


def _write(files: list[tuple[Path, bytes]]) -> None:
    from simkit.schema.toml_file import write_whole

    for path, content in files:
        write_whole(path, content)
        typer.echo(f"Written: {path}", err=True)
