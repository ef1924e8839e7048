"""A schedule tried on many tariffs in; which tariff then costs least, and what rooms and hot water say to it, out."""

from __future__ import annotations

import pandas as pd

from simkit import figures
from simkit.answers.answer import Answer, Column, Picture, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.wording import ALL_WELL, ESTIMATE, comfort_is, provenance_of
from simkit.case.case import Case
from simkit.figures.style import blank
from simkit.figures.tariff.moving_bars import WIDTH, TariffArt, figure_height
from simkit.notation import named
from simkit.year.comfort import YearComfort, rule
from simkit.year.year import Year


def trial_answer(case: Case, costs: pd.DataFrame, comfort: YearComfort, year: Year | None = None) -> Answer:
    """Say what a schedule costs on each tariff.

    Parameters
    ----------
    case
        The home as it is, on its own tariff.
    costs
        One row by tariff, the cheapest first: `cost_as_is`, `cost_shifted` [currency], `cheap_share`.
    comfort
        Rooms and hot water with the schedule.
    year
        The home with the schedule on the cheapest tariff, for cautions and provenance; they are left out without it.
    """
    notation, own = case.notation, case.tariff.name
    best, now = str(costs.index[0]), float(costs.at[own, "cost_as_is"])
    cost, more = float(costs.at[best, "cost_shifted"]), float(costs.at[best, "cost_shifted"]) - now
    wrong, least = comfort_is(comfort, notation), "is the cheapest" if comfort.held else "costs least"
    lead = f"With these settings {wrong}. As it is, " if wrong else "With these settings "
    than, amount = "than now" if round(more) else "as now", notation.money(cost)
    if len(costs) == 1:
        told = f"a year on {named(own)} costs about {amount}, {notation.more_or_less(more)} {than}"
    else:
        told = f"{named(best)} {least} of {len(costs)} tariffs: about {amount} a year, "
        told += f"{notation.more_or_less(more)} {than} on {named(own)}"
    said = f"{lead}{told}{'' if wrong else ALL_WELL}."
    frame = pd.DataFrame(
        {
            "year_cost": costs["cost_shifted"], "as_is_cost": costs["cost_as_is"],
            "more_cost": costs["cost_shifted"] - now, "cheap_share": costs["cheap_share"],
        }
    )  # fmt: skip
    frame.index = pd.Index([f"{name} (yours)" if name == own else str(name) for name in costs.index], name="tariff")
    shown = (
        Column("year_cost"), Column("as_is_cost"),
        Column("more_cost", title="Against your tariff", as_difference=True), Column("cheap_share"),
    )  # fmt: skip
    picture = Picture(
        "tariffs",
        lambda figure: TariffArt(blank(WIDTH, figure_height(len(costs)), figure), costs, notation=notation, own=own),
        figures.tariff_bars_sentence(costs, notation=notation, own=own),
    )
    return Answer(
        case.name, "What does this schedule cost on each tariff?", (said, ESTIMATE), notation,
        tables=(Table("tariffs", "The tariffs", frame, shown, rule(notation.number), first="Tariff"),),
        pictures=(picture,),
        cautions=cautions_for([year], {"flow"}) if year is not None else (),
        provenance=provenance_of(year) if year is not None else {},
    )  # fmt: skip
