"""A case in; what is not known of the home, with its prior and the source of that, out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.assemble.heat_loss import loss_w_per_k
from simkit.assemble.rooms import room_set
from simkit.case.build import vary
from simkit.case.case import Case

FUEL_LOSS_SD = 0.15  # own: boiler efficiency, draws and what was really held, taken together
# Own: what a building of two temperatures may leave out of how a real one loses heat, as a share of its loss.
TWO_NODE_SD = 0.05
BASE_SD = 0.25  # own: a household's yearly use as its people state it
MASS_SD = 0.50  # own: classes are a factor of 1.5 apart, and what lies behind carpets and plaster is anybody's guess
GAINS_SD = 0.30  # own: heat of people and appliances in homes of one size lies within a factor of two of the usual
WINDOWS_SD = 0.50  # own: curtains, trees, blinds and dirt let in from two fifths to two and a half times what is stated
# Own: by how much more or less than calculated efficiency falls for each kelvin colder. On one home's curve it falls by
# 3.7 % a kelvin by a published regression (Ruhnau, Hirth, Praktiknjo 2019, Scientific Data 6:189), by 4.7 % as a fixed
# share of Carnot's, and by 6.9 % by points of a test sheet with what setback and short runs add: ways lie so far apart.
COLD_SD = 2.0
COLD_PIVOT_C = 5.0  # efficiency is left alone there: about where a heating season has its middle
# Own: heat that flows whatever the weather (pipes under the floor, a cellar, a circulation that never rests, a gain
# that is always there), as a share of what the home loses at 20 K. Real homes have it and no description does: one
# whose days were read took 40 kWh a day more than its loss explains, a third of that.
STEADY_SHARE = 0.15
STEADY_K = 20.0


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


def parameters_of(case: Case) -> tuple[Parameter, ...]:
    """The unknowns of a home, hot water last."""
    spread, loss = case.uncertainty, case.home.loss
    sd, source = spread.heat_loss_sd, "as the case states it; spread of [uncertainty]"
    if loss.fuel_amount is not None:
        sd, source = FUEL_LOSS_SD, "from the fuel that was burnt before (own spread)"
    elif loss.certificate_kwh_m2 is not None:
        sd, source = spread.certificate_sd, "from a certificate; spread of [uncertainty]"
    sd = math.hypot(sd, TWO_NODE_SD)
    machine = case.heat_source != "boiler"
    factor = (
        "efficiency of the heat pump, of that calculated" if machine else "efficiency of the boiler, of that stated"
    )
    factor_sd = spread.installation_sd if machine else spread.boiler_efficiency_sd
    base, table, own = max(case.household.annual_kwh, 1.0), "[uncertainty] of the case", "as stated (own spread)"
    trials = "spread of field trials over calculated efficiency ([uncertainty])"
    stated = loss_w_per_k(case)
    steady = STEADY_SHARE * STEADY_K * 24.0 * stated / 1000.0
    return (
        Parameter("loss_w_per_k", "heat loss", "W/K", stated, sd, True, source),
        Parameter(
            "held_k", "room temperature held, over the set-point", "K", 0.0, spread.set_point_sd_k, False, table
        ),
        Parameter("efficiency", factor, "share", 1.0, factor_sd, True, trials if machine else table),
        *_cold(machine),
        Parameter("base_kwh", "household electricity", "kWh/a", base, BASE_SD, True, own),
        Parameter("steady_kwh", "heat that flows whatever the weather", "kWh/d", 0.0, steady, False, "own"),
        Parameter("gains", "heat of people and appliances, of that stated", "share", 1.0, GAINS_SD, True, own),
        Parameter("windows", "sun through the windows, of that stated", "share", 1.0, WINDOWS_SD, True, own),
        Parameter(
            "mass", "thermal mass, of its class", "share", 1.0, MASS_SD, True,
            "EN ISO 13790 Table 12 class (own spread)",
        ),
        Parameter("draws", "hot water drawn, of that stated", "share", 1.0, spread.draws_sd, True, table),
    )  # fmt: skip


def _cold(machine: bool) -> tuple[Parameter, ...]:
    """How efficiency falls with the cold: of a heat pump only."""
    label = "fall of efficiency for each kelvin colder, beyond that calculated"
    return (Parameter("cold", label, "%/K", 0.0, COLD_SD, False, "own"),) if machine else ()


def _rooms_of(case: Case, loss_w_per_k_: float) -> list[dict[str, object]]:
    """The rooms with their losses in proportion, so that they add up to the loss that was found."""
    scale = room_set(case, loss_w_per_k_).scale
    stated = [dict(room) for room in case.stated["room"]]
    return [
        room | {key: round(room[key] * scale, 4) for key in ("loss_kw", "loss_w_per_m2") if key in room}
        for room in stated
    ]


def with_unknowns(case: Case, found: Mapping[str, float] | pd.Series[float]) -> Case:
    """A home with what was found of its unknowns, by name, as far as a case can say it."""
    loss = case.home.loss
    stated = [key for key in type(loss).model_fields if getattr(loss, key) is not None]
    changes: dict[str, object] = {f"home.loss.{key}": None for key in stated if key != "w_per_k"}
    changes["home.loss.w_per_k"] = round(float(found["loss_w_per_k"]), 1)
    if case.room:
        changes["room"] = _rooms_of(case, float(found["loss_w_per_k"]))
    if case.household.file is None:
        changes["household.annual_kwh"] = round(float(found["base_kwh"]), 0)
    if case.heat_pump is not None and case.heat_source != "boiler":
        changes["heat_pump.efficiency_scale"] = round(case.heat_pump.efficiency_scale * float(found["efficiency"]), 3)
    if case.boiler is not None and case.heat_source == "boiler":
        for name in ("space_efficiency", "water_efficiency"):
            changes[f"boiler.{name}"] = round(min(getattr(case.boiler, name) * float(found["efficiency"]), 1.0), 3)
    return vary(case, changes)
