"""A home on hourly prices under controls that know more or less of them in; what knowing them is worth out."""

from __future__ import annotations

from typing import Any

import pandas as pd

from simkit.answers.answer import Answer, Table
from simkit.answers.cautions import cautions_for
from simkit.answers.wording import ESTIMATE, provenance_of
from simkit.decide.tariff.day_ahead import AS_IT_IS, BY_CLOCK, BY_TODAY, BY_YESTERDAY, DayAhead
from simkit.notation import Notation


def day_ahead_answer(found: DayAhead) -> Answer:
    """Say what knowing the hours' prices is worth to a home."""
    year = found.years[AS_IT_IS].year
    notation = year.case.notation
    said = ahead_sentence(found, notation)
    return Answer(
        year.case.name, "What does knowing the hours' prices save?", (f"{said[0].upper()}{said[1:]}", ESTIMATE),
        notation, tables=(controls_table(year.case.tariff.name, found),), notes=year.notes,
        cautions=cautions_for([one.year for one in found.years.values()], names=list(found.years)),
        provenance=provenance_of(year), data=ahead_data(found, notation),
    )  # fmt: skip


def ahead_sentence(found: DayAhead, notation: Notation) -> str:
    """What a real control reaches of what perfect knowledge of each day's prices would save."""
    costs = found.costs
    whole = costs[AS_IT_IS] - costs[BY_TODAY]
    if whole < 1.0:
        return f"following the hours' prices saves nothing that counts here: {notation.money(whole)} a year."
    reached, fixed = ((costs[AS_IT_IS] - costs[name]) / whole for name in (BY_YESTERDAY, BY_CLOCK))
    return (
        f"knowing each day's prices saves {notation.money(whole)} a year; yesterday's prices reach "
        f"{notation.share(reached)} of that, fixed hours by the clock {notation.share(fixed)}."
    )


def controls_table(name: str, found: DayAhead) -> Table:
    """What a year costs by control, the one that knows least first."""
    frame = pd.DataFrame(
        {
            "year_cost": found.costs.values(),
            "moved_words": ["; ".join(one.moved) or "nothing" for one in found.years.values()],
        },
        index=pd.Index(list(found.costs), name="control"),
    )
    return Table("hourly_prices", f"{name}, by what the control knows", frame, first="Control")


def ahead_data(found: DayAhead, notation: Notation) -> dict[str, Any]:
    """The object of one tariff with hourly prices."""
    return {"costs": found.costs, "not_knowing": found.not_knowing, "answer": ahead_sentence(found, notation)}
