"""One home, its state and one step's weather, prices and wishes in; the state after and what flowed out.

This is where the laws are put together, and the only place. The kernel calls `step` compiled for every lane of every
step; explanations, tests and lessons call the same function in plain Python. Order within a step: water is drawn, the
cylinder stands, water is heated first (`water_step`), space heating has the time that is left (`space_step`), then the
electricity is settled here.
"""

from __future__ import annotations

from typing import NamedTuple

from simkit.physics.battery import charge_kw, discharge_kw, export_and_curtailed_kw, stored_after_kwh
from simkit.physics.constants import SAFE_ROOM_C
from simkit.physics.hot_water import TINY
from simkit.physics.law import law, pick
from simkit.physics.records import Flows, Home, Levels, Now, State
from simkit.physics.rooms import UNMET_KWH, cold_so_far_h, felt, unsafe
from simkit.physics.running import fuel_kw
from simkit.physics.space_step import Given, Wanted, emit, heat_space, short_after, wanted_heat, warmed
from simkit.physics.water_step import Reheat, Stood, heat_water, stand_water


class Stages(NamedTuple):
    """What the stages of a step found, in their order."""

    stood: Stood
    water: Reheat
    wish: Wanted
    given: Given


class Used(NamedTuple):
    """What the heat took in the step besides the compressor, means [kW]."""

    fuel: float
    boiler: float
    pumps_space: float
    pumps_water: float
    standby: float
    machine_runs: float


class Settled(NamedTuple):
    """How the home's electricity was settled in the step: means [kW], and what the battery holds after it [kWh]."""

    into: float  # the sun's part at the battery's terminals, the grid's at the meter
    out: float
    lost: float
    spared: float  # electricity of the panels that an inverter would have lost or cut away
    stored_kwh: float
    bought: float
    sold: float
    curtailed: float


@law
def used_for_heat(home: Home, now: Now, water: Reheat, given: Given, hours: float) -> Used:
    """Fuel, the boiler's own electricity, circulation pumps and standby."""
    boiler = now.by_boiler
    pumped = 1.0 - boiler
    water_kw = water.heat_kwh / hours
    fuel = boiler * fuel_kw(given.machine_kw, water_kw, home.per_space_efficiency, home.per_water_efficiency)
    own = boiler * home.boiler_pump_kw * (given.run_share + water.share) + home.boiler_standby_kw
    machine_runs = pick(given.machine_kw > TINY, 1.0, 0.0)
    at_work = pumped * (water.share + machine_runs * (1.0 - water.share))
    return Used(
        (1.0 - home.fuel_is_electric) * fuel,
        own + home.fuel_is_electric * fuel,
        pumped * (home.pump_kw + home.buffer_pump_kw) * given.run_share,
        pumped * home.pump_kw * water.share,
        home.standby_kw * (1.0 - at_work),
        machine_runs,
    )


@law
def settle(home: Home, now: Now, stored_kwh: float, net_kw: float, hours: float) -> Settled:
    """Settle what the home uses beyond its panels with battery and grid."""
    per_hour, through, per_through = 1.0 / hours, home.inverter_efficiency, home.per_inverter_efficiency
    surplus = (max(0.0, -net_kw) + now.clipped_kw) * per_through
    sun, filled = charge_kw(
        surplus, stored_kwh, home.usable_kwh, home.charge_kw, home.per_charge_efficiency, home.store_surplus,
        now.charge_to, home.shared_inverter_kw * through, per_hour,
    )  # fmt: skip
    from_grid = filled * per_through
    out = discharge_kw(
        net_kw, stored_kwh, home.reserve_kwh, min(home.discharge_kw, max(0.0, home.shared_inverter_kw - now.solar_kw)),
        home.discharge_efficiency, now.release, now.sell, home.export_limit_kw, per_hour,
    )  # fmt: skip
    out = pick(sun + filled < TINY, out, 0.0)
    after = stored_after_kwh(
        stored_kwh, sun + filled, out, home.charge_efficiency, home.per_discharge_efficiency, home.usable_kwh, hours
    )
    taken = max(0.0, sun * through - now.clipped_kw)  # of what the panels would have given to the home
    balance = net_kw + taken + from_grid - out
    sold, curtailed = export_and_curtailed_kw(-balance, home.export_limit_kw)
    into = sun + from_grid
    lost = into - (sun + filled) * home.charge_efficiency + out * (home.per_discharge_efficiency - 1.0)
    return Settled(into, out, lost, sun - taken, after, max(0.0, balance), sold, curtailed)


@law
def step(home: Home, state: State, now: Now, hours: float) -> tuple[State, Flows, Levels]:
    """Return the state after one step of one home, what flowed in it, and what it looked like."""
    stood = stand_water(home, state, now, hours)
    water = heat_water(home, now, stood, hours)
    wish = wanted_heat(home, state, now, to_rooms_kw(home, stood, hours), water.share)
    given = emit(home, heat_space(home, now, wish, state.emitter_k), state.emitter_k)
    return closed(home, state, now, Stages(stood, water, wish, given), hours)


@law
def to_rooms_kw(home: Home, stood: Stood, hours: float) -> float:
    """What the cylinder's losses give to the rooms, mean over the step [kW]."""
    return home.cylinder_loss_to_rooms * stood.lost_kwh / hours


@law
def closed(home: Home, state: State, now: Now, did: Stages, hours: float) -> tuple[State, Flows, Levels]:
    """Close the step: the rooms with what they got, the electricity settled, everything added up."""
    stood, water, wish, given = did.stood, did.water, did.wish, did.given
    per_hour = 1.0 / hours
    rooms, short = warmed(home, state, now, wish, given.emitted_kw), short_after(home, state, given.short_kw)
    use = used_for_heat(home, now, water, given, hours)
    backup, immersion = given.heat_kw - given.machine_kw, water.immersion_kwh * per_hour
    water_kw, water_electric = water.heat_kwh * per_hour, water.electric_kwh * per_hour
    net = (
        given.electric_kw + water_electric + backup + immersion + use.pumps_space + use.pumps_water
        + use.standby + use.boiler + now.household_kw + now.car_kw + home.battery_idle_kw - now.solar_kw
    )  # fmt: skip
    grid = settle(home, now, state.stored_kwh, net, hours)

    boiler = now.by_boiler
    pumped = 1.0 - boiler
    air = rooms.mean_air_c
    missing, unmet = now.needed_c - air, stood.wanted_kwh - stood.tapped_kwh
    cold_h = cold_so_far_h(missing, state.cold_for_h, hours)
    lost = home.air_side_kw_per_k * (air - now.outdoor_c)
    lost = lost + home.fabric_side_kw_per_k * (rooms.mean_fabric_c - now.outdoor_c)
    heating = pick(given.heat_kw > TINY, 1.0, 0.0)
    cycles = pumped * use.machine_runs * pick(given.load_share < wish.minimum_modulation, 1.0, 0.0)
    flows = Flows(
        given.heat_kw, given.emitted_kw, now.solar_gain_kw, now.internal_gain_kw, to_rooms_kw(home, stood, hours),
        rooms.vented_kw, lost,
        water_kw + immersion, stood.tapped_kwh * per_hour, unmet * per_hour,
        stood.lost_kwh * per_hour, pumped * given.machine_kw, pumped * water_kw, given.electric_kw, water_electric,
        backup, immersion, use.pumps_space, use.pumps_water, use.standby,
        boiler * given.machine_kw, boiler * water_kw, use.fuel, use.boiler,
        now.household_kw, now.car_kw, now.solar_kw + grid.spared, grid.curtailed, grid.into, grid.out,
        home.battery_idle_kw, grid.lost, grid.bought, grid.sold,
        max(0.0, missing - home.tolerance_k), pick(air < SAFE_ROOM_C, 1.0, 0.0),
        now.occupied * max(0.0, air - home.over_c), felt(missing), unsafe(air, now.needed_c),
        pick(unmet > UNMET_KWH, 1.0, 0.0), wish.heat_kw - given.heat_kw, heating, cycles,
        cycles * given.machine_kw, water.share,
    )  # fmt: skip
    after = State(
        rooms.end_air_c, rooms.end_fabric_c, water.hot_c, water.cold_c, water.hot_share,
        pick(water.missing_kwh > 1e-6, 1.0, 0.0), grid.stored_kwh,
        min(state.coldest_room_c, air), max(state.peak_import_kw, grid.bought), short.air_k, short.fabric_k,
        given.emitter_k, cold_h, max(state.longest_cold_h, cold_h), max(state.most_below_k, missing),
    )  # fmt: skip
    levels = Levels(
        air, rooms.mean_fabric_c, air + given.mean_emitter_k, heating * wish.flow_c, water.hot_c, water.cold_c,
        water.hot_share, water.flow_c, wish.capacity_kw, pumped * wish.capacity_kw * wish.minimum_modulation,
        given.load_share, grid.stored_kwh,
    )  # fmt: skip
    return after, flows, levels
