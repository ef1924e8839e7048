"""A case that tells its heat loss, what fuel it burnt, or what its certificate says, in; its heat loss out.

The year of fuel is simulated as it was lived: the boiler, its efficiencies, the set-points that were held, the draws,
the gains; a certificate's year is simulated as certificates reckon. The loss is the one unknown, and fuel rises with
it, nearly in a straight line: a few simulated years of each home find it, those of many homes side by side on the
kernel's lanes. Where it bends too far for that a bracket is narrowed.

The loss is a property of the home: it is found on steps of `FOUND_MINUTES`, finer only where the boiler's own schedule
has an edge inside one, whatever tariff, window or option stands beside it.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from pathlib import Path
from typing import Any

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.building import air_saved_w_per_k, most_loss_w_per_k, stated_loss_w_per_k
from simkit.assemble.electricity import household_series
from simkit.assemble.home import AS_STATED, Adjustment, home_inputs
from simkit.assemble.series import Setting
from simkit.assemble.setting import edges_of, setting_for
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.case.certified import as_certified
from simkit.case.heating.boiler import fuel_kwh
from simkit.case.home.household import HOURS_OF_YEAR
from simkit.errors import CaseError, Fault
from simkit.kept.disk import kept_as
from simkit.kept.memory import Known
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import run_homes
from simkit.physics.building import AIR_KWH_PER_M3K
from simkit.physics.records import Flows
from simkit.profiles.other_heat import beside_then
from simkit.roots import along_lines, narrowed
from simkit.times_of_day import shortest_step

LEAST_W_PER_K, MOST_W_PER_K = 10.0, 5000.0
FOUND_MINUTES = 30
AROUND = np.array([0.4, 0.8, 1.5, 3.0])  # own: losses tried first, by what degree-hours make of the fuel
MEAN_EFFICIENCY, BASE_C = 0.7, 15.5  # own: of fuel to rooms, water taken off; usual base of degree-days
CLOSE = 2e-4  # own, of the fuel: as near as a small cylinder's hysteresis lets any loss come
SOUGHT_AT_ONCE = 32
MOST_BY_AIR = 0.8  # own: of a loss; walls, roof, floor and glass lose more than a fifth of it in any home
MOST_W_PER_K_M2 = 16.0  # own: twice and more what anything that people live in loses
BUILT = (0.3, 6.0)  # common practice: W/K per m² of floor, from a flat amid others to a bungalow of thin walls
_known: Known[tuple[Hashable, ...], float] = Known()


def loss_w_per_k(case: Case) -> float:
    """Heat loss of a case [W/K]: as stated or found, less what was saved of its air since.

    Parameters
    ----------
    case
        The home, or any option of it: all that burnt the same fuel have one loss.

    Raises
    ------
    CaseError
        Where no loss from 10 to 5000 W/K burns that fuel, or needs that heat, or where it is more than the building
        can lose, or where it loses less than its air is said to carry out.
    """
    loss, saved = loss_before_w_per_k(case), air_saved_w_per_k(case)
    air = case.ventilation
    carried = 1000.0 * AIR_KWH_PER_M3K * air.before_per_hour * case.home.volume_m3 if air is not None else 0.0
    if carried > MOST_BY_AIR * loss:
        given = f"n50 = {air.n50:g} with fresh_air_per_hour = {air.fresh_air_per_hour:g}" if air is not None else ""
        allowed = f"would carry out {carried:,.0f} W/K, most of the {loss:,.0f} W/K that the home loses by all ways"
        raise CaseError(Fault(f"{case.label}: [ventilation]", given, allowed, "Write less of one of them"))
    return loss - saved


def loss_before_w_per_k(case: Case) -> float:
    """Heat loss as stated, or found so that a simulated year burns the fuel or needs the heat stated [W/K].

    What was done to leaks and fresh air since is not in it.
    """
    stated, how = stated_loss_w_per_k(case.home)
    loss = _found(burnt_home(case)) if stated is None else stated
    area = case.home.floor_area_m2
    most = min(most_loss_w_per_k(case.home, case.emitters.mass_share), MOST_W_PER_K_M2 * area)
    if loss > most:
        given = f"a heat loss of {loss:,.0f} W/K, {how}, over floor_area_m2 = {area:g}"
        allowed = (
            f"is {loss / area:.1f} W/K for each square metre, more than the {most / area:.1f} that such a building can "
            f"be reckoned with; homes that are lived in lose {BUILT[0]:g} to {BUILT[1]:g}"
        )
        remedy = f"Look whether both are right: perhaps {loss / 10:,.0f} W/K is meant"
        raise CaseError(Fault(f"{case.label}: [home.loss]", given, allowed, remedy))
    return loss


def found_from_fuel(case: Case) -> bool:
    """Whether the heat loss of a case is not stated, and so to be found from a year of fuel."""
    return case.home.loss.fuel_amount is not None


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
        if self.before.home.loss.certificate_kwh_m2 is not None:
            return as_certified(self.before)
        boiler, needed = self.before.boiler, self.before.comfort
        then = beside_then(self.before)
        if boiler is not None and boiler.as_operated is not None:
            return vary(self.before, {"heat_source": "boiler", "as_operated": True, **then})
        periods = [period.model_dump(by_alias=True) for period in needed.periods]
        held = {"controls.periods": periods, "controls.setback_c": needed.setback_c}
        return vary(self.before, {"heat_source": "boiler", "as_operated": False, **held, **then})

    @cached_property
    def setting(self) -> Setting:
        """What surrounds it, on the step on which a loss is found."""
        boiler = self.before.boiler
        held = boiler.as_operated if boiler and boiler.as_operated else self.before.comfort
        step, _ = shortest_step(edges_of(held.periods, self.before.hot_water), longest=FOUND_MINUTES)
        return setting_for(self.case, step, priced=False)

    @cached_property
    def made_from(self) -> tuple[Any, ...]:
        """What it depends on with the content of every file, for `simkit.kept.disk`."""
        named = [part for part in self.depends_on if not isinstance(part, Path)]
        household = household_series(self.case.household, self.setting.axis, self.setting.folder, self.case.site)
        return named, self.setting.weather, household


def burnt_home(case: Case) -> Burnt:
    """Put a case back on its boiler, as the home was before any option: held as lived, or as needed if that isn't told.

    Another cylinder, household, boiler or set-back in an option is what would be, not what was when fuel was burnt.
    """
    before = case.base if case.base is not None and case.base.home.loss == case.home.loss else case
    if before.home.loss.certificate_kwh_m2 is not None:
        return Burnt((before.site, before.weather, before.folder, before.home, before.controls.heating_limit_c), before)
    held = before.boiler.as_operated if before.boiler and before.boiler.as_operated else before.comfort
    emitters, water = before.emitters, before.hot_water.model_copy(update={"windows": (), "immersion": "never"})
    household = before.household.model_copy(update={"home_number": None})
    return Burnt(
        (
            before.site, before.weather, before.folder, before.home, before.boiler, stated_kwh(before), water,
            household, held.periods, held.setback_c, before.comfort.warmest_c, before.controls.heating_limit_c,
            emitters.model_copy(update={"rated_kw": None, "sized_for_flow_c": None}), before.controls.buffer_l,
            before.stove, before.solar_thermal, before.room_heater,
        ),
        before,
    )  # fmt: skip


def find_losses(cases: Iterable[Case]) -> None:
    """Find the losses of many homes together, so that `loss_w_per_k` knows them: several times faster than one by one.

    Of those that have none nothing is said: asking for each says it.
    """
    sought: dict[int, dict[tuple[Hashable, ...], Burnt]] = {}
    for case in cases:
        with suppress(CaseError):
            if stated_loss_w_per_k(case.home)[0] is None and (one := burnt_home(case)).depends_on not in _known:
                sought.setdefault(one.setting.axis.step_minutes, {})[one.depends_on] = one
    for alike in sought.values():
        waiting = list(alike.values())
        for first in range(0, len(waiting), SOUGHT_AT_ONCE):
            some = waiting[first : first + SOUGHT_AT_ONCE]
            with suppress(CaseError):
                for one, loss in zip(some, _along_lines(some).tolist(), strict=True):
                    if np.isfinite(loss):
                        _known.keep(one.depends_on, loss)


def _found(burnt_by: Burnt) -> float:
    loss = _known.get(burnt_by.depends_on)
    if loss is None:
        loss = _known.keep(burnt_by.depends_on, kept_as(lambda: _sought(burnt_by), "loss", burnt_by.made_from))
    return loss


def _sought(burnt_by: Burnt) -> float:
    return loss if np.isfinite(loss := float(_along_lines([burnt_by])[0])) else _narrowed(burnt_by)


def _along_lines(homes: Sequence[Burnt]) -> Floats:
    """Loss of each home, all on one step, (homes,) [W/K]; NaN where the fuel does not go with it as a line does."""
    wanted = np.array([stated_kwh(one.case) for one in homes])
    cold_kh = [np.maximum(BASE_C - one.setting.weather.frame["outdoor_c"], 0.0).mean() * HOURS_OF_YEAR for one in homes]
    guess = 1000.0 * MEAN_EFFICIENCY * wanted / np.maximum(cold_kh, 1.0)
    tried = np.clip(guess[:, None] * AROUND, LEAST_W_PER_K, MOST_W_PER_K)
    return along_lines(partial(_burnt_by_each, homes), wanted, tried, close=CLOSE)


def _narrowed(burnt_by: Burnt) -> float:
    """Loss of a home whose fuel bends: by a bracket, sixteen losses at a time [W/K]."""
    wanted = stated_kwh(burnt_by.case)
    loss, burnt = narrowed(partial(fuel_burnt, burnt_by), wanted, LEAST_W_PER_K, MOST_W_PER_K)
    if not np.isfinite(loss):
        raise CaseError(_no_loss(burnt_by.before, wanted, burnt))
    return loss


def stated_kwh(case: Case) -> float:
    """What the case says the year burnt [kWh gross], or needed for its rooms, by certificate [kWh].

    In direct electric homes the fuel is the electricity of the heating.
    """
    loss, fuel = case.home.loss, case.fuel
    if loss.certificate_kwh_m2 is not None:
        return loss.certificate_kwh_m2 * case.home.floor_area_m2
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


def fuel_burnt(
    burnt_by: Burnt, losses: Floats, adjustments: Sequence[Adjustment] | None = None, *, warmer_k: float = 0.0
) -> Floats:
    """Fuel that the boiler home burns at each loss [W/K], (n,) [kWh]; hot water is left out where the case says so.

    Of a certificate it is the heat that the rooms are given. The usual year may be made warmer, by so many kelvin
    throughout.
    """
    case, setting = burnt_by.case, burnt_by.setting
    if warmer_k:
        frame = setting.weather.frame
        warmer = replace(setting.weather, frame=frame.assign(outdoor_c=frame["outdoor_c"] + warmer_k))
        setting = replace(setting, weather=warmer)
    each = adjustments or [AS_STATED] * len(losses)
    homes = [home_inputs(case, setting, float(loss), other) for loss, other in zip(losses, each, strict=True)]
    return _counted(case, homes, run_homes(homes, setting.axis.steps, setting.axis.hours).totals)


def _burnt_by_each(homes: Sequence[Burnt], losses: Floats) -> Floats:
    """The same of many homes at several losses each, (homes, n)."""
    axis, count = homes[0].setting.axis, losses.shape[1]
    each = [
        [home_inputs(one.case, one.setting, loss) for loss in row.tolist()]
        for one, row in zip(homes, losses, strict=True)
    ]
    totals = np.array(run_homes([home for row in each for home in row], axis.steps, axis.hours).totals)
    parts = np.split(totals, range(count, totals.shape[1], count), axis=1)
    return np.array([_counted(o.case, row, Flows(*t)) for o, row, t in zip(homes, each, parts, strict=True)])


def _counted(case: Case, homes: Sequence[HomeInputs], totals: Flows) -> Floats:
    """What is counted of the years of a home: its fuel, or the heat of its rooms, (years,) [kWh]."""
    if case.home.loss.certificate_kwh_m2 is not None:
        return np.asarray(totals.space_heat)
    space = np.array([h.home.per_space_efficiency for h in homes]) * totals.boiler_space_heat
    water = np.array([h.home.per_water_efficiency for h in homes]) * totals.boiler_water_heat
    burnt: Floats = space + water if case.home.loss.fuel_includes_water is not False else space
    return burnt


def _no_loss(case: Case, wanted: float, burnt: Floats) -> Fault:
    """Word that no heat loss burns (or needs) this much, or this little."""
    loss = case.home.loss
    if loss.certificate_kwh_m2 is not None:
        given, can = f"certificate_kwh_m2 = {loss.certificate_kwh_m2:g}", "need at 20 °C all day"
        remedy = "Look whether it is the heat of a year by floor area, and whether [home] floor_area_m2 is right"
    else:
        given, can = f"fuel_amount = {loss.fuel_amount:g} {loss.fuel_unit}", "burn in a year"
        remedy = (
            "Look whether the unit is right and whether the amount is for a whole year"
            if wanted > burnt[-1]
            else "Look whether the hot water, the boiler's efficiency and the unit are right: "
            "the hot water alone needs more"
        )
    allowed = f"is outside the {burnt[0]:,.0f} to {burnt[-1]:,.0f} kWh that this home can {can}"
    said = given if loss.fuel_unit == "kWh" else f"{given} ({wanted:,.0f} kWh)"
    return Fault(f"{case.label}: [home.loss]", said, allowed, remedy)
