"""What one step of one home takes and gives, as named tuples of floats: the words that the laws and the kernel share.

Home is what does not change over the year, State what a step hands to the next, Now what comes from outside in a step,
Flows what a step moved (means over the step, summed over the year), Levels what it looked like (recorded, not summed).
Powers in kW, energies in kWh, conductances in kW/K, temperatures in °C, shares and switches 0 to 1, prices per kWh.
"""

from __future__ import annotations

from typing import NamedTuple


class Home(NamedTuple):
    """Constants of a home. A field ``per_…`` is one divided by the quantity: multiplying is far cheaper."""

    # building: the exact step response (physics/building.py), and what its balance is drawn up with
    end_aa: float
    end_af: float
    end_ao: float
    end_aqa: float
    end_aqf: float
    end_fa: float
    end_ff: float
    end_fo: float
    end_fqa: float
    end_fqf: float
    mean_aa: float
    mean_af: float
    mean_ao: float
    mean_aqa: float
    mean_aqf: float
    mean_fa: float
    mean_ff: float
    mean_fo: float
    mean_fqa: float
    mean_fqf: float
    air_kwh_per_k: float
    fabric_kwh_per_k: float
    air_side_kw_per_k: float
    fabric_side_kw_per_k: float
    internal_to_air: float
    solar_to_air: float
    open_windows_above_c: float
    open_window_kw_per_k: float
    per_end_aqa: float
    per_end_by_emitter: float  # emitters' heat is split between the nodes by their share to the fabric
    # emitters and flow control
    rated_kw: float
    exponent: float
    inverse_exponent: float
    emitter_mass_share: float
    per_rated_kw: float
    per_water_kw_per_k: float
    water_difference_k: float
    flow_fixed: float
    flow_least: float
    design_flow_c: float
    design_excess_k: float  # mean water over the room at the design point
    first_share: float  # where emitter_limit_kw starts
    floor_c: float
    ceiling_c: float
    recovery_lift_k: float
    room_influence: float  # flow per kelvin of room error
    mixing_penalty_k: float
    # rooms of unequal emitters (emitters.uneven_limit_kw): lines under which what they get together lies
    room_share_0: float  # of the heat that would hold every room
    room_share_1: float
    room_share_2: float
    room_share_3: float
    room_share_4: float
    room_slope_0: float  # of the most that all emitters give
    room_slope_1: float
    room_slope_2: float
    room_slope_3: float
    room_slope_4: float
    set_point_shift_k: float  # what is really held, over the set-point
    # what the emitters hold (physics/emitter_store.py)
    emitter_kwh_per_k: float  # 0 where they pass on what comes
    emitter_fill_kw_per_k: float
    emitter_settled_k_per_kw: float  # mean water over the room at the design load, by that load
    emitter_kw_per_k_of_step: float  # power that warms the store by a kelvin in a step
    emitter_k_per_kw: float  # 1 / that
    # heat pump
    knot_0_c: float
    knot_1_c: float
    knot_2_c: float
    knot_3_c: float
    per_span_0: float  # 1 / distance to the next knot, 0 where there is none
    per_span_1: float
    per_span_2: float
    per_span_3: float
    least_lift_k: float
    tested_lift_k: float
    rise_per_k: float  # of COP below the least tested lift
    rise_per_k2: float
    efficiency_scale: float
    cycling_degradation: float
    part_load_gain: float
    highest_flow_c: float
    water_highest_flow_c: float  # sent to the coil
    pump_kw: float
    buffer_pump_kw: float  # behind a buffer or header, for the rooms alone
    standby_kw: float
    backup_kw: float
    backup_below_c: float
    # hot water
    cylinder_kwh_per_k: float
    per_cylinder_kwh_per_k: float
    cylinder_decay: float
    cylinder_loss_to_rooms: float
    coil_kw_per_k: float
    per_coil_kw_per_k: float
    hysteresis_k: float
    sensor_height: float
    use_c: float
    draw_scale: float
    immersion_kw: float
    # boiler
    boiler_kw: float
    boiler_flow_c: float
    boiler_water_flow_c: float  # sent to the coil
    per_space_efficiency: float
    per_water_efficiency: float
    boiler_pump_kw: float
    boiler_standby_kw: float
    fuel_is_electric: float
    # battery and connection
    usable_kwh: float
    reserve_kwh: float
    charge_kw: float
    discharge_kw: float
    charge_efficiency: float
    per_charge_efficiency: float
    discharge_efficiency: float
    per_discharge_efficiency: float
    battery_idle_kw: float
    store_surplus: float
    inverter_efficiency: float  # of the inverter between battery and home that its own efficiencies leave out; else 1
    per_inverter_efficiency: float
    shared_inverter_kw: float  # most that panels and battery give through it
    export_limit_kw: float
    # comfort
    tolerance_k: float
    over_c: float


class State(NamedTuple):
    """What a step hands on: the nodes, the cylinder, whether it is being reheated, the battery, extremes."""

    air_c: float
    fabric_c: float
    hot_c: float
    cold_c: float
    hot_share: float
    reheating: float
    stored_kwh: float
    coldest_room_c: float
    peak_import_kw: float
    short_air_k: float  # what rooms with too small an emitter take off the nodes
    short_fabric_k: float
    emitter_k: float  # the mean water over the room that would keep the emitters as warm as they are
    cold_for_h: float  # how long the rooms have been far below the needed temperature without a break
    longest_cold_h: float  # the longest such time of the year
    most_below_k: float  # the furthest below it


class Now(NamedTuple):
    """What comes from outside in one step."""

    outdoor_c: float
    source_c: float
    efficiency_0: float
    efficiency_1: float
    efficiency_2: float
    efficiency_3: float
    efficiency_4: float
    capacity_0_kw: float
    capacity_1_kw: float
    capacity_2_kw: float
    capacity_3_kw: float
    capacity_4_kw: float
    minimum_modulation_0: float  # least output without stopping, by capacity
    minimum_modulation_1: float
    minimum_modulation_2: float
    minimum_modulation_3: float
    minimum_modulation_4: float
    curve_share: float
    curve_shape: float
    heating_season: float  # 1 where the controller's damped outdoor temperature calls for heat
    solar_gain_kw: float
    internal_gain_kw: float
    set_point_c: float
    needed_c: float
    occupied: float
    draw_kw: float
    cold_water_c: float
    water_target_c: float  # 0 where the water may not be heated
    water_forced: float
    immersion_allowed: float  # 1 once the machine has done what it can, 2 beside it
    household_kw: float
    car_kw: float
    solar_kw: float
    clipped_kw: float  # of the panels, what the limit of an inverter cuts away that a battery sits behind
    by_boiler: float  # 1 where the step's heat comes from the boiler
    charge_to: float
    release: float
    sell: float


class Flows(NamedTuple):
    """Means over one step; their sum times the step's hours is the year's kWh (K·h and h for the comfort counts)."""

    space_heat: float  # made for the rooms, into their emitters
    emitted: float  # out of the emitters, into the rooms
    solar_gain: float
    internal_gain: float
    cylinder_to_rooms: float
    vented: float
    envelope_loss: float
    hot_water: float
    tap_water: float
    tap_water_unmet: float
    cylinder_loss: float
    heat_pump_space_heat: float
    heat_pump_water_heat: float
    heat_pump_space: float
    heat_pump_water: float
    backup_heater: float
    immersion: float
    pumps_space: float
    pumps_water: float
    standby: float
    boiler_space_heat: float
    boiler_water_heat: float
    fuel: float
    boiler: float
    household: float
    car: float
    solar: float
    curtailed: float
    battery_charge: float
    battery_discharge: float
    battery_idle: float
    battery_lost: float
    grid_import: float
    grid_export: float
    below_k: float
    below_18: float
    over_k: float
    cool: float  # 1 where the rooms are felt to be below the needed temperature
    under_18_wanted: float  # 1 where they are under 18 °C and more was needed
    water_short: float  # 1 where the taps ran cold
    short_kw: float
    heating: float
    cycling: float
    cycling_heat: float
    water_share: float


class Levels(NamedTuple):
    """What the home looked like in one step; recorded for one home at a time."""

    air_c: float
    fabric_c: float
    emitter_c: float
    flow_c: float
    cylinder_hot_c: float
    cylinder_cold_c: float
    cylinder_hot_share: float
    water_flow_c: float
    capacity_kw: float
    least_output_kw: float
    load_ratio: float  # load over capacity
    battery_kwh: float
