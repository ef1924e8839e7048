"""`simkit project`: a case and files of readings in; the fitted home's year with its range, and what next, out."""

from __future__ import annotations

from simkit.commands.case_file import CaseArgument
from simkit.commands.fit import fitted
from simkit.commands.meter_files import BaseC, DegreeDays, Draws, Files, Mapping, Option, PerUnit
from simkit.commands.outputs import Csv, Figure, Force, Json, Page, require_targets, show_answer
from simkit.commands.progress import progress


def project(
    case: CaseArgument,
    files: Files,
    *,
    option: Option = None,
    mapping: Mapping = None,
    draws: Draws = 20_000,
    page: Page = None,
    figure: Figure = None,
    csv: Csv = None,
    kwh_per_unit: PerUnit = None,
    degree_days: DegreeDays = None,
    base_c: BaseC = None,
    force: Force = False,
    json: Json = False,
) -> None:
    """Project a fitted home over a year.

    What the year costs with its likely range, month by month, whether the design was right, the fitted home, and what
    to measure next.
    """
    require_targets(case, *files, mapping, page=page, figure=figure, csv=csv, force=force)
    found, files_read = fitted(
        case, files, option=option, mapping=mapping, kwh_per_unit=kwh_per_unit, draws=draws, degree_days=degree_days,
        base_c=base_c,
    )  # fmt: skip
    with progress(2) as begin:
        from simkit.answers.meter.projection import projection_answer
        from simkit.meter.fitting.projection import project as project_home

        begin("weather years")
        made = project_home(found)
        begin("what it comes to")
        answer = projection_answer(made, files=tuple(one.report.file for one in files_read))
    show_answer(answer, json=json, page=page, figure=figure, csv=csv, force=force)
