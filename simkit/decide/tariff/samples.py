"""Ranked tariffs in; what each costs in every sampled year of the home, as it is and shifted, out.

All of them meet the same samples, so that ranges can be taken on differences; homes whose controls don't listen to
prices are simulated once and charged at every tariff.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.home import home_inputs
from simkit.decide.tariff.ranked import RankedTariff, TariffYear
from simkit.kernel.run import ManyYears, run_homes
from simkit.uncertainty.draws import draws_of
from simkit.uncertainty.sampled_years import charged, cost_at_sampled_prices, sampled_home


def sampled_costs(rows: Sequence[RankedTariff]) -> dict[tuple[str, bool], Floats]:
    """Cost of every sample by name of the tariff and whether shifted, (n,) each [currency]."""
    known: list[tuple[dict[str, Floats], ManyYears]] = []
    found: dict[tuple[str, bool], Floats] = {}
    for row in rows:
        for shifted, one in ((False, row.as_is), (True, row.shifted)):
            if shifted and row.shifted is row.as_is:
                found[row.name, True] = found[row.name, False]
                continue
            year = one.year
            rows = charged(year.case, year.setting, _simulated(one, known), granted=one.granted)
            found[row.name, shifted] = cost_at_sampled_prices(rows, draws_of(year.case))
    return found


def _simulated(one: TariffYear, known: list[tuple[dict[str, Floats], ManyYears]]) -> ManyYears:
    """The sampled years of one home; those of another tariff where nothing in the home differs."""
    series = one.year.inputs.series
    for others, made in known:
        if all(np.array_equal(series[name], others[name]) for name in series):
            return made
    own = home_inputs(one.year.case, one.year.setting, one.year.loss_w_per_k).series
    changed = {name: values for name, values in series.items() if not np.array_equal(values, own[name])}
    homes = sampled_home(one.year.case, setting=one.year.setting).inputs()
    if changed:
        homes = [replace(home, series=home.series | changed) for home in homes]
    made = run_homes(homes, one.year.axis.steps, one.year.axis.hours)
    known.append((series, made))
    return made
