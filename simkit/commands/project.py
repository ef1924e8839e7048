"""`simkit project`: a case and files of readings in; the fitted home's year with its range, and what next, out."""

from __future__ import annotations

from simkit.commands.case_file import CaseArgument
from simkit.commands.fit import fit_object, fitted
from simkit.commands.meter_files import BaseC, DegreeDays, Draws, Files, Mapping, Option, PerUnit
from simkit.commands.outputs import Json, Page, require_drawing, show, write
from simkit.commands.progress import progress


def project(
    case: CaseArgument,
    files: Files,
    *,
    option: Option = None,
    mapping: Mapping = None,
    draws: Draws = 20_000,
    page: Page = None,
    kwh_per_unit: PerUnit = None,
    degree_days: DegreeDays = None,
    base_c: BaseC = None,
    json: Json = False,
) -> None:
    """Project a fitted home over a year.

    One page: the fitted home, whether the design was right, what the year costs with its likely range, month by month,
    and what to measure next.
    """
    require_drawing(page=page)
    found, readings = fitted(
        case, files, option=option, mapping=mapping, kwh_per_unit=kwh_per_unit, draws=draws, degree_days=degree_days,
        base_c=base_c,
    )  # fmt: skip
    with progress(3) as begin:
        begin("weather years")
        from simkit.meter.account.fitted_page import answer_of

        made = answer_of(found)
    from simkit.commands.meter_tables import month_grid
    from simkit.reporting.terminal import sections

    cost = made.projection.year_cost
    show(
        lambda: fit_object(found, readings) | {
            "year_cost": [cost.low, cost.middle, cost.high], "currency": found.case.currency,
            "months": made.projection.months.reset_index().to_dict("list"), "design": list(made.design),
            "next": [[s.what, s.width_now, s.width_then] for s in made.steps],
        },
        lambda: sections(made.sections(), month_grid(made.projection)),
        json=json,
    )  # fmt: skip
    write(page, made.page)
