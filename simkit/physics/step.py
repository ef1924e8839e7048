"""One home, its state and one step's weather, prices and wishes in; the state after and what flowed out.

This is where the laws are put together, and the only place. The kernel calls `step` compiled for every lane of every
step; explanations, tests and lessons call the same function in plain Python. Order within a step: water is drawn, the
cylinder stands, water is heated first (`water_step`), space heating has the time that is left (`space_step`), then the
electricity is settled here.
"""

from __future__ import annotations

from typing import NamedTuple

from simkit.physics.battery import charge_kw, discharge_kw, export_and_curtailed_kw, stored_after_kwh
from simkit.physics.boiler import fuel_kw
from simkit.physics.hot_water import TINY
from simkit.physics.law import law, pick
from simkit.physics.records import Flows, Home, Levels, Now, State
from simkit.physics.space_step import Space, heat_space
from simkit.physics.water_step import Water, heat_water


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

    into: float
    out: float
    stored_kwh: float
    bought: float
    sold: float
    curtailed: float


@law
def used_for_heat(home: Home, now: Now, water: Water, space: Space) -> Used:
    """Fuel, the boiler's own electricity, circulation pumps and standby."""
    boiler = now.by_boiler
    pumped = 1.0 - boiler
    fuel = boiler * fuel_kw(space.machine_kw, water.heat_kw, home.per_space_efficiency, home.per_water_efficiency)
    own = boiler * home.boiler_pump_kw * (space.run_share + water.share) + home.boiler_standby_kw
    machine_runs = pick(space.machine_kw > TINY, 1.0, 0.0)
    at_work = pumped * (water.share + machine_runs * (1.0 - water.share))
    return Used(
        (1.0 - home.fuel_is_electric) * fuel,
        own + home.fuel_is_electric * fuel,
        pumped * (home.pump_kw + home.buffer_pump_kw) * space.run_share,
        pumped * home.pump_kw * water.share,
        home.standby_kw * (1.0 - at_work),
        machine_runs,
    )


@law
def settle(home: Home, now: Now, stored_kwh: float, net_kw: float, hours: float) -> Settled:
    """Settle what the home uses beyond its panels with battery and grid."""
    per_hour = 1.0 / hours
    into = charge_kw(
        net_kw, stored_kwh, home.usable_kwh, home.charge_kw, home.per_charge_efficiency, home.store_surplus,
        now.fill_to, per_hour,
    )  # fmt: skip
    out = discharge_kw(
        net_kw, stored_kwh, home.floor_kwh, home.discharge_kw, home.discharge_efficiency, now.release, now.sell,
        home.export_limit_kw, per_hour,
    )  # fmt: skip
    out = pick(into < TINY, out, 0.0)
    after = stored_after_kwh(
        stored_kwh, into, out, home.charge_efficiency, home.per_discharge_efficiency, home.usable_kwh, hours
    )
    balance = net_kw + into - out
    sold, curtailed = export_and_curtailed_kw(-balance, home.export_limit_kw)
    return Settled(into, out, after, max(0.0, balance), sold, curtailed)


@law
def step(home: Home, state: State, now: Now, hours: float) -> tuple[State, Flows, Levels]:
    """Return the state after one step of one home, what flowed in it, and what it looked like."""
    water = heat_water(home, state, now, hours)
    space = heat_space(home, state, now, water)
    use = used_for_heat(home, now, water, space)
    backup = space.heat_kw - space.machine_kw
    net = (
        space.electric_kw + water.electric_kw + backup + water.immersion_kw + use.pumps_space + use.pumps_water
        + use.standby + use.boiler + now.household_kw + now.car_kw + home.battery_idle_kw - now.solar_kw
    )  # fmt: skip
    grid = settle(home, now, state.stored_kwh, net, hours)

    boiler = now.by_boiler
    pumped = 1.0 - boiler
    air = space.mean_air_c
    lost = home.air_side_kw_per_k * (air - now.outdoor_c)
    lost = lost + home.fabric_side_kw_per_k * (space.mean_fabric_c - now.outdoor_c)
    heating = pick(space.heat_kw > TINY, 1.0, 0.0)
    cycles = pumped * use.machine_runs * pick(space.load_ratio < 1.0, 1.0, 0.0)
    flows = Flows(
        space.heat_kw, now.solar_gain_kw, now.internal_gain_kw, home.cylinder_loss_to_rooms * water.loss_kw,
        space.vented_kw, lost, water.heat_kw + water.immersion_kw, water.tapped_kw, water.unmet_kw, water.loss_kw,
        pumped * space.machine_kw, pumped * water.heat_kw, space.electric_kw, water.electric_kw, backup,
        water.immersion_kw, use.pumps_space, use.pumps_water, use.standby,
        boiler * space.machine_kw, boiler * water.heat_kw, use.fuel, use.boiler,
        now.household_kw, now.car_kw, now.solar_kw, grid.curtailed, grid.into, grid.out, home.battery_idle_kw,
        grid.into * (1.0 - home.charge_efficiency) + grid.out * (home.per_discharge_efficiency - 1.0),
        grid.bought, grid.sold,
        max(0.0, now.needed_c - air - home.tolerance_k), pick(air < 18.0, 1.0, 0.0),
        now.occupied * max(0.0, air - home.over_c), space.short_kw, heating, cycles, cycles * space.machine_kw,
        water.share,
    )  # fmt: skip
    after = State(
        space.air_c, space.fabric_c, water.hot_c, water.cold_c, water.hot_share, water.reheating, grid.stored_kwh,
        min(state.coldest_room_c, air), max(state.peak_import_kw, grid.bought),
    )  # fmt: skip
    levels = Levels(
        air, space.mean_fabric_c, heating * space.flow_c, water.hot_c, water.cold_c, water.hot_share,
        water.flow_c, space.capacity_kw, space.load_ratio, grid.stored_kwh,
    )  # fmt: skip
    return after, flows, levels
