"""One home, its state and one step's weather, prices and wishes in; the state after and what flowed out.

This is where the laws are put together, and the only place. The kernel calls `step` compiled for every lane of every
step; explanations, tests and lessons call the same function in plain Python. Order within a step: water is drawn, the
cylinder stands, water is heated first, space heating has the time that is left, then the electricity is settled.
"""

from __future__ import annotations

from typing import NamedTuple

from simkit.physics.battery import charge_kw, discharge_kw, export_and_curtailed_kw, stored_after_kwh
from simkit.physics.boiler import boiler_cheaper, fuel_kw
from simkit.physics.emitters import (
    RECOVERY_BAND_K,
    compensated_flow_c,
    emitter_limit_kw,
    flow_for_c,
    held_flow_c,
)
from simkit.physics.heat_pump import (
    Places,
    along_segment,
    between_knots,
    cycling_factor,
    part_load_factor,
    working_cop,
)
from simkit.physics.hot_water import (
    TINY,
    charge,
    coil_flow_c,
    coil_power_kw,
    draw,
    reach_c,
    room_for_kwh,
    sensed_c,
    stand,
)
from simkit.physics.law import clamp, law, pick
from simkit.physics.records import Flows, Home, Levels, Now, State


class Water(NamedTuple):
    """What hot water did in the step: zones after, and means over the step [kW]."""

    hot_c: float
    cold_c: float
    hot_share: float
    reheating: float
    tapped_kw: float
    unmet_kw: float
    loss_kw: float
    heat_kw: float
    electric_kw: float
    immersion_kw: float
    share: float
    flow_c: float


class Space(NamedTuple):
    """What space heating did in the step: nodes after, and means over the step [kW]."""

    air_c: float
    fabric_c: float
    mean_air_c: float
    mean_fabric_c: float
    heat_kw: float
    machine_kw: float
    backup_kw: float
    electric_kw: float
    vented_kw: float
    short_kw: float
    flow_c: float
    capacity_kw: float
    load_ratio: float
    run_share: float


@law
def places_at(home: Home, flow_c: float) -> Places:
    """Where this flow lies between the machine's knots."""
    return Places(
        along_segment(flow_c, home.knot_0_c, home.per_span_0),
        along_segment(flow_c, home.knot_1_c, home.per_span_1),
        along_segment(flow_c, home.knot_2_c, home.per_span_2),
        along_segment(flow_c, home.knot_3_c, home.per_span_3),
    )


@law
def efficiency_at(now: Now, places: Places) -> float:
    """Second-law efficiency of the machine in this step [-]."""
    return between_knots(
        places, now.efficiency_0, now.efficiency_1, now.efficiency_2, now.efficiency_3, now.efficiency_4
    )


@law
def capacity_at(home: Home, now: Now, flow_c: float) -> float:
    """Most heat the machine makes at this flow in this step [kW]."""
    return between_knots(
        places_at(home, flow_c),
        now.capacity_0_kw, now.capacity_1_kw, now.capacity_2_kw, now.capacity_3_kw, now.capacity_4_kw,
    )  # fmt: skip


@law
def running_cop(home: Home, now: Now, flow_c: float, load_kw: float, capacity: float) -> float:
    """COP while running at this load [-]: efficiency at the commanded flow, part load and cycling included."""
    share = load_kw / max(capacity, TINY)
    part = part_load_factor(share, home.minimum_share, home.part_load_gain)
    efficiency = efficiency_at(now, places_at(home, flow_c))
    cop = working_cop(efficiency, flow_c, now.source_c, home.least_lift_k, home.efficiency_scale, part)
    return cop * cycling_factor(share * home.per_minimum_share, home.degradation)


@law
def heats_by_boiler(home: Home, now: Now) -> float:
    """1 where this step's heat comes from the boiler, else 0; by price, the COP is that on the curve at full load."""
    flow_c = compensated_flow_c(
        now.curve_share, now.curve_shape, home.design_flow_c, home.design_room_c, home.water_difference_k
    )
    efficiency = efficiency_at(now, places_at(home, flow_c))
    cop = working_cop(efficiency, flow_c, now.source_c, home.least_lift_k, home.efficiency_scale, 1.0)
    cheaper = boiler_cheaper(now.import_price, cop, home.boiler_heat_price)
    return pick(now.outdoor_c < home.boiler_below_c, 1.0, cheaper)


@law
def heat_water(home: Home, state: State, now: Now, by_boiler: float, hours: float) -> Water:
    """Draw, stand and reheat the cylinder for one step (see the module for the order)."""
    per_k = home.cylinder_kwh_per_k
    wanted = home.draw_scale * now.draw_kw * hours
    hot, cold, share, served = draw(
        state.hot_c, state.cold_c, state.hot_share, wanted, now.feed_c, home.use_c, per_k
    )
    hot, cold, lost = stand(hot, cold, share, state.air_c, home.cylinder_decay, per_k)

    target = now.water_target_c
    called = sensed_c(hot, cold, share, home.sensor_height) < target - home.hysteresis_k
    asked = max(pick(called, 1.0, 0.0), max(state.reheating, now.water_forced))
    on = pick(target > 0.0, asked, 0.0)
    highest = pick(by_boiler > 0.5, home.boiler_flow_c, home.highest_flow_c)
    difference = home.water_difference_k
    reach = reach_c(target, highest, difference)
    below, whole = room_for_kwh(hot, cold, share, reach, per_k)
    fits = on * (below + whole)

    # The power depends on the temperature met, which depends on how much goes in: one pass from what full power would do.
    guess = min(fits, pick(by_boiler > 0.5, home.boiler_kw, capacity_at(home, now, reach + 5.0)) * hours)
    met = charge(hot, cold, share, guess, per_k, home.per_cylinder_kwh_per_k)[3]
    capacity = pick(by_boiler > 0.5, home.boiler_kw, capacity_at(home, now, min(highest, met + 5.0)))
    power = min(capacity, coil_power_kw(met, home.coil_kw_per_k, highest, difference))
    heat = min(fits, power * hours)
    hot, cold, share, met = charge(hot, cold, share, heat, per_k, home.per_cylinder_kwh_per_k)
    time_share = clamp(heat / max(power * hours, TINY), 0.0, 1.0)
    flow = min(highest, coil_flow_c(met, power, home.per_coil_kw_per_k, difference))
    cop = running_cop(home, now, flow, power, capacity)

    # What is still missing after the machine has done what it can is the immersion's, where it is allowed.
    below, whole = room_for_kwh(hot, cold, share, target, per_k)
    machine_done = pick(fits - heat < TINY, 1.0, 0.0)
    immersion = on * machine_done * now.immersion_allowed
    immersion = immersion * min(below + whole, home.immersion_kw * (1.0 - time_share) * hours)
    hot, cold, share, _ = charge(hot, cold, share, immersion, per_k, home.per_cylinder_kwh_per_k)
    more = fits - heat + now.immersion_allowed * machine_done * on * (below + whole - immersion)
    reheating = pick(more > 1e-6, 1.0, 0.0)
    per_hour = 1.0 / hours
    return Water(
        hot, cold, share, reheating, served * per_hour, (wanted - served) * per_hour, lost * per_hour,
        heat * per_hour, (1.0 - by_boiler) * heat * per_hour / max(cop, TINY), immersion * per_hour, time_share, flow,
    )  # fmt: skip


@law
def commanded_flow_c(home: Home, state: State, now: Now, heat_kw: float, ceiling_c: float) -> float:
    """Flow the controller asks for in this step [°C], recovery lift included."""
    curve = compensated_flow_c(
        now.curve_share, now.curve_shape, home.design_flow_c, home.design_room_c, home.water_difference_k
    )
    least = flow_for_c(heat_kw, home.per_rated_kw, home.inverse_exponent, state.air_c, home.per_water_kw_per_k)
    flow = pick(home.flow_least > 0.5, least, pick(home.flow_fixed > 0.5, home.design_flow_c, curve))
    lift = pick(now.set_point_c + home.set_point_shift_k - state.air_c > RECOVERY_BAND_K, home.recovery_lift_k, 0.0)
    return held_flow_c(flow, lift, home.floor_c, ceiling_c)


@law
def heat_space(home: Home, state: State, now: Now, by_boiler: float, water: Water) -> Space:
    """Bring the air towards its set-point with what emitters and machine can do in the time that water leaves."""
    to_rooms = home.cylinder_loss_to_rooms * water.loss_kw
    gain_air = home.internal_to_air * now.internal_gain_kw + home.solar_to_air * now.solar_gain_kw + to_rooms
    gain_fabric = (1.0 - home.internal_to_air) * now.internal_gain_kw + (1.0 - home.solar_to_air) * now.solar_gain_kw
    s = home.emitter_mass_share
    free = (
        home.end_aa * state.air_c + home.end_af * state.fabric_c + home.end_ao * now.outdoor_c
        + home.end_aqa * gain_air + home.end_aqf * gain_fabric
    )  # fmt: skip
    per_kw = (1.0 - s) * home.end_aqa + s * home.end_aqf
    wanted = now.heating_season * max(0.0, (now.set_point_c + home.set_point_shift_k - free) * home.per_end_by_emitter)

    time_left = 1.0 - water.share
    ceiling = min(home.ceiling_c, home.highest_flow_c - home.mixing_penalty_k)
    ceiling = pick(by_boiler > 0.5, home.boiler_flow_c, ceiling)
    flow = commanded_flow_c(home, state, now, wanted, ceiling)
    flow = pick(by_boiler > 0.5, home.boiler_flow_c, flow)
    given_off = emitter_limit_kw(
        home.rated_kw, home.exponent, flow, state.air_c, home.per_water_kw_per_k, home.water_difference_k
    )
    made_at = flow + home.mixing_penalty_k
    capacity = pick(by_boiler > 0.5, home.boiler_kw, capacity_at(home, now, made_at))
    helped = (1.0 - by_boiler) * pick(now.outdoor_c < home.backup_below_c, home.backup_kw, 0.0)
    heat = time_left * min(wanted / max(time_left, TINY), min(given_off, capacity + helped))
    machine = min(heat, time_left * capacity)
    load = machine / max(time_left, TINY)
    cop = running_cop(home, now, made_at, load, capacity)

    load_ratio = load * home.per_minimum_share / max(capacity, TINY)
    # A boiler at its fixed flow is switched on and off by the room, a heat pump's circuit runs while heat is called for.
    called = pick(heat > TINY, time_left, 0.0)
    run_share = pick(by_boiler > 0.5, min(called, heat / max(given_off, TINY)), called)
    too_warm = max(0.0, free + per_kw * heat - home.open_windows_above_c) * home.per_end_aqa
    vented = min(too_warm, home.open_window_kw_per_k * max(0.0, state.air_c - now.outdoor_c))
    air_in = gain_air + (1.0 - s) * heat - vented
    fabric_in = gain_fabric + s * heat
    return Space(
        free + per_kw * heat - home.end_aqa * vented,
        home.end_fa * state.air_c + home.end_ff * state.fabric_c + home.end_fo * now.outdoor_c
        + home.end_fqa * air_in + home.end_fqf * fabric_in,
        home.mean_aa * state.air_c + home.mean_af * state.fabric_c + home.mean_ao * now.outdoor_c
        + home.mean_aqa * air_in + home.mean_aqf * fabric_in,
        home.mean_fa * state.air_c + home.mean_ff * state.fabric_c + home.mean_fo * now.outdoor_c
        + home.mean_fqa * air_in + home.mean_fqf * fabric_in,
        heat, machine, heat - machine, (1.0 - by_boiler) * machine / max(cop, TINY), vented, wanted - heat,
        flow, capacity, load_ratio, run_share,
    )  # fmt: skip


@law
def step(home: Home, state: State, now: Now, hours: float) -> tuple[State, Flows, Levels]:
    """Return the state after one step of one home, what flowed in it, and what it looked like."""
    per_hour = 1.0 / hours
    boiler = heats_by_boiler(home, now)
    water = heat_water(home, state, now, boiler, hours)
    space = heat_space(home, state, now, boiler, water)
    pumped = 1.0 - boiler

    heating = pick(space.heat_kw > TINY, 1.0, 0.0)
    run_space = space.run_share
    fuel = boiler * fuel_kw(space.machine_kw, water.heat_kw, home.per_space_efficiency, home.per_water_efficiency)
    own = home.boiler_pump_kw * (run_space + water.share) + home.boiler_standby_kw
    burner = boiler * own + home.fuel_is_electric * fuel
    machine_runs = pick(space.machine_kw > TINY, 1.0, 0.0)
    standby = home.standby_kw * (1.0 - pumped * (water.share + machine_runs * (1.0 - water.share)))
    pumps_space, pumps_water = pumped * home.pump_kw * run_space, pumped * home.pump_kw * water.share

    used = space.electric_kw + water.electric_kw + space.backup_kw + water.immersion_kw + pumps_space + pumps_water
    used = used + standby + burner + now.household_kw + now.car_kw + home.battery_idle_kw
    net = used - now.solar_kw
    into = charge_kw(
        net, state.stored_kwh, home.usable_kwh, home.charge_kw, home.per_charge_efficiency, home.store_surplus,
        now.fill_to, per_hour,
    )  # fmt: skip
    out = discharge_kw(
        net, state.stored_kwh, home.floor_kwh, home.discharge_kw, home.discharge_efficiency, now.release, now.sell,
        per_hour,
    )  # fmt: skip
    out = pick(into < TINY, out, 0.0)
    stored = stored_after_kwh(
        state.stored_kwh, into, out, home.charge_efficiency, home.per_discharge_efficiency, home.usable_kwh, hours
    )
    balance = net + into - out
    bought = max(0.0, balance)
    sold, curtailed = export_and_curtailed_kw(-balance, home.export_limit_kw)

    air = space.mean_air_c
    lost = home.air_side_kw_per_k * (air - now.outdoor_c)
    lost = lost + home.fabric_side_kw_per_k * (space.mean_fabric_c - now.outdoor_c)
    below_minimum = pick(space.load_ratio < 1.0, 1.0, 0.0)
    cycles = pumped * machine_runs * below_minimum
    cold = pick(air < 18.0, 1.0, 0.0)
    water_flow = pick(water.share > 0.0, water.flow_c, 0.0)
    flows = Flows(
        space.heat_kw, now.solar_gain_kw, now.internal_gain_kw, home.cylinder_loss_to_rooms * water.loss_kw,
        space.vented_kw, lost, water.heat_kw + water.immersion_kw, water.tapped_kw, water.unmet_kw, water.loss_kw,
        pumped * space.machine_kw, pumped * water.heat_kw, space.electric_kw, water.electric_kw, space.backup_kw,
        water.immersion_kw, pumps_space, pumps_water, standby, boiler * space.machine_kw, boiler * water.heat_kw,
        (1.0 - home.fuel_is_electric) * fuel, burner, now.household_kw, now.car_kw, now.solar_kw, curtailed, into, out,
        home.battery_idle_kw,
        into * (1.0 - home.charge_efficiency) + out * (home.per_discharge_efficiency - 1.0),
        bought, sold,
        max(0.0, now.needed_c - air - home.tolerance_k), cold,
        now.occupied * max(0.0, air - home.over_c), space.short_kw, heating, cycles, cycles * space.machine_kw,
        water.share,
    )  # fmt: skip
    after = State(
        space.air_c, space.fabric_c, water.hot_c, water.cold_c, water.hot_share, water.reheating, stored,
        min(state.coldest_room_c, air), max(state.peak_import_kw, bought),
    )  # fmt: skip
    levels = Levels(
        air, space.mean_fabric_c, heating * space.flow_c, water.hot_c, water.cold_c, water.hot_share,
        water_flow, space.capacity_kw, space.load_ratio, stored,
    )  # fmt: skip
    return after, flows, levels
