"""Variants of one home in, what each costs and how comfortable it is out: many homes on lanes, charged together.

Every decision asks the same of its variants: what does each cost, which of them keep to the needs, which is cheapest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from simkit.arrays import Bools, Floats
from simkit.assemble.series import Setting
from simkit.billing.cost import CHARGED_AT_ONCE, cost_of
from simkit.case.case import Case
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import HomeYear, ManyYears, run_homes
from simkit.physics.records import Flows, State
from simkit.year.comfort import SHORT_SHARE, TOO_COLD, comfort_of, room_level
from simkit.year.fuse import fuse_kw
from simkit.year.year import Year

MORE_SHORT_KH = 1.0  # own: missing warmth beyond today's that is not felt
MORE_UNDER_18_H = 1.0  # own: hours under the safe 18 °C beyond today's, of a step that falls just under it
MORE_OVER_KH = 50.0  # own: overheating beyond today's that is not felt


@dataclass(frozen=True, eq=False)
class Lanes:
    """Outcomes by variant.

    Attributes
    ----------
    cost
        Electricity bill of the year, (n,) [currency].
    totals
        Sums of the year, `Flows` of arrays, (n,) each [kWh, K·h, h].
    after
        State at the end of the year, `State` of arrays, (n,) each.
    """

    cost: Floats
    totals: Any
    after: Any

    @classmethod
    def of(cls, year: Year) -> Lanes:
        """One simulated year as the only lane."""
        return cls(np.array([year.bill.total]), year.run.totals, year.run.after)


def run_variants(case: Case, setting: Setting, homes: Sequence[HomeInputs], *, run_in: bool = True) -> Lanes:
    """Simulate and charge variants of one home on its tariff; memory stays flat in their number.

    Parameters
    ----------
    case
        Whose tariff and country count.
    setting
        Axis, weather and prices of all variants.
    homes
        The variants.
    run_in
        Whether each runs a whole year first; without, each begins at its own start, which should be near where its
        year ends.
    """
    axis = setting.axis
    costs, totals, after = [], [], []
    for first in range(0, len(homes), CHARGED_AT_ONCE):
        made = run_homes(homes[first : first + CHARGED_AT_ONCE], axis.steps, axis.hours, run_in=run_in)
        costs.append(cost_of(case, axis, made).electricity)
        totals.append(made.totals)
        after.append(made.after)
    return Lanes(np.concatenate(costs), Flows(*np.concatenate(totals, axis=1)), State(*np.concatenate(after, axis=1)))


@dataclass(frozen=True)
class Needs:
    """What every variant must keep to.

    Attributes
    ----------
    most
        Limits on totals of the year, by the kernel's name of the flow [K·h, h, kWh].
    level
        The worst verdict on the rooms, as `room_level` gives it.
    peak_kw
        Most import in any step [kW].
    """

    most: dict[str, float]
    level: int = TOO_COLD
    peak_kw: float = np.inf

    @classmethod
    def of(cls, today: HomeYear, case: Case) -> Needs:
        """The verdict on rooms and water, and the load of the fuse, no worse than today's: no saving is comfort sold.

        Beside the verdict, no more may be missing or too much than nobody feels.
        """
        t = today.totals
        unmet = max(SHORT_SHARE * (t.tap_water + t.tap_water_unmet), t.tap_water_unmet) + 1e-6
        most = {"below_k": t.below_k + MORE_SHORT_KH, "tap_water_unmet": unmet, "over_k": t.over_k + MORE_OVER_KH}
        most["below_18"] = t.below_18 + MORE_UNDER_18_H
        limit = fuse_kw(case.site)
        peak = np.inf if limit is None else max(limit, today.after.peak_import_kw)
        return cls(most, comfort_of(t, today.after).level, peak)

    def kept(self, made: Lanes | ManyYears) -> Bools:
        """Which variants keep to them, (n,)."""
        t, after = made.totals, made.after
        totals = (getattr(t, flow) <= most for flow, most in self.most.items())
        rooms = room_level(t.cool, after.longest_cold_h, t.under_18_wanted) <= self.level
        return np.all([after.peak_import_kw <= self.peak_kw + 1e-9, rooms, *totals], axis=0)


def cheapest_of(year: Year, homes: Sequence[HomeInputs], needs: Needs) -> tuple[HomeInputs, float] | None:
    """The cheapest of some variants of a year's home that keeps to the needs, and its cost of electricity [currency].

    None where none of them keeps to the needs.
    """
    if not homes:
        return None
    made = run_variants(year.case, year.setting, homes)
    cost = np.where(needs.kept(made), made.cost, np.inf)
    place = int(np.argmin(cost))
    return (homes[place], float(cost[place])) if np.isfinite(cost[place]) else None


def cost_and_comfort(year: Year) -> dict[str, float | str]:
    """What a year costs and how comfortable it is, as a row of a table [currency, kWh, °C, K·h]."""
    comfort = year.comfort
    return {
        "cost": year.bill.total, "space_heat_kwh": year.totals["space_heat"], "min_room_c": comfort.min_room_c,
        "degree_hours_below": comfort.degree_hours_below, "comfort": comfort.worded(year.case.notation.number),
    }  # fmt: skip
