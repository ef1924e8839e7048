"""`simkit compare`: a case with its options in, what each costs against the baseline out."""

from __future__ import annotations

from simkit.commands.case_file import CaseArgument, NoRange, open_case
from simkit.commands.outputs import Csv, Figure, Force, Json, Page, require_targets, show_answer
from simkit.commands.progress import announce_compiling, progress


def compare(  # noqa: PLR0917 - a command's options are its parameters
    case: CaseArgument, page: Page = None, figure: Figure = None, csv: Csv = None, no_range: NoRange = False,
    force: Force = False,
    json: Json = False,
) -> None:  # fmt: skip
    """Set the options of a case side by side.

    Prints the answer, then what each option costs a year with its likely range, against the baseline of the case.
    """
    require_targets(case, page=page, figure=figure, csv=csv, force=force)
    home = open_case(case)
    announce_compiling()
    ranged = not no_range
    with progress((1 + ranged) * len(home.options()) + 1) as begin:
        from simkit.answers.comparison import comparison_answer
        from simkit.year.compare import compare as compare_options

        made = compare_options(home, before_each=begin)
        if ranged:
            for year in made.years:
                begin(f"likely range of {year.case.name}")
                year.range()
        begin("what it comes to")
        answer = comparison_answer(made, home.name, ranged=ranged)
    show_answer(answer, json=json, page=page, figure=figure, csv=csv, force=force)
