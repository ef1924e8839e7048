"""A fitted home's year in; what it will cost, whether the design was right, and what to measure next, out."""

from __future__ import annotations

from calendar import month_abbr, month_name

import numpy as np
import pandas as pd

from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.cautions import COLD_NIGHT, cautions_for
from simkit.answers.meter.fit import (
    fit_data,
    fit_notes,
    fit_pictures,
    held_out_sentences,
    held_out_tables,
    loss_sentence,
    unknowns_table,
)
from simkit.answers.meter.measured import Measured, between, strained_sentences, upper
from simkit.answers.wording import RANGE_MEANS, provenance_of, wrong_first
from simkit.meter.fitting.narrowing import COOL_DOWN, Step, what_next
from simkit.meter.fitting.projection import Projection
from simkit.notation import Notation
from simkit.uncertainty.ranges import Range
from simkit.year.simulate import simulate
from simkit.year.year import Year

WORTH_IT = 0.95  # own: what leaves more of a width than this is not worth a meter


def projection_answer(projection: Projection, *, files: tuple[str, ...] = ()) -> Answer:
    """Say what a year of a fitted home costs.

    Parameters
    ----------
    projection
        The fitted home over many weather years.
    files
        Names of the files that it was fitted to.
    """
    from simkit import figures as drawn

    fit, months = projection.fit, _months(projection)
    notation, year, steps = fit.case.notation, simulate(fit.fitted_case()), what_next(projection)
    fan = Picture(
        "year", lambda figure: drawn.fan_by_month(projection, figure=figure), drawn.fan_by_month_sentence(projection)
    )
    design = _design(year, projection, notation)
    cost = projection.year_cost
    night = (COLD_NIGHT,) if any(step.what == COOL_DOWN for step in steps) else ()
    return Answer(
        fit.case.name, "What will a year of the fitted home cost?",
        (*held_out_sentences(fit, notation), *projection_sentences(projection, year, notation),
         *strained_sentences(fit, notation), *design, _next(steps, notation), RANGE_MEANS), notation,
        tables=(months, *held_out_tables(fit, notation), unknowns_table(fit), _steps(steps)),
        pictures=(fan, *fit_pictures(fit, None)),
        cautions=(*night, *cautions_for([year])), notes=fit_notes(fit), provenance=provenance_of(fit),
        data=fit_data(fit, files) | {
            "year_cost": [cost.low, cost.middle, cost.high], "year_parts": list(projection.parts),
            "currency": fit.case.currency,
            "months": projection.months.reset_index().to_dict("list"), "design": design,
            "next": [[step.what, step.width_now, step.width_then] for step in steps],
        },
    )  # fmt: skip


def projection_sentences(projection: Projection, year: Year, notation: Notation) -> list[str]:
    """What the year costs and what its width comes from."""
    cost, kwh, fuel = projection.year_cost, projection.year_kwh, projection.fit.case.fuel
    bought = f"{between(kwh.low, kwh.high, notation)} kWh of electricity"
    if projection.burns and fuel is not None:
        burnt = projection.year_fuel_kwh
        bought += f" and {between(burnt.low, burnt.high, notation)} kWh of {fuel.kind}"
    home, weather = projection.parts
    said = f"a year will cost about {notation.estimate(cost.middle, cost)} (likely {notation.span(cost)})"
    return [
        wrong_first(year, f"{said} at today's prices, for {bought}"),
        f"What isn't known of the home is worth {notation.estimate(home, cost)} of that either way, the weather "
        f"{notation.estimate(weather, cost)}.",
    ]


def _design(year: Year, projection: Projection, notation: Notation) -> list[str]:
    """Whether the home is what it was taken to be, and warm."""
    said = [
        loss_sentence(projection.fit, notation),
        f"With that loss the home is {year.comfort.worded(notation.number)} in a usual year.",
    ]
    if year.sizing is not None:
        said.append(year.sizing.worded(notation.number))
    spf = Range.of(projection.spf_h4)
    if np.isfinite(spf.middle):
        said.append(
            f"Over the year the heat pump gives {between(spf.low, spf.high, notation)} units of heat for one of "
            "electricity, heaters, circulation pumps and standby counted (SPF H4)."
        )
    return said


def _next(steps: tuple[Step, ...], notation: Notation) -> str:
    """The one measurement that would tell most: of the year, or else of the heat loss."""
    best, loss = steps[0], min(steps, key=lambda step: step.loss_then)
    if best.width_then < WORTH_IT * best.width_now:
        now, then = (notation.money(width) for width in (best.width_now, best.width_then))
        return f"To know the year better: {best.what}; it narrows the range of {now} to {then}."
    said = "No further measurement would narrow the year's range much: most of it is the weather"
    if loss.loss_then > WORTH_IT * loss.loss_now:
        return f"{said}."
    return (
        f"{said}. For the heat loss itself, best is {loss.what}: it would tell it to {notation.share(loss.loss_then)} "
        f"instead of {notation.share(loss.loss_now)}."
    )


def _months(projection: Projection) -> Table:
    frame = projection.months.rename(columns=lambda name: str(name).removesuffix("_middle"))
    frame.index = pd.Index([month_abbr[int(month)] for month in frame.index], name="month")
    energies = [Measured(name, f"{name}_low", f"{name}_high") for name in ("import_kwh", "fuel_kwh") if name in frame]
    worst = int(projection.months["month_cost_middle"].idxmax())
    return Table(
        "months", "Month by month", frame, (*energies, Column("month_cost", "month_cost_low", "month_cost_high")),
        f"The most expensive month is likely {month_name[worst]}.", first="Month",
    )  # fmt: skip


def _steps(steps: tuple[Step, ...]) -> Table:
    rows = {
        upper(step.what): {
            "width_now_cost": step.width_now, "width_then_cost": step.width_then, "loss_now_share": step.loss_now,
            "loss_then_share": step.loss_then, "tells_words": "more" if step.tells else "next to nothing",
        }
        for step in steps
    }  # fmt: skip
    table = pd.DataFrame.from_dict(rows, orient="index").rename_axis("measurement")
    return Table("next", "What to measure next, what tells most first", table, first="Measurement")
