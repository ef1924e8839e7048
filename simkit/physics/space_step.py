"""One home's rooms before a step and the time that hot water left in; the rooms after it and the heat they got, out.

In three stages, what is wanted, what is given, and the rooms with it, so that the kernel can leave the second out where
no lane of a step wants heat.
"""

from __future__ import annotations

from typing import NamedTuple

from simkit.physics.emitter_store import Passed, Store, fed_limit_kw, passed_on
from simkit.physics.emitters import (
    Lines,
    compensated_flow_c,
    emitter_limit_kw,
    flow_for_c,
    recovery_lift_k,
    room_influence_k,
    uneven_limit_kw,
)
from simkit.physics.hot_water import TINY
from simkit.physics.law import clamp, law, pick
from simkit.physics.records import Home, Now, State
from simkit.physics.running import capacity_at, electricity_at, minimum_modulation_at, places_at


class Given(NamedTuple):
    """What machine and back-up heater give to the emitters in the step, and those to the rooms, means [kW]."""

    heat_kw: float
    machine_kw: float
    electric_kw: float
    load_share: float
    run_share: float
    short_kw: float  # what single rooms did not get because their own emitters were too small
    emitted_kw: float  # what the emitters pass on to the rooms
    emitter_k: float  # what they hold after the step, over the room
    mean_emitter_k: float


NOTHING = Given(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


class Wanted(NamedTuple):
    """The rooms without heating (see `Free`), the heat wanted [kW], and what it would be made with."""

    end_air_c: float
    end_fabric_c: float
    mean_air_c: float
    mean_fabric_c: float
    heat_kw: float
    rate_kw: float  # while there is time
    even_kw: float  # of it, what it would be had no room been short before
    time_left: float
    flow_c: float
    capacity_kw: float
    minimum_modulation: float  # least output by capacity
    kelvin_per_kw: float


class Rooms(NamedTuple):
    """The rooms after the step: nodes at its end and their means over it [°C], and what windows let out [kW]."""

    end_air_c: float
    end_fabric_c: float
    mean_air_c: float
    mean_fabric_c: float
    vented_kw: float


class Short(NamedTuple):
    """By how much rooms with too small an emitter draw down air and fabric of the house at the end of the step [K]."""

    air_k: float
    fabric_k: float


class Free(NamedTuple):
    """The rooms without heating: nodes at the end of the step and their means over it [°C]."""

    end_air_c: float
    end_fabric_c: float
    mean_air_c: float
    mean_fabric_c: float


@law
def free_course(home: Home, state: State, now: Now, to_rooms_kw: float) -> Free:
    """What weather, people, sun and the cylinder's losses alone make of the rooms."""
    air, fabric, outdoor = state.air_c, state.fabric_c, now.outdoor_c
    gain_air = home.internal_to_air * now.internal_gain_kw + home.solar_to_air * now.solar_gain_kw + to_rooms_kw
    gain_fabric = now.internal_gain_kw + now.solar_gain_kw + to_rooms_kw - gain_air
    return Free(
        home.end_aa * air + home.end_af * fabric + home.end_ao * outdoor
        + home.end_aqa * gain_air + home.end_aqf * gain_fabric,
        home.end_fa * air + home.end_ff * fabric + home.end_fo * outdoor
        + home.end_fqa * gain_air + home.end_fqf * gain_fabric,
        home.mean_aa * air + home.mean_af * fabric + home.mean_ao * outdoor
        + home.mean_aqa * gain_air + home.mean_aqf * gain_fabric,
        home.mean_fa * air + home.mean_ff * fabric + home.mean_fo * outdoor
        + home.mean_fqa * gain_air + home.mean_fqf * gain_fabric,
    )  # fmt: skip


@law
def commanded_flow_c(home: Home, state: State, now: Now, rate_kw: float, room_c: float, kelvin_per_kw: float) -> float:
    """Flow the controller asks for in this step [°C], recovery lift included.

    ``least`` is what the load of the step needs, and never more than the curve of the emitters with its lift: how hard
    a cool home is driven back up is the named lift, whatever the length of the step. A fixed flow stays fixed.
    """
    set_point = now.set_point_c + home.set_point_shift_k
    flow = compensated_flow_c(
        now.curve_share, now.curve_shape, set_point, home.design_excess_k, home.water_difference_k
    )
    missing = set_point - state.air_c
    flow = flow + recovery_lift_k(missing, home.recovery_lift_k) + room_influence_k(missing, home.room_influence)
    if home.flow_least > 0.5:
        flow = min(flow, flow_for_c(rate_kw, home.per_rated_kw, home.inverse_exponent, room_c, kelvin_per_kw))
    flow = pick(home.flow_fixed > 0.5, home.design_flow_c, flow)
    ceiling = min(home.ceiling_c, home.highest_flow_c - home.mixing_penalty_k)
    return pick(now.by_boiler > 0.5, home.boiler_flow_c, clamp(flow, home.floor_c, ceiling))


@law
def wanted_heat(home: Home, state: State, now: Now, loss_to_rooms_kw: float, water_share: float) -> Wanted:
    """What would bring the air to its set-point at the end of the step, and with what the machine would make it.

    The emitters give heat to the mean room of the step, which they warm themselves: `kelvin_per_kw` holds that and the
    cooling of the water on its way. Rooms whose emitters are too small draw the mean of the house down. The others are
    as warm as they should be, throttled, and want no more for it: what they all would want, had none been short, is
    `even_kw`; the rest would bring the short rooms up, and only their own emitters can give it.
    """
    free = free_course(home, state, now, loss_to_rooms_kw)
    set_point = now.set_point_c + home.set_point_shift_k
    wanted = now.heating_season * max(0.0, (set_point - free.end_air_c) * home.per_end_by_emitter)
    time_left = 1.0 - water_share
    rate = wanted / max(time_left, TINY)
    even = (set_point - free.end_air_c - left_short_k(home, state)) * home.per_end_by_emitter
    even_rate = now.heating_season * max(0.0, even) / max(time_left, TINY)
    s = home.emitter_mass_share
    kelvin_per_kw = 0.5 * home.per_water_kw_per_k + ((1.0 - s) * home.mean_aqa + s * home.mean_aqf) * time_left
    flow = commanded_flow_c(home, state, now, rate, free.mean_air_c, kelvin_per_kw)
    places = places_at(home, flow + home.mixing_penalty_k)
    capacity, minimum_modulation = capacity_at(now, places), minimum_modulation_at(now, places)
    capacity = pick(now.by_boiler > 0.5, home.boiler_kw, capacity)
    return Wanted(
        free.end_air_c, free.end_fabric_c, free.mean_air_c, free.mean_fabric_c, wanted, rate, even_rate, time_left,
        flow, capacity, minimum_modulation, kelvin_per_kw,
    )  # fmt: skip


@law
def heat_space(home: Home, now: Now, wish: Wanted, emitter_k: float) -> Given:
    """Give heat to the emitters where it is wanted."""
    given = NOTHING
    if wish.rate_kw > 0.0:
        given = give_heat(home, now, wish, emitter_k)
    return given


@law
def give_heat(home: Home, now: Now, wish: Wanted, emitter_k: float) -> Given:
    """Give what is wanted while there is time, as far as emitters, machine and back-up heater can."""
    boiler = now.by_boiler > 0.5
    capacity, time_left, made_at = wish.capacity_kw, wish.time_left, wish.flow_c + home.mixing_penalty_k
    excess = wish.flow_c - wish.mean_air_c
    given_off = most_fed_kw(home, excess, wish.kelvin_per_kw, emitter_k)
    helped = pick(boiler, 0.0, pick(now.outdoor_c < home.backup_below_c, home.backup_kw, 0.0))
    shares = Lines(home.room_share_0, home.room_share_1, home.room_share_2, home.room_share_3, home.room_share_4)
    slopes = Lines(home.room_slope_0, home.room_slope_1, home.room_slope_2, home.room_slope_3, home.room_slope_4)
    into_rooms = uneven_limit_kw(given_off, wish.even_kw, shares, slopes)
    rate = min(wish.rate_kw, into_rooms, capacity + helped)
    short = min(wish.even_kw, given_off, capacity + helped) - rate
    load = min(rate, capacity)
    load_share = load / max(capacity, TINY)
    electric = electricity_at(home, now, made_at, load_share, wish.minimum_modulation)
    # a boiler at its fixed flow is switched on and off by the room; a heat pump's circuit runs while heat is called for
    run = pick(boiler, rate / max(given_off, TINY), pick(rate > TINY, 1.0, 0.0))
    return Given(
        time_left * rate, time_left * load, pick(boiler, 0.0, time_left * load * electric), load_share, time_left * run,
        time_left * short, time_left * rate, 0.0, 0.0,
    )  # fmt: skip


@law
def most_fed_kw(home: Home, excess_k: float, kelvin_per_kw: float, emitter_k: float) -> float:
    """Most heat that the emitters take at a flow `excess_k` over the room, what warms their store counted [kW]."""
    steady = emitter_limit_kw(home.rated_kw, home.exponent, excess_k, kelvin_per_kw, home.first_share)
    return fed_limit_kw(steady, excess_k - kelvin_per_kw * steady, emitter_k, home.emitter_fill_kw_per_k)


@law
def pass_on(home: Home, fed_kw: float, emitter_k: float) -> Passed:
    """What the home's emitters pass on to its rooms of what they are fed and hold."""
    store = Store(
        home.rated_kw, home.emitter_settled_k_per_kw, home.exponent, home.emitter_kw_per_k_of_step,
        home.emitter_k_per_kw,
    )  # fmt: skip
    return passed_on(fed_kw, emitter_k, store)


@law
def emit(home: Home, given: Given, emitter_k: float) -> Given:
    """Let the emitters pass on to the rooms what they are given and what they hold."""
    passed = pass_on(home, given.heat_kw, emitter_k)
    return Given(
        given.heat_kw, given.machine_kw, given.electric_kw, given.load_share, given.run_share, given.short_kw,
        passed.heat_kw, passed.over_k, passed.mean_k,
    )  # fmt: skip


@law
def left_short_k(home: Home, state: State) -> float:
    """What is left at the end of the step of the kelvins that short rooms took off the air before it [K]."""
    return home.end_aa * state.short_air_k + home.end_af * state.short_fabric_k


@law
def short_after(home: Home, state: State, short_kw: float) -> Short:
    """What short rooms take off the nodes after the step: it fades with time, and grows by what they missed."""
    s = home.emitter_mass_share
    into_air, into_fabric = (1.0 - s) * short_kw, s * short_kw
    return Short(
        left_short_k(home, state) + home.end_aqa * into_air + home.end_aqf * into_fabric,
        home.end_fa * state.short_air_k + home.end_ff * state.short_fabric_k
        + home.end_fqa * into_air + home.end_fqf * into_fabric,
    )  # fmt: skip


@law
def warmed(home: Home, state: State, now: Now, wish: Wanted, heat_kw: float) -> Rooms:
    """The rooms with the heat they got; windows are opened where they would get too warm."""
    s = home.emitter_mass_share
    end_air = wish.end_air_c + ((1.0 - s) * home.end_aqa + s * home.end_aqf) * heat_kw
    too_warm = max(0.0, end_air - home.open_windows_above_c) * home.per_end_aqa
    vented = min(too_warm, home.open_window_kw_per_k * max(0.0, state.air_c - now.outdoor_c))
    into_air, into_fabric = (1.0 - s) * heat_kw - vented, s * heat_kw
    return Rooms(
        end_air - home.end_aqa * vented,
        wish.end_fabric_c + home.end_fqa * into_air + home.end_fqf * into_fabric,
        wish.mean_air_c + home.mean_aqa * into_air + home.mean_aqf * into_fabric,
        wish.mean_fabric_c + home.mean_fqa * into_air + home.mean_fqf * into_fabric,
        vented,
    )
