"""A simulated year in; its carbon by the average factor, by factors of the hour where known, and over the years out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats
from simkit.case.money.money import Money
from simkit.year.year import Year


@dataclass(frozen=True, eq=False)
class CarbonYears:
    """Carbon dioxide of one option; export earns no credit.

    Attributes
    ----------
    electricity_kg, fuel_kg
        First year, electricity at the average factor, and fuel with what a stove burns [kg].
    electricity_by_hour_kg
        First year, electricity at the factor of each hour of the day [kg]; None where those aren't stated.
    by_year_kg
        Each year of the horizon at the average factor, which falls as [money] says, (years,) [kg].
    words
        Which factors were used.
    """

    electricity_kg: float
    fuel_kg: float
    electricity_by_hour_kg: float | None
    by_year_kg: Floats
    words: str

    @property
    def first_year_kg(self) -> float:
        """First year, all of it, at the average factor [kg]."""
        return self.electricity_kg + self.fuel_kg

    @property
    def life_kg(self) -> float:
        """Sum over the horizon [kg]."""
        return float(self.by_year_kg.sum())


def carbon_years(year: Year, money: Money, *, import_kwh: Floats | None = None) -> CarbonYears:
    """Count the carbon of an option over the horizon.

    Parameters
    ----------
    year
        The first year, simulated.
    money
        The horizon, and how the factor falls.
    import_kwh
        Electricity bought in each year, (years,) [kWh]; None where it stays that of the first.

    Returns
    -------
    CarbonYears
        Export earns no credit in it.

    Notes
    -----
    The average factor is the yearly mean of the grid that the case names. Where [carbon] gives factors by hour of the
    day, the same kilowatt-hours are counted by them too, in local time; neither is a marginal factor.
    """
    carbon, fuel = year.case.carbon, year.case.fuel
    average = year.totals["import"] * carbon.electricity_g_per_kwh / 1000.0
    burnt = sum(year.fuel_kwh.values()) * (fuel.carbon_g_per_kwh if fuel else 0.0) / 1000.0 + year.case.beside_kg
    by_hour, mean = None, year.case.notation.brief(carbon.electricity_g_per_kwh, 4)
    words = f"Electricity at the yearly average of {mean} g/kWh ({carbon.source})"
    if carbon.by_hour_g_per_kwh is not None:
        factors = np.asarray(carbon.by_hour_g_per_kwh)[year.axis.minute_of_day // 60]
        by_hour = float(year.flow("grid_import") @ factors) * year.axis.hours / 1000.0
        words += ", and beside it at the stated factors by hour of the day"
    else:
        words += "; no factors by the hour are stated"
    decline = (1.0 - money.carbon_decline_per_year) ** np.arange(money.horizon_years)
    bought = np.full(money.horizon_years, year.totals["import"]) if import_kwh is None else import_kwh
    by_year = bought * decline * carbon.electricity_g_per_kwh / 1000.0 + burnt
    if money.carbon_decline_per_year:
        words += f"; it falls by {year.case.notation.share(money.carbon_decline_per_year, 1)} a year"
    return CarbonYears(average, burnt, by_hour, by_year, f"{words}.")
