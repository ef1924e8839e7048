"""A case in; steady, set back and pre-heat under three ways of driving a cool home back up, cost beside comfort, out.

People disagree about set-backs because their homes recover differently: at a gently lifted flow a set-back saves, with
everything the machine has it may cost more than it saved. The table shows both, and what each did to the rooms.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pandas as pd

from simkit.answered import Answered
from simkit.assemble.setting import setting_for
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.decide.schedule.candidates import strategies
from simkit.decide.schedule.rule import changes_of, day_pattern
from simkit.decide.schedule.search import require_heat_pump
from simkit.decide.variants import cost_and_comfort
from simkit.year.comfort import YearComfort
from simkit.year.simulate import simulate


@dataclass(frozen=True, eq=False, repr=False)
class SetBack(Answered):
    """What steady, set back and pre-heat cost under every recovery, and what they do to the rooms.

    Attributes
    ----------
    rows
        What `table` gives.
    comforts
        How comfortable each was, by strategy and recovery.
    case
        The home.
    """

    answered_by = "simkit.answers.setback:setback_answer"
    rows: pd.DataFrame
    comforts: dict[tuple[str, str], YearComfort]
    case: Case

    def table(self) -> pd.DataFrame:
        """One row by strategy and recovery: cost, heat, electricity, mean and least room temperature, missing warmth.

        Money in the currency of the case, energy in kWh, temperatures in °C, missing warmth in K·h.
        """
        return self.rows

    def __repr__(self) -> str:
        return self.case.notation.frame(self.rows, 1)


def set_back(case: Case, *, before_each: Callable[[str], None] | None = None) -> SetBack:
    """Simulate every strategy under every recovery: a set-back is one of 3 K, begun at the end of the need.

    Parameters
    ----------
    case
        A home with a heat pump.
    before_each
        Called with the name of each strategy and recovery before it is simulated.
    """
    require_heat_pump(case)
    pattern = day_pattern(case, setting_for(case))
    rows: dict[tuple[str, str], dict[str, float | str]] = {}
    comforts = {}
    for (name, recovery), rule in strategies(case).items():
        if before_each is not None:
            before_each(f"{name}, {recovery} recovery")
        year = simulate(vary(case, changes_of(rule, pattern, case)))
        machine = year.totals["heat_pump_electricity"] + year.totals["backup_heater"]
        cold = year.hourly["outdoor_c"] < case.controls.heating_limit_c
        mean = float(year.hourly["air_c"][cold].mean())
        comforts[name, recovery] = year.comfort
        rows[name, recovery] = {**cost_and_comfort(year), "heat_pump_kwh": machine, "mean_room_c": mean}
    index = pd.MultiIndex.from_tuples(rows, names=["schedule", "recovery"])
    return SetBack(pd.DataFrame(list(rows.values()), index=index), comforts, case)
