"""A case in; what is not known of the home, with its prior and the source of that, out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.heat_loss import loss_w_per_k
from simkit.case.case import Case

FUEL_LOSS_SD = 0.12  # own: boiler efficiency, draws and what was really held, taken together
BASE_SD = 0.25  # own: a household's yearly use as its people state it
MASS_SD = 0.30  # own: capacity classes are about a factor of 1.5 apart


@dataclass(frozen=True)
class Parameter:
    """One unknown of a home.

    Attributes
    ----------
    name, label, unit
        Its name here, in words, and its unit.
    centre, sd
        Prior: the middle, and the standard deviation (of the logarithm where `positive`).
    positive
        Whether its logarithm is taken to be normal.
    source
        Where the prior comes from.
    """

    name: str
    label: str
    unit: str
    centre: float
    sd: float
    positive: bool
    source: str

    def value(self, z: Floats) -> Floats:
        """Values for standard scores, (n,)."""
        return self.centre * np.exp(self.sd * z) if self.positive else self.centre + self.sd * z

    def score(self, value: Floats | float) -> Floats:
        """Standard scores of values, (n,)."""
        v = np.asarray(value, dtype=np.float64)
        return np.log(v / self.centre) / self.sd if self.positive else (v - self.centre) / self.sd


def parameters_of(case: Case, *, mass: bool = False) -> tuple[Parameter, ...]:
    """The unknowns of a home, hot water last.

    Parameters
    ----------
    case
        The home.
    mass
        Whether the thermal mass is among them: only room temperatures tell of it.
    """
    spread, loss = case.uncertainty, case.home.loss
    sd, source = spread.heat_loss_sd, "as the case states it; spread of [uncertainty]"
    if loss.fuel_amount is not None:
        sd, source = FUEL_LOSS_SD, "from the fuel that was burnt before (own spread)"
    elif loss.certificate_kwh_m2 is not None:
        sd, source = spread.certificate_sd, "from a certificate; spread of [uncertainty]"
    machine = case.heat_source != "boiler"
    factor = (
        "efficiency of the heat pump, of that calculated" if machine else "efficiency of the boiler, of that stated"
    )
    factor_sd = spread.installation_sd if machine else spread.boiler_efficiency_sd
    base, table = max(case.household.annual_kwh, 1.0), "[uncertainty] of the case"
    held = "room temperature held, over the set-point"
    trials = "spread of field trials over calculated efficiency ([uncertainty])"
    unknown = [
        Parameter("loss_w_per_k", "heat loss", "W/K", loss_w_per_k(case), sd, True, source),
        Parameter("held_k", held, "K", 0.0, spread.set_point_sd_k, False, table),
        Parameter("efficiency", factor, "share", 1.0, factor_sd, True, trials if machine else table),
        Parameter("base_kwh", "household electricity", "kWh/a", base, BASE_SD, True, "as stated (own spread)"),
    ]
    if mass:
        unknown.append(
            Parameter(
                "mass",
                "thermal mass, of its class",
                "share",
                1.0,
                MASS_SD,
                True,
                "EN ISO 13790 Table 12 class (own spread)",
            )
        )
    draws = Parameter("draws", "hot water drawn, of that stated", "share", 1.0, spread.draws_sd, True, table)
    return (*unknown, draws)
