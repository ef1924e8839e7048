"""A simulated year in; what panels and battery cost more in each later year of their lives, as they fade, out.

Every year of the horizon is simulated, side by side on lanes, with panels and battery at the age that they have in it.
Scaling the first year's saving by the stated fade would be wrong both ways: an inverter's limit hides the first of it,
self-use falls by less than the panels do, and a battery that is cycled shallowly doesn't miss its content.

That fading and the battery's replacement are its wear; `wear_per_kwh`, which stands for both within one year, is not
taken off as well.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pandas as pd

from simkit.assemble.home import home_inputs
from simkit.billing.cost import cost_of, export_earned
from simkit.case.case import Case
from simkit.case.money.money import Money
from simkit.case.power.battery import LEAST_HEALTH, Battery
from simkit.kernel.run import run_homes
from simkit.year.year import Year

COLUMNS = ("electricity_cost", "export_cost", "import_kwh")


def ageing(year: Year, money: Money) -> pd.DataFrame:
    """Follow panels and battery through the years of the horizon.

    Panels lose `ageing_per_year` of what is left; the battery loses `fade_per_year` of its content each year and
    `fade_per_cycle` each cycle, as many a year as in the first. A battery that [money] replaces is new in the year
    after; panels stay (what is replaced of them is their inverter), and a battery that nobody replaces fades no
    further than to the least content that a case may state.

    Parameters
    ----------
    year
        The first year, simulated.
    money
        The horizon, and the parts that are replaced.

    Returns
    -------
    DataFrame
        Index `year` 1 to the horizon; what electricity and export cost more than in the first year at its prices
        [currency], and what is imported more [kWh]. Zero for a home without panels and battery.
    """
    case, years = year.case, money.horizon_years
    index = pd.RangeIndex(1, years + 1, name="year")
    nothing = pd.DataFrame(0.0, index=index, columns=list(COLUMNS))
    if case.solar is None and case.battery is None:
        return nothing
    aged = list(_aged(case, year, money))
    homes = [home_inputs(one, year.setting, year.loss_w_per_k) for one in aged]
    made = run_homes(homes, year.axis.steps, year.axis.hours)
    earned = export_earned(case, year.axis, made)
    amounts = (cost_of(case, year.axis, made).electricity + earned, -earned, made.totals.grid_import)
    return pd.DataFrame({name: of - of[0] for name, of in zip(COLUMNS, amounts, strict=True)}, index=index)


def _aged(case: Case, year: Year, money: Money) -> Iterator[Case]:
    """The case in each year of the horizon."""
    battery, content = case.battery, year.inputs.home.usable_kwh
    cycles = year.totals["battery_discharge"] / content if content > 0 else 0.0  # full ones in the first year
    born, renewals = 0, _renewals(case, money)
    for t in range(money.horizon_years):
        if t in renewals:  # replaced at the end of year t, the (t + 1)th year meets it new
            born = t
        parts: dict[str, object] = {}
        if case.solar is not None:
            parts["solar"] = case.solar.model_copy(update={"age_years": case.solar.age_years + t})
        if battery is not None:
            before = (battery.age_years, battery.cycles_done) if born == 0 else (0.0, 0.0)
            parts["battery"] = faded(battery, before[0] + t - born, before[1] + cycles * (t - born))
        made = case.model_copy(update=parts)
        made._made = replace(case._made)
        yield made


def faded(battery: Battery, age_years: float, cycles_done: float) -> Battery:
    """The battery at an age [years] and after cycles [-], held at the least content that a case may state."""
    lost = battery.fade_per_year * age_years + battery.fade_per_cycle * cycles_done
    held = min(1.0, (1.0 - LEAST_HEALTH) / lost) if lost > 0.0 else 1.0
    return battery.model_copy(update={"age_years": age_years * held, "cycles_done": cycles_done * held})


def _renewals(case: Case, money: Money) -> set[int]:
    """Years at whose end the battery is replaced."""
    found: set[int] = set()
    for part in money.part or ():
        if part.of == "battery" and case.battery is not None:
            ends = np.arange(part.life_years - part.age_years, money.horizon_years, part.life_years)
            found |= {max(1, round(end)) for end in ends.tolist()}
    return found


def ageing_note(case: Case) -> str:
    """Say at which rates panels and battery of a case fade; empty where it has neither."""
    parts, share = [], case.notation.share
    if case.solar is not None:
        parts.append(f"panels lose {share(case.solar.ageing_per_year, 1)} a year")
    if case.battery is not None:
        parts.append(
            f"the battery loses {share(case.battery.fade_per_year, 1)} of its content a year and "
            f"{share(1000.0 * case.battery.fade_per_cycle, 1)} in a thousand cycles until it is replaced"
        )
    if not parts:
        return ""
    text = " and ".join(parts)
    return f"{text[0].upper()}{text[1:]}: every year of the table is simulated at their age in it."
