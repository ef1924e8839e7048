"""`simkit compare`: a case with its options in, one table or JSON object out, a page or a figure where asked."""

from __future__ import annotations

from simkit.commands.case_file import CaseArgument, NoRange, open_case
from simkit.commands.outputs import Figure, Json, Page, require_drawing, show, write
from simkit.commands.progress import announce_compiling, progress


def compare(
    case: CaseArgument, page: Page = None, figure: Figure = None, no_range: NoRange = False, json: Json = False
) -> None:
    """Set the options of a case side by side.

    Prints the answer, then what each option costs a year with its likely range, against the baseline of the case.
    """
    require_drawing(page=page, figure=figure)
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
        html, picture = "", b""
        if page is not None:
            from simkit.reporting.page import comparison_page

            begin("page")
            html = comparison_page(made, home, ranged=ranged)
        if figure is not None:
            from simkit.reporting.pictures import cost_picture

            begin("figure")
            picture = cost_picture(made, kind=figure.suffix, ranged=ranged)
    from simkit.reporting.json import comparison_object
    from simkit.reporting.tables import comparison_view
    from simkit.reporting.terminal import console

    show(
        lambda: comparison_object(made, case_name=home.name, ranged=ranged),
        lambda: comparison_view(made, title=home.name, width=console().width, ranged=ranged),
        json=json,
    )
    write(page, lambda: html)
    write(figure, lambda: picture)
