"""What leaving a fuel comes to in; its steps as a table and its object out, for the answers that speak of it."""

from __future__ import annotations

from typing import Any

import pandas as pd

from simkit.answers.answer import Table
from simkit.finance.leaving_fuel import LeavingFuel
from simkit.notation import Notation


def steps_table(fuel: LeavingFuel) -> Table:
    """The order of steps in which a fuel is left."""
    places = pd.Index(map(str, range(1, len(fuel.steps) + 1)), name="step")
    frame = pd.DataFrame({"step_words": fuel.steps}, index=places)
    return Table("leaving_fuel", f"Giving up {fuel.fuel.lower()}, in this order", frame, first="Step")


def fuel_data(fuel: LeavingFuel, notation: Notation) -> dict[str, Any]:
    """Its object in the answer of a home."""
    keys = ("fuel", "standing_cost", "other_fuel_cost", "electricity_cost", "capping_fee", "saving")
    return {key: getattr(fuel, key) for key in keys} | {
        "burners": list(fuel.burners), "answer": fuel_sentence(fuel, notation), "steps": list(fuel.steps),
    }  # fmt: skip


def fuel_sentence(fuel: LeavingFuel, notation: Notation) -> str:
    """What leaving it wholly comes to, as the place writes amounts."""
    name, back = fuel.fuel.lower(), fuel.pays_back_years
    if "boiler" in fuel.burners:
        return f"The boiler burns {name}: the supply and its standing charge stay."
    if not fuel.burners:
        return f"Nothing burns {name} any more: no standing charge is due."
    fee = ""
    if back:
        earned = f"is paid back in {notation.number(back, 1)} years"
        fee = f"; the fee of {notation.money(fuel.capping_fee or 0.0)} {earned}"
    does = "saves" if fuel.saving >= 0 else "costs"
    return (
        f"Giving up {name} altogether {does} {notation.money(abs(fuel.saving))} a year: the standing charge of "
        f"{notation.money(fuel.standing_cost)} and {notation.money(fuel.other_fuel_cost)} of fuel fall away, "
        f"{notation.money(fuel.electricity_cost)} of electricity is added{fee}."
    )
