"""A case and its heat loss in; design load, size of the emitters and the constants of emitters and curve out."""

from __future__ import annotations

from simkit.assemble.building import Shell, air_saved_w_per_k
from simkit.assemble.room_limits import room_lines
from simkit.assemble.rooms import design_flow_c, least_rating_kw, room_set, rooms_bend
from simkit.case.case import Case
from simkit.physics.constants import KWH_PER_LITRE_K
from simkit.physics.emitter_store import (
    PIPE_M,
    SCREED_KWH_PER_M3K,
    STEEL_KWH_PER_KG_K,
    fill_kw_per_k,
    floor_store_share,
)
from simkit.physics.emitters import excess_for_k, first_guess, relative_output

BOILER_RESERVE_K = 10.0  # own: radiators were sized with reserve under the boiler's flow


def design_load_kw(case: Case, loss_w_per_k: float) -> float:
    """Heat needed on the design day in the warmest room that is needed, gains left out [kW]."""
    return loss_w_per_k / 1000.0 * (case.comfort.warmest_c - case.site.design_outdoor_c)


def emitter_rating_kw(case: Case, loss_w_per_k: float) -> float:
    """Output of the emitters at 50 K above the room [kW]: stated, or what meets the design load at the stated flow.

    With a boiler the radiators are not what limits the home: there they meet the design load `BOILER_RESERVE_K` below
    the boiler's flow, whatever emitters the heat pump is planned with. So the same house burns the same fuel in every
    option.
    """
    emitters = case.emitters
    by_boiler = case.heat_source == "boiler" and case.boiler is not None
    if case.room and not by_boiler:
        return sum(room.at_50_kw for room in case.room)
    if emitters.rated_kw is not None and not by_boiler:
        return emitters.rated_kw
    flow = float(emitters.sized_for_flow_c or 0.0)
    if by_boiler and case.boiler is not None:
        flow = case.boiler.flow_c - BOILER_RESERVE_K
    excess = max(flow - 0.5 * emitters.water_difference_k - case.comfort.warmest_c, 1.0)
    before = loss_w_per_k + air_saved_w_per_k(case)  # they were sized before the air was held back
    return float(design_load_kw(case, before) / relative_output(excess, emitters.exponent))


def needed_flow_c(case: Case, loss_w_per_k: float) -> float:
    """Flow at which the emitters meet the design load [°C]."""
    share = design_load_kw(case, loss_w_per_k) / emitter_rating_kw(case, loss_w_per_k)
    excess = float(excess_for_k(share, rooms_bend(case)))
    return case.comfort.warmest_c + excess + 0.5 * case.emitters.water_difference_k


def emitter_kwh_per_k(case: Case, rated_kw: float) -> float:
    """What the emitters hold for each kelvin: water, steel and a heated floor's screed; 0 where it isn't counted."""
    emitters = case.emitters
    water = KWH_PER_LITRE_K * emitters.water_l_per_kw * rated_kw
    steel = STEEL_KWH_PER_KG_K * emitters.steel_kg_per_kw * rated_kw
    screed = SCREED_KWH_PER_M3K * emitters.screed_mm / 1000.0 * case.home.floor_area_m2
    return emitters.stores * (water + steel + screed)


def store_constants(case: Case, rated_kw: float, bend: float, load_kw: float, hours: float) -> dict[str, float]:
    """Constants of what the emitters hold by the kernel's names, for the design load and its step."""
    emitters, excess_k = case.emitters, float(excess_for_k(load_kw / rated_kw, bend))
    share = 1.0
    if emitters.screed_mm > 0.0:
        above_m = max(emitters.screed_mm / 1000.0 - PIPE_M, 0.0)
        output = 1000.0 * load_kw / (excess_k * case.home.floor_area_m2)
        share = floor_store_share(emitters.covering_m2k_per_w, above_m, output)
    # a buffer is as warm as the mean water
    held = share * emitter_kwh_per_k(case, rated_kw) + KWH_PER_LITRE_K * case.controls.buffer_l
    between_k = 0.5 * emitters.water_difference_k + (1.0 - share) * excess_k
    return {
        "emitter_kwh_per_k": held,
        "emitter_settled_k_per_kw": excess_k / load_kw,
        "emitter_kw_per_k_of_step": held / hours,
        "emitter_k_per_kw": hours / held if held else 0.0,
        "emitter_fill_kw_per_k": share
        * fill_kw_per_k(held / share, between_k / load_kw, bend * load_kw / excess_k / share, hours),
    }


def emitter_constants(case: Case, house: Shell, hours: float) -> dict[str, float]:
    """Constants of emitters, curve and rooms by the kernel's names."""
    emitters, controls, exact, share = case.emitters, case.controls, house.response, case.emitters.mass_share
    rated, load = emitter_rating_kw(case, house.loss_w_per_k), design_load_kw(case, house.loss_w_per_k)
    water = load / emitters.water_difference_k
    bend, flow_c = rooms_bend(case), design_flow_c(case, house.loss_w_per_k)
    needed_k = excess_for_k(load / rated, bend)  # mean water over the room at the design load
    design_k = flow_c - 0.5 * emitters.water_difference_k - case.comfort.warmest_c
    least_rated = rated
    if case.room and case.heat_source != "boiler":
        least_rated = least_rating_kw(room_set(case, house.loss_w_per_k), load, case.comfort.warmest_c, bend)
    least_k = excess_for_k(load / least_rated, bend)
    warming = (1.0 - share) * exact.mean_aqa + share * exact.mean_aqf
    lines = zip(("share", "slope"), room_lines(case, house.loss_w_per_k), strict=True)
    single = {f"room_{of}_{k}": value for of, values in lines for k, value in enumerate(values)}
    return (
        single
        | store_constants(case, rated, bend, load, hours)
        | {
            "rated_kw": rated,
            "per_rated_kw": 1.0 / least_rated,
            "exponent": bend,
            "inverse_exponent": 1.0 / bend,
            "emitter_mass_share": emitters.mass_share,
            "per_water_kw_per_k": 1.0 / water,
            "water_difference_k": emitters.water_difference_k,
            "flow_fixed": float(controls.flow == "fixed"),
            "flow_least": float(controls.flow == "least"),
            "design_flow_c": flow_c,
            # the least flow is held under the curve that the emitters themselves need
            "design_excess_k": least_k if controls.flow == "least" else design_k,
            "first_share": first_guess(needed_k, load, 0.5 / water + warming),
            "floor_c": controls.floor_c,
            "ceiling_c": controls.ceiling_c,
            "recovery_lift_k": controls.recovery_lift_k,
            "room_influence": controls.room_influence,
            "buffer_pump_kw": controls.buffer_pump_w / 1000.0,
            "mixing_penalty_k": controls.mixing_penalty_k,
        }
    )
