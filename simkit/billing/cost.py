"""A case and its simulated years in, of one home or of many on lanes; what each of them costs out."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from simkit.arrays import Floats
from simkit.billing.bill import in_units, rounded
from simkit.billing.charge import FUELS, charge_lanes_months, fixed_cost
from simkit.case.case import Case
from simkit.clock import TimeAxis
from simkit.kernel.run import HomeYear, ManyYears

# Homes simulated and charged together: import and export of so many stay in the cache, some 10 MB at half-hourly steps
# (measured: 256 take half as long again, 512 three times as long).
CHARGED_AT_ONCE = 32


@dataclass(frozen=True, eq=False)
class Costs:
    """What years cost.

    Attributes
    ----------
    electricity
        Electricity bills, (homes,) [currency], each the total of that home's own bill to the cent.
    electricity_months
        The same by month, (12, homes) [currency].
    fuel, fuel_standing
        Fuel with what else burns it and what a stove burns, and its standing charge, (homes,) [currency], not rounded.
    fuel_kwh
        That fuel, (homes,) [kWh, gross].
    """

    electricity: Floats
    electricity_months: Floats
    fuel: Floats
    fuel_standing: Floats
    fuel_kwh: Floats

    @property
    def total(self) -> Floats:
        """Electricity and fuel, (homes,) [currency]."""
        return self.electricity + self.fuel + self.fuel_standing


def cost_of(
    case: Case, axis: TimeAxis, years: HomeYear | ManyYears, *, homes: slice = slice(None), granted: bool = False
) -> Costs:
    """Charge simulated years at the tariff and the fuel of a case.

    Parameters
    ----------
    case
        Whose tariff, country, fuel and heat source count.
    axis
        Time axis of the years.
    years
        One home's year, which is charged as the only one of its kind, or many.
    homes
        Which of the many are charged.
    granted
        Whether the cheap half-hours that the supplier may choose are counted, as a scenario.

    Returns
    -------
    Costs
        Arrays over the homes that were charged.
    """
    bought, sold = (
        flow.reshape(axis.steps, -1)[:, homes] * axis.hours
        for flow in (years.flow("grid_import"), years.flow("grid_export"))
    )
    months = charge_lanes_months(case.tariff, axis, bought, sold, country=case.site.country, granted=granted)
    total = in_units(rounded(months, case.tariff.currency).sum(axis=0), case.tariff.currency)
    return Costs(total, months, *fuel_costs(case, np.atleast_1d(years.totals.fuel)[homes], len(axis.dates)))


def export_earned(case: Case, axis: TimeAxis, years: ManyYears) -> Floats:
    """What export by itself earns in each year, (homes,) [currency]; nothing without panels and battery."""
    if case.solar is None and case.battery is None:
        return np.zeros(len(years.totals.fuel))
    sold = replace(years, steps={**years.steps, "grid_import": np.zeros_like(years.flow("grid_import"))})
    return fixed_cost(case.tariff, axis, country=case.site.country) - cost_of(case, axis, sold).electricity


def fuel_costs(case: Case, burnt_kwh: Floats, days: int) -> tuple[Floats, Floats, Floats]:
    """Cost of fuel and its standing charge [currency], and the fuel with what else burns it [kWh], (homes,) each.

    What a stove burns is in the cost, and not in the fuel.
    """
    fuel, stove = case.fuel, case.lit.cost if case.lit is not None else 0.0
    if fuel is None or fuel.kind not in FUELS:
        zeros = np.zeros(len(burnt_kwh))
        return zeros + stove, zeros, zeros
    used = burnt_kwh + fuel.other_use_kwh
    due = (used > 0) | (case.heat_source == "hybrid")
    return used / fuel.kwh_per_unit * fuel.cost_per_unit + stove, np.asarray(due * fuel.standing_per_day * days), used
