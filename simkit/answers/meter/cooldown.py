"""One night without heating in; how fast the home loses its heat, and whether that is what was taken, out."""

from __future__ import annotations

import numpy as np
import pandas as pd

from simkit.answers.answer import Answer, Column, Table
from simkit.answers.cautions import COLD_NIGHT, SAFE_C, cautions_for
from simkit.answers.meter.measured import Measured, between, figures
from simkit.answers.wording import provenance_of
from simkit.case.case import Case
from simkit.meter.account.cooldown import NORMAL_90, CoolDown
from simkit.meter.fitting.parameters import parameters_of
from simkit.notation import Notation

NINE = "Likely here: nine in ten."


def cooldown_answer(night: CoolDown, *, notes: tuple[str, ...] = ()) -> Answer:
    """Say what a night without heating showed.

    Parameters
    ----------
    night
        What was found in it.
    notes
        How the night was chosen.
    """
    case, notation = night.case, night.case.notation
    too_cold = f"The rooms fell to {notation.number(night.least_c, 1)} °C: end the next such night sooner. "
    return Answer(
        case.name, "How fast does the home lose its heat?", (*cooldown_sentences(night, notation), NINE), notation,
        tables=(_found(night),), notes=(*notes, _misfit(night, notation)), provenance=provenance_of(night),
        cautions=((too_cold if night.least_c < SAFE_C else "") + COLD_NIGHT, *cautions_for([])),
        data={
            "case": case.name, "time_constant_h": [night.low_hours, night.hours, night.high_hours],
            "loss_w_per_k": [night.low_loss, night.loss_w_per_k, night.high_loss],
            "least_room_c": night.least_c, "misfit_k": night.misfit_k,
        },
    )  # fmt: skip


def cooldown_sentences(night: CoolDown, notation: Notation) -> list[str]:
    """Heat loss and time constant with their ranges, against what the case takes the loss to be."""
    described, low, high = _described(night.case)
    agrees = night.low_loss < high and low < night.high_loss
    return [
        f"The home loses about {figures(night.loss_w_per_k, notation)} W/K (likely "
        f"{between(night.low_loss, night.high_loss, notation)}); "
        f"{'this agrees with' if agrees else 'but this differs from'} the {figures(described, notation)} W/K "
        f"({between(low, high, notation)}) that it was taken to lose.",
        f"In {notation.number(night.night_hours, 1)} hours without heating the rooms fell by "
        f"{notation.number(night.fall_k, 1)} K: a time constant of {figures(night.hours, notation)} h "
        f"({between(night.low_hours, night.high_hours, notation)}), in which nearly two thirds of what the home is "
        "warmer than outdoors would go.",
        "Most of that range is how much heat the walls hold, which one night can't show: it is that of their class.",
    ]


def _described(case: Case) -> tuple[float, float, float]:
    """The heat loss that the case takes, and its range [W/K]."""
    known = parameters_of(case)[0]
    spread = float(np.exp(NORMAL_90 * known.sd))
    return known.centre, known.centre / spread, known.centre * spread


def _misfit(night: CoolDown, notation: Notation) -> str:
    return f"The curve lies {notation.number(night.misfit_k, 2)} K off the room's temperatures (root mean square)."


def _found(night: CoolDown) -> Table:
    described, low, high = _described(night.case)
    rows = {
        "Time constant": ("h", night.hours, night.low_hours, night.high_hours),
        "Heat loss by this night": ("W/K", night.loss_w_per_k, night.low_loss, night.high_loss),
        "Heat loss as described": ("W/K", described, low, high),
        "Coldest room": ("°C", night.least_c, night.least_c, night.least_c),
    }
    names = ["unit_words", "fitted", "fitted_low", "fitted_high"]
    table = pd.DataFrame.from_dict(rows, orient="index", columns=names).rename_axis("found")
    shown = (Column("unit_words"), Measured("fitted", "fitted_low", "fitted_high"))
    return Table("night", "What the night showed", table, shown, first="What")
