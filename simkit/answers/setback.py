"""Steady, set back and pre-heat under three recoveries in; why people disagree about set-backs, out."""

from __future__ import annotations

import pandas as pd

from simkit.answers.answer import Answer, Table
from simkit.answers.cautions import COLD_NIGHT, LAST
from simkit.answers.wording import ESTIMATE, provenance_of
from simkit.decide.schedule.setback import SetBack
from simkit.notation import Notation
from simkit.physics.constants import SAFE_ROOM_C
from simkit.year.comfort import rule

SHOWN = ["comfort", "year_cost", "space_heat_kwh", "heating_kwh", "mean_room_c", "min_room_c"]


def setback_answer(found: SetBack) -> Answer:
    """Say what a set-back does, under every way of driving a cool home back up."""
    notation = found.case.notation
    cold = bool((found.rows["min_room_c"] < SAFE_ROOM_C).any())
    return Answer(
        found.case.name, "Does it pay to turn the heating down at night?",
        (*setback_sentences(found, notation), ESTIMATE), notation, tables=(setback_table(found, notation),),
        cautions=(COLD_NIGHT, LAST) if cold else (LAST,), provenance=provenance_of(found),
        data={"case": found.case.name, "currency": found.case.currency,
              "verdict": found.table().reset_index().to_dict("records")},
    )  # fmt: skip


def setback_sentences(found: SetBack, notation: Notation) -> list[str]:
    """What a set-back does under the gentlest and under full recovery, in money and warmth, and why both hold."""
    parts, apart = [], {}
    for recovery in ("gentle", "full"):
        apart[recovery] = float(
            found.rows.at[("set back", recovery), "cost"] - found.rows.at[("steady", recovery), "cost"]
        )
        comfort = found.comforts["set back", recovery].worded(notation.number)
        how = "slowly" if recovery == "gentle" else "with much hotter water"
        parts.append(
            f"Warmed up again {how}, the home is {comfort}; it costs {notation.more_or_less(apart[recovery])} a year "
            "than steady heating."
        )
    if apart["full"] >= 0:
        kept = "pays more than was saved"
    else:
        kept = "gives a part of the saving back" if apart["full"] > apart["gentle"] else "saves too"
    slowly = f"{parts[0][0].lower()}{parts[0][1:]}"
    turned = f"Turning the heating down by 3 K outside the hours you need: {slowly} {parts[1]}"
    if not found.comforts["steady", "full"].held:
        lacks = found.comforts["steady", "full"].lacking(notation.number)
        return [f"{turned} None of that is a saving here, since steady heating itself lacks comfort: {lacks}."]
    said = [
        turned,
        f"That is why people disagree: whoever lets the home come back slowly pays less and is cooler for it, whoever "
        f"drives it back with hotter water {kept}.",
    ]
    if (found.rows["min_room_c"] < SAFE_ROOM_C).any():
        said.append(f"What falls under {SAFE_ROOM_C:g} °C is shown and not advised.")
    return said


def setback_table(found: SetBack, notation: Notation) -> Table:
    """One row by strategy and recovery, cost beside comfort."""
    frame = found.rows.rename(columns={"cost": "year_cost", "heat_pump_kwh": "heating_kwh"})
    frame["comfort"] = [found.comforts[row].worded(notation.number) for row in frame.index]
    frame.index = pd.Index([f"{name}, {recovery} recovery" for name, recovery in frame.index], name="strategy")
    note = (
        f"Steady: {notation.number(0.5, 1)} K above what is needed, day and night. Set back: 3 K lower outside the "
        f"hours of need. Pre-heat: 2 K lower, and {notation.number(1.5, 1)} K warmer in the cheapest four hours. "
        "Recovery: how much hotter than the curve the water may be while a cool home is warmed up, 0, 5 or 20 K. "
        f"{rule(notation.number)}"
    )
    return Table("verdict", "Steady, set back or pre-heat", frame[SHOWN], note=note, first="Strategy")
