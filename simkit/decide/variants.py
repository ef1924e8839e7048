"""Variants of one home in, what each costs and how comfortable it is out: many homes on lanes, charged together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.home import Setting
from simkit.billing.cost import cost_of
from simkit.case.build import Case
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import run_homes
from simkit.physics.records import Flows, State

AT_ONCE = 32  # homes charged at a time, so that both series stay in the cache (measured: 512 take three times as long)


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
    for first in range(0, len(homes), AT_ONCE):
        made = run_homes(homes[first : first + AT_ONCE], axis.steps, axis.hours, run_in=run_in)
        costs.append(cost_of(case, axis, made).electricity)
        totals.append(made.totals)
        after.append(made.after)
    return Lanes(np.concatenate(costs), Flows(*np.concatenate(totals, axis=1)), State(*np.concatenate(after, axis=1)))
