"""One home's cylinder before a step in; the cylinder after it, what was drawn, lost and put in, and by what, out.

In two stages, so that the kernel can leave the second out where no lane of a step calls for it.
"""

from __future__ import annotations

from typing import NamedTuple

from simkit.physics.hot_water import (
    TINY,
    charge,
    coil_flow_c,
    coil_limits_from_c,
    coil_power_kw,
    coil_water_c,
    draw,
    reach_c,
    room_for_kwh,
    sensed_c,
    stand,
)
from simkit.physics.law import law, pick
from simkit.physics.records import Home, Now, State
from simkit.physics.running import capacity_at, electricity_at, minimum_modulation_at, places_at

DEVIATION_OF_EVEN = 0.2886751345948129  # 1 / √12: standard deviation of what is spread evenly, by its width


class Stood(NamedTuple):
    """The cylinder drawn from and stood, before it is heated; whether it is called to be."""

    hot_c: float
    cold_c: float
    hot_share: float
    tapped_kwh: float
    wanted_kwh: float
    lost_kwh: float
    called: float


class Reheat(NamedTuple):
    """What the machine and the immersion heater put into the cylinder in the step, and the zones after it."""

    hot_c: float
    cold_c: float
    hot_share: float
    heat_kwh: float
    electric_kwh: float
    immersion_kwh: float
    missing_kwh: float
    share: float
    flow_c: float


@law
def water_called(home: Home, now: Now, hot: float, cold: float, share: float, reheating: float) -> float:
    """1 where the cylinder is heated in this step: by its sensor, once begun to the end, or by the hygiene cycle."""
    called = sensed_c(hot, cold, share, home.sensor_height) < now.water_target_c - home.hysteresis_k
    asked = max(pick(called, 1.0, 0.0), reheating, now.water_forced)
    return pick(now.water_target_c > 0.0, asked, 0.0)


@law
def stand_water(home: Home, state: State, now: Now, hours: float) -> Stood:
    """Draw from the cylinder, let it stand, and ask its sensor."""
    wanted = home.draw_scale * now.draw_kw * hours
    hot, cold, share, served = state.hot_c, state.cold_c, state.hot_share, 0.0
    if wanted > 0.0:
        hot, cold, share, served = draw(hot, cold, share, wanted, now.cold_water_c, home.use_c, home.cylinder_kwh_per_k)
    hot, cold, lost = stand(hot, cold, share, state.air_c, home.cylinder_decay, home.cylinder_kwh_per_k)
    called = water_called(home, now, hot, cold, share, state.reheating)
    return Stood(hot, cold, share, served, wanted, lost, called)


@law
def left_alone(stood: Stood) -> Reheat:
    """The cylinder where nothing heats it."""
    return Reheat(stood.hot_c, stood.cold_c, stood.hot_share, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


@law
def heat_water(home: Home, now: Now, stood: Stood, hours: float) -> Reheat:
    """Heat the cylinder where it is called to be."""
    made = left_alone(stood)
    if stood.called > 0.5:
        made = reheat(home, now, stood.hot_c, stood.cold_c, stood.hot_share, hours)
    return made


@law
def reheat(home: Home, now: Now, hot: float, cold: float, share: float, hours: float) -> Reheat:
    """Heat the cylinder by the machine as far as its flow reaches, the rest by the immersion where that is allowed.

    First at the machine's capacity, the flow rising with the water; then, where the coil is small, at the hottest flow
    and with what the coil still passes. The capacity is that at the mean flow of the first part. The water cools across
    the coil by the design difference at full capacity and by less in proportion: Q = U·(F − ½·Δ·Q/capacity − T). The
    flow rises in the step: electricity is the mean of that at two flows, its standard deviation beside the mean.
    """
    per_k, per_kwh = home.cylinder_kwh_per_k, home.per_cylinder_kwh_per_k
    target, difference, boiler = now.water_target_c, home.water_difference_k, now.by_boiler > 0.5
    highest = pick(boiler, home.boiler_water_flow_c, home.water_highest_flow_c)
    reach = reach_c(target, highest)
    fits = room_for_kwh(hot, cold, share, reach, per_k)

    flow = min(highest, coil_flow_c(0.5 * (cold + reach), now.capacity_0_kw, home.per_coil_kw_per_k, difference))
    capacity = pick(boiler, home.boiler_kw, capacity_at(now, places_at(home, flow)))
    per_capacity = 1.0 / max(capacity, TINY)
    limited_from = coil_limits_from_c(capacity, home.per_coil_kw_per_k, highest, difference)
    first = min(room_for_kwh(hot, cold, share, min(limited_from, reach), per_k), capacity * hours)
    met = coil_water_c(hot, cold, share, first, per_k, per_kwh)
    first_flow = min(highest, coil_flow_c(met, capacity, home.per_coil_kw_per_k, difference))

    cold_1 = charge(hot, cold, share, first, per_k, per_kwh)[1]
    rest, time_left = fits - first, max(0.0, hours - first * per_capacity)
    from_flow = 1.0 / (home.per_coil_kw_per_k + 0.5 * difference * per_capacity)  # heat for each kelvin of F − T
    power = min(capacity, coil_power_kw(cold_1, reach, rest, from_flow, highest, time_left))
    second = min(rest, power * time_left)

    heat = first + second
    time_share = min(first * per_capacity + second / max(power, TINY), hours) / hours
    flow = (first * first_flow + second * highest) / max(heat, TINY)
    load_share = heat * per_capacity / max(time_share * hours, TINY)
    started = min(highest, coil_flow_c(cold, capacity, home.per_coil_kw_per_k, difference))
    ended = pick(
        second > TINY, highest, min(highest, coil_flow_c(cold_1, capacity, home.per_coil_kw_per_k, difference))
    )
    aside = DEVIATION_OF_EVEN * (ended - started)
    least = minimum_modulation_at(now, places_at(home, flow))
    cooler = electricity_at(home, now, flow - aside, load_share, least)
    per_heat = 0.5 * (cooler + electricity_at(home, now, min(flow + aside, highest), load_share, least))

    missing = max(0.0, room_for_kwh(hot, cold, share, target, per_k) - heat)
    done = pick(fits - heat < TINY, 1.0, 0.0)
    beside = pick(now.immersion_allowed > 1.5, 1.0, pick(capacity < TINY, 1.0, 0.0))
    helps = pick(now.immersion_allowed > 0.5, max(done, beside), 0.0)
    time = pick(beside > 0.5, 1.0, 1.0 - time_share) * hours
    immersion = helps * min(missing, home.immersion_kw * time)
    left = fits - heat + pick(now.immersion_allowed > 0.5, missing - immersion, 0.0)
    hot, cold, share = charge(hot, cold, share, heat + immersion, per_k, per_kwh)
    return Reheat(hot, cold, share, heat, pick(boiler, 0.0, heat * per_heat), immersion, left, time_share, flow)
