"""A simulated year in; the damp cold it held, and what frosting took off COP and capacity, out.

Rated points of air machines hold defrosting at their own temperatures (EN 14511): it is then not applied again, and the
year loses nothing beyond them. For points that leave it out a factor on COP and capacity follows the hour's own
temperature and humidity.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from simkit.assemble.machine import DEFROST_DEPTH
from simkit.errors import CaseError, Fault
from simkit.kernel.prepare import defrost
from simkit.year.simulate import Year

DAMP_FACTOR = 0.98  # own: an hour counts as damp cold where frosting takes more than 2 %


@dataclass(frozen=True)
class Frosting:
    """Damp cold in a year.

    Attributes
    ----------
    applied
        Whether the factor was applied, because the points leave defrosting out.
    damp_hours
        Hours in which frosting takes more than 2 % [h].
    season_loss
        Share that frosting takes off the machine's heat over the season, were it applied [-].
    deepest, deepest_outdoor_c
        Greatest loss of any hour [-], and at which outdoor temperature [°C].
    """

    applied: bool
    damp_hours: float
    season_loss: float
    deepest: float
    deepest_outdoor_c: float

    @property
    def words(self) -> str:
        """The finding in one sentence."""
        held = (
            "taken off COP and capacity hour by hour"
            if self.applied
            else "not taken off again, because the test points hold defrosting"
        )
        return (
            f"{self.damp_hours:,.0f} hours are damp and cold enough for frost on the coil, worst at "
            f"{self.deepest_outdoor_c:.0f} °C with {self.deepest:.0%}; over the season that is {self.season_loss:.1%}, "
            f"{held}."
        )


def frosting_of(year: Year) -> Frosting:
    """Look at the damp cold of a year.

    Raises
    ------
    CaseError
        Where no air machine heats the home.
    """
    machine = year.case.heat_pump
    if machine is None or machine.source != "air" or year.case.heat_source == "boiler":
        remedy = "Choose an option with an air-to-water heat pump"
        raise CaseError(Fault(year.case.label, "frosting", "meets only machines that draw from outdoor air", remedy))
    hourly = year.hourly
    factor = defrost(hourly["outdoor_c"].to_numpy(), hourly["humidity"].to_numpy(), DEFROST_DEPTH)
    heat = hourly["heat_pump_heat_kw"].to_numpy()
    worst = int(factor.argmin())
    return Frosting(
        machine.points_hold is not None and "defrost" not in machine.points_hold,
        float((factor < DAMP_FACTOR).sum()) * year.axis.hours,
        float(np.average(1.0 - factor, weights=heat)) if heat.sum() > 0 else 0.0,
        1.0 - float(factor[worst]),
        float(hourly["outdoor_c"].iloc[worst]),
    )
