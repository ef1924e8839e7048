"""A home in; what is usually done to such a home out: free things as they are, bought ones where a price is given."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import ceil, floor

from simkit.assemble.emitters import needed_flow_c
from simkit.assemble.heat_loss import loss_w_per_k
from simkit.assemble.rooms import highest_flow_c
from simkit.assemble.setting import setting_for
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.case.money.money import Measure
from simkit.case.shipped import default_table
from simkit.decide.flow.sweep import sweep_flow, usual_flows_c
from simkit.decide.measures.ladder import leaves_as_warm
from simkit.errors import CaseError, Fault, nearest
from simkit.profiles.car import car_kw
from simkit.tariff.tariff import Tariff
from simkit.year.simulate import simulate

CURVE_STEP_K, SET_BACK_K = 4.0, 1.5  # own: one careful step each
COOLEST_SET_BACK_C = 18.0  # WHO Housing and Health Guidelines 2018: 18 °C as a safe minimum indoors
RADIATOR_FLOW_C = 45.0  # own: what bigger radiators are chosen for
WALL_U, ROOF_U, FLOOR_U, GLASS_U = 0.3, 0.16, 0.25, 1.2  # common practice for retrofits [W/(m²·K)]
TIGHT_N50, RECOVERY = 3.0, 0.75  # common practice: what a careful retrofit reaches; of a unit in use
LIFE_YEARS = 20.0  # own: of settings and of what is bought
ROUNDING_K = 0.05  # of a flow that is meant to be what the emitters need
CAR_GAIN = 0.01  # own: a charging cost that falls by less than a hundredth is in the cheap hours already
How = tuple[tuple[str, ...], str, str, str | None]  # changes, bother, who does it, what to heed


def usual_measures(
    case: Case, prices: Mapping[str, float] | None = None, *, tariffs: Sequence[Tariff] = ()
) -> tuple[Measure, ...]:
    """List what is usually worth looking at in this home.

    Parameters
    ----------
    case
        The home; one that heats by heat pump.
    prices
        Price by name, grants taken off [currency]: "radiators", "cylinder", "buffer removal", "solar", "battery",
        "tighten the house", "heat recovery",
        and ``insulate <name of a part>`` for each part of a loss that is stated by elements. What has no price isn't
        listed, since none is assumed.
    tariffs
        Further tariffs that the home could change to: cheap hours of theirs count for a car too.

    Raises
    ------
    CaseError
        For a price of something that this home can't have done.
    """
    found = [(name, 0.0, how) for name, how in (_free(case) | _car_timing(case, tariffs)).items()]
    known = _bought(case)
    for name, price in (prices or {}).items():
        if name not in known:
            near = nearest(name, known)
            remedy = f'Perhaps "{near}" is meant' if near else f"Known here are: {', '.join(known)}"
            raise CaseError(
                Fault("measures", f'a price of "{name}"', "belongs to nothing that this home needs", remedy)
            )
        found.append((name, price, known[name]))
    keys = ("name", "cost", "changes", "bother", "who", "safety")
    said = (zip(keys, (name, cost, *how), strict=True) for name, cost, how in found)
    return tuple(
        Measure.model_validate({"life_years": LIFE_YEARS} | {k: v for k, v in one if v is not None}) for one in said
    )


def _free(case: Case) -> dict[str, How]:
    """Changes of settings."""
    controls, easy = case.controls, ("an hour", "you", None)
    by = _short_k(case) or -_spare_k(case)
    curve = f"curve {abs(by):g} K {'higher' if by > 0 else 'lower'}"
    found: dict[str, How] = {curve: ((f"controls.design_flow_c = {controls.design_flow_c + by}",), *easy)}
    back = max(controls.setback_c - SET_BACK_K, COOLEST_SET_BACK_C)
    if back < controls.setback_c:
        found["set-back"] = ((f"controls.setback_c = {back}",), *easy)
    windows = 'hot_water.windows = [{ from = "11:00", to = "17:00", days = "all" }]'
    found["water heated in the mild hours"] = ((windows,), *easy)
    return found


def _short_k(case: Case) -> float:
    """By how many whole kelvin the curve is lower than the emitters need; 0 where it is not, or can't go up."""
    controls = case.controls
    if controls.flow == "least" or controls.design_flow_from_rooms:
        return 0.0
    lacks = ceil(needed_flow_c(case, loss_w_per_k(case)) - controls.design_flow_c - ROUNDING_K)
    return float(max(min(lacks, floor(highest_flow_c(case) - controls.design_flow_c)), 0))


def _spare_k(case: Case) -> float:
    """How far below today's the cheapest curve lies that leaves the home as warm [K]; one careful step for none."""
    try:
        now, lowest = simulate(case).comfort, min(usual_flows_c(case))
        flows = [case.controls.design_flow_c - k for k in range(1, floor(case.controls.design_flow_c - lowest) + 1)]
        swept = sweep_flow(case, flows)
    except CaseError:  # its curve is led by something else
        return CURVE_STEP_K
    held = swept.table["held"] | (not now.held)
    warm = [leaves_as_warm(now, then) and bool(one) for then, one in zip(swept.comforts, held, strict=True)]
    cost = swept.table["year_cost"].where(warm)
    return CURVE_STEP_K if cost.isna().all() else float(cost.idxmin() + 1)


def _car_timing(case: Case, tariffs: Sequence[Tariff]) -> dict[str, How]:
    """The cheap hours for a car that charges as soon as it may: within the hours in which it stands at its charger."""
    if case.car is None or case.car.charging == "by_price":
        return {}
    by_price = case.car.model_copy(update={"charging": "by_price"})
    for tariff in (case.tariff, *tariffs):
        home = vary(case, tariff=tariff)
        setting = setting_for(home)
        price = setting.signal.import_per_kwh
        now, best = (float(car_kw(setting.axis, car, price) @ price) for car in (case.car, by_price))
        if best < now - CAR_GAIN * abs(now):
            break
    else:
        return {}
    heed = "Charger, heat pump, oven and immersion must together stay under the main fuse: let an electrician check."
    return {"car charged in the cheap hours": (('car.charging = "by_price"',), "an hour", "you", heed)}


def _bought(case: Case) -> dict[str, How]:
    """What could be bought."""
    licensed, hot = "a licensed trade", "The circuit is hot and under pressure: drained and filled by the installer."
    known: dict[str, How] = {}
    if case.emitters.sized_for_flow_c is not None and case.emitters.sized_for_flow_c > RADIATOR_FLOW_C:
        lines: tuple[str, ...] = (
            f"emitters.sized_for_flow_c = {RADIATOR_FLOW_C}",
            f"controls.design_flow_c = {RADIATOR_FLOW_C}",
        )
        known["radiators"] = (lines, "a day", licensed, hot)
    unvented = "Unvented cylinders need their safety valves: licensed trade only."
    known["cylinder"] = (("hot_water.coil_area_m2 = 3.0", 'hot_water.loss_class = "B"'), "a day", licensed, unvented)
    if case.controls.mixing_penalty_k > 0:
        held = ("controls.buffer_l = 0.0",) if case.controls.buffer_l > 0 else ()
        known["buffer removal"] = (("controls.mixing_penalty_k = 0.0", *held), "a day", licensed, hot)
    if case.solar is None:
        lines = ("solar.array = [{ kwp = 4.0, tilt_deg = 35.0, azimuth_deg = 180.0 }]", "solar.inverter_kw = 4.0")
        known["solar"] = (
            lines,
            "a day",
            licensed,
            "Work at height, and current that can't be switched off in daylight.",
        )
    if case.battery is None:
        lines = ("battery.usable_kwh = 5.0", "battery.charge_kw = 2.5", "battery.discharge_kw = 2.5")
        known["battery"] = (lines, "a day", licensed, "Placed and connected by a licensed electrician.")
    known |= _air(case)
    for number, part in enumerate(case.home.loss.element or ()):
        words = part.name.lower()
        better = GLASS_U if part.glazing else ROOF_U if "roof" in words or "loft" in words else WALL_U
        better = FLOOR_U if "floor" in words else better
        if part.u_w_per_m2k > better:
            line = f"home.loss.element.{number}.u_w_per_m2k = {better}"
            known[f"insulate {part.name}"] = ((line,), "days of work", "a handy person", "Keep vents and flues free.")
    return known


def _air(case: Case) -> dict[str, How]:
    """Leaks closed, and a unit that gives the heat of the used air back."""
    known: dict[str, How] = {}
    air = case.ventilation
    fresh = (
        "A tighter home needs its fresh air on purpose, against damp, mould and radon; a stove or burner that takes "
        "its air from the rooms needs a sweep's word first."
    )
    n50 = default_table()["ventilation"]["n50"] if air is None else air.n50
    if (air is None or air.tightened_n50 is None) and n50 > TIGHT_N50:
        known["tighten the house"] = (
            (f"ventilation.tightened_n50 = {TIGHT_N50}",),
            "days of work",
            "a handy person",
            fresh,
        )
    if air is None or air.recovery is None:
        known["heat recovery"] = ((f"ventilation.recovery = {RECOVERY}",), "days of work", "a licensed trade", fresh)
    return known
