"""A case that tells what fuel it burnt in; the heat loss with which the simulated year burns that fuel out.

The year of fuel is simulated as it was lived: the boiler, its efficiencies, the set-points that were held, the draws,
the gains. The loss is the one unknown, and fuel rises with it, so that it is found by narrowing a bracket, sixteen
losses at a time on the kernel's lanes.

The loss is a property of the home: it is found on steps of `FOUND_MINUTES`, finer only where the boiler's own schedule
has an edge inside one, whatever tariff, window or option stands beside it.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.building import CERTIFICATE_BASE_C, stated_loss_w_per_k
from simkit.assemble.home import AS_STATED, Adjustment, home_inputs
from simkit.assemble.series import Setting
from simkit.assemble.setting import edges_of, unpriced_setting
from simkit.case.build import Case, vary
from simkit.case.heating.boiler import fuel_kwh
from simkit.errors import CaseError, Fault
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.kernel import LANES
from simkit.kernel.run import run_homes
from simkit.times_of_day import shortest_step
from simkit.weather.record import Weather

LEAST_W_PER_K, MOST_W_PER_K = 10.0, 5000.0
FOUND_MINUTES = 30
ROUNDS = 3  # measured on the sample homes: the third leaves 1e-11 of the loss, a fourth changes nothing


def loss_w_per_k(case: Case) -> float:
    """Heat loss of a case [W/K]: as stated, or found so that the simulated year burns the stated fuel.

    Parameters
    ----------
    case
        The home, or any option of it: all that burnt the same fuel have one loss.

    Raises
    ------
    CaseError
        Where no loss from 10 to 5000 W/K burns that fuel.
    """
    if found_from_fuel(case):
        return _found(burnt_home(case))
    return float(stated_loss_w_per_k(case.home, _degree_hours(unpriced_setting(case, FOUND_MINUTES).weather))[0] or 0.0)


def found_from_fuel(case: Case) -> bool:
    """Whether the heat loss of a case is not stated, and so to be found from a year of fuel."""
    return stated_loss_w_per_k(case.home, 1.0)[0] is None


@lru_cache(maxsize=64)
def _degree_hours(weather: Weather) -> float:
    """Degree-hours of the weather to the base that certificates are read at [K·h]."""
    outdoor = weather.frame["outdoor_c"].to_numpy()
    return float(np.maximum(CERTIFICATE_BASE_C - outdoor, 0.0).sum() * weather.axis.hours)


@dataclass(frozen=True)
class Burnt:
    """The home as it burnt the stated fuel: on the boiler, as lived where that is told.

    Two of them are equal where everything is that the fuel depends on, so that moving a slider of the heat pump does
    not have the loss found again, and every option of a case finds the same one.
    """

    depends_on: tuple[Hashable, ...]
    before: Case = field(compare=False)

    @cached_property
    def case(self) -> Case:
        """The case on its boiler; made only where a loss is found, for it takes longer than looking one up."""
        boiler, needed = self.before.boiler, self.before.comfort
        if boiler is not None and boiler.as_operated is not None:
            return vary(self.before, {"heat_source": "boiler", "as_operated": True})
        periods = [period.model_dump(by_alias=True) for period in needed.periods]
        held = {"controls.periods": periods, "controls.setback_c": needed.setback_c}
        return vary(self.before, {"heat_source": "boiler", "as_operated": False, **held})

    @cached_property
    def setting(self) -> Setting:
        """What surrounds it, on the step on which a loss is found."""
        boiler = self.before.boiler
        held = boiler.as_operated if boiler and boiler.as_operated else self.before.comfort
        step, _ = shortest_step(edges_of(held.periods, self.before.hot_water), longest=FOUND_MINUTES)
        return unpriced_setting(self.case, step)


def burnt_home(case: Case) -> Burnt:
    """Put a case back on its boiler, as the home was before any option: held as lived, or as needed if that isn't told.

    Another cylinder, household, boiler or set-back in an option is what would be, not what was when fuel was burnt.
    """
    before = case.base if case.base is not None and case.base.home.loss == case.home.loss else case
    held = before.boiler.as_operated if before.boiler and before.boiler.as_operated else before.comfort
    emitters, water = before.emitters, before.hot_water.model_copy(update={"windows": (), "immersion": "never"})
    return Burnt(
        (
            before.site, before.weather, before.folder, before.home, before.boiler, stated_fuel_kwh(before), water,
            before.household, held.periods, held.setback_c, before.comfort.warmest_c, before.controls.heating_limit_c,
            emitters.exponent, emitters.mass_share, emitters.water_difference_k,
        ),
        before,
    )  # fmt: skip


@lru_cache(maxsize=64)
def _found(burnt_by: Burnt) -> float:
    case = burnt_by.case
    wanted = stated_fuel_kwh(case)
    losses = np.geomspace(LEAST_W_PER_K, MOST_W_PER_K, LANES)
    at = 0.0
    for _ in range(ROUNDS):
        burnt = fuel_burnt(burnt_by, losses)
        if not burnt[0] <= wanted <= burnt[-1]:
            raise CaseError(_no_loss(case, wanted, burnt))
        i = int(np.clip(np.searchsorted(burnt, wanted), 1, LANES - 1))
        low, high = losses[i - 1], losses[i]
        at = float(low + (wanted - burnt[i - 1]) * (high - low) / max(burnt[i] - burnt[i - 1], 1e-12))
        # the bracket's own ends stay in, so that the root can't slip out however the curve bends
        width = (high - low) / LANES
        inner = np.linspace(max(low, at - width), min(high, at + width), LANES - 2)
        losses = np.concatenate([[low], inner, [high]])
    return at


def stated_fuel_kwh(case: Case) -> float:
    """Fuel that the case says was burnt [kWh gross]; in direct electric homes, the electricity of the heating."""
    loss, fuel = case.home.loss, case.fuel
    kwh = fuel_kwh(fuel, float(loss.fuel_amount or 0.0), str(loss.fuel_unit)) if fuel else None
    if kwh is None:
        raise CaseError(
            Fault(
                f"{case.label}: [home.loss]", f"fuel_unit = {loss.fuel_unit}",
                "can't be turned into kWh with the [fuel] unit and kwh_per_unit given",
                "Write the amount in the unit of [fuel], or in kWh",
            )
        )  # fmt: skip
    return kwh


def fuel_burnt(burnt_by: Burnt, losses: Floats, adjustments: Sequence[Adjustment] | None = None) -> Floats:
    """Fuel that the boiler home burns at each loss [W/K], (n,) [kWh]; hot water is left out where the case says so."""
    case, setting = burnt_by.case, burnt_by.setting
    each = adjustments or [AS_STATED] * len(losses)
    homes: list[HomeInputs] = [
        home_inputs(case, setting, float(loss), adjustment) for loss, adjustment in zip(losses, each, strict=True)
    ]
    years = run_homes(homes, setting.axis.steps, setting.axis.hours)
    space = np.array([h.home.per_space_efficiency for h in homes]) * years.totals.boiler_space_heat
    water = np.array([h.home.per_water_efficiency for h in homes]) * years.totals.boiler_water_heat
    burnt: Floats = space + water if case.home.loss.fuel_includes_water is not False else space
    return burnt


def _no_loss(case: Case, wanted: float, burnt: Floats) -> Fault:
    """Word that no heat loss burns this much (or this little)."""
    remedy = (
        "Look whether the unit is right and whether the amount is for a whole year"
        if wanted > burnt[-1]
        else "Look whether the hot water, the boiler's efficiency and the unit are right: "
        "the hot water alone needs more"
    )
    return Fault(
        f"{case.label}: [home.loss]",
        f"fuel_amount = {case.home.loss.fuel_amount:g} {case.home.loss.fuel_unit} ({wanted:,.0f} kWh)",
        f"is outside the {burnt[0]:,.0f} to {burnt[-1]:,.0f} kWh that this home can burn in a year",
        remedy,
    )
