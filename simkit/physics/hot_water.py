"""Draws, feed, target and power in; what the cylinder gives, loses and takes in one step out.

A hot zone stands on a cold zone and the boundary moves: a draw takes from the top and lets cold in at the bottom, so
that the last litre is as hot as the first; a coil low in the cylinder first warms the cold zone up to the hot one, then
both together. A mixed tank would give a third of the water. Energy in kWh, content in kWh/K, temperatures in °C.
"""

from __future__ import annotations

from typing import NamedTuple

from simkit.physics.law import clamp, law, pick

KWH_PER_LITRE_K = 1.163e-3  # water near 40 °C: 4.186 kJ/(kg K); CoolProp gives 0.034855 kWh/kg from 10 to 40 °C
TINY = 1e-9
APPROACH_K = 3.0  # own: a coil this near to its water has stopped being worth running the compressor for


class Cylinder(NamedTuple):
    """State of the cylinder: temperatures of the two zones [°C] and the hot zone's share of the volume [-]."""

    hot_c: float
    cold_c: float
    hot_share: float


@law
def content_kwh(hot_c: float, cold_c: float, hot_share: float, kwh_per_k: float) -> float:
    """Heat held above 0 °C [kWh]."""
    return kwh_per_k * (hot_share * hot_c + (1.0 - hot_share) * cold_c)


@law
def draw(
    hot_c: float, cold_c: float, hot_share: float, wanted_kwh: float, feed_c: float, use_c: float, kwh_per_k: float
) -> tuple[float, float, float, float]:
    """Draw hot water from the top; return the new zones and what was served [kWh].

    Water cooler than `use_c` is of no use and is not drawn: what is missing is the caller's to count. A lower zone warm
    enough for use counts as hot.
    """
    mixed = hot_share * hot_c + (1.0 - hot_share) * cold_c
    usable_below = cold_c >= use_c
    top_c = pick(usable_below, mixed, hot_c)
    share = pick(usable_below, 1.0, hot_share)
    per_share = kwh_per_k * max(top_c - feed_c, TINY)
    served = pick(top_c >= use_c, min(wanted_kwh, share * per_share), 0.0)
    taken = served / per_share
    left = share - taken
    low = 1.0 - share
    cold = pick(low + taken > TINY, (low * cold_c + taken * feed_c) / max(low + taken, TINY), cold_c)
    gone = left < TINY
    return pick(gone, cold, top_c), cold, pick(gone, 1.0, left), served


@law
def stand(
    hot_c: float, cold_c: float, hot_share: float, room_c: float, decay: float, kwh_per_k: float
) -> tuple[float, float, float]:
    """Stand for one step: both zones fall by the share `decay` of their excess over the room; return zones and loss [kWh]."""
    hot = hot_c - decay * (hot_c - room_c)
    cold = cold_c - decay * (cold_c - room_c)
    lost = kwh_per_k * decay * (hot_share * (hot_c - room_c) + (1.0 - hot_share) * (cold_c - room_c))
    return hot, cold, lost


@law
def room_for_kwh(
    hot_c: float, cold_c: float, hot_share: float, target_c: float, kwh_per_k: float
) -> tuple[float, float]:
    """Heat that fits until the target [kWh]: first into the cold zone up to the hot one, then into the whole."""
    below = kwh_per_k * (1.0 - hot_share) * max(0.0, min(hot_c, target_c) - cold_c)
    whole = kwh_per_k * max(0.0, target_c - hot_c)
    return below, whole


@law
def charge(
    hot_c: float, cold_c: float, hot_share: float, heat_kwh: float, kwh_per_k: float, per_kwh_per_k: float
) -> tuple[float, float, float, float]:
    """Put heat in from below; return the new zones and the mean temperature the coil met [°C]."""
    low = kwh_per_k * (1.0 - hot_share)
    below = min(heat_kwh, low * max(0.0, hot_c - cold_c))
    above = heat_kwh - below
    cold_end = pick(low > TINY, cold_c + below / max(low, TINY), hot_c)
    full = max(pick(above > 0.0, 1.0, 0.0), pick(hot_c - cold_end < 1e-7, 1.0, 0.0)) > 0.5
    start_c = hot_share * hot_c + (1.0 - hot_share) * cold_end  # what the whole starts from once it is one
    end_c = start_c + above * per_kwh_per_k
    met = (below * 0.5 * (cold_c + cold_end) + above * 0.5 * (start_c + end_c)) / max(heat_kwh, TINY)
    met = pick(heat_kwh > TINY, met, cold_c)
    return pick(full, end_c, hot_c), pick(full, end_c, cold_end), pick(full, 1.0, hot_share), met


@law
def coil_power_kw(met_c: float, coil_kw_per_k: float, highest_flow_c: float, water_difference_k: float) -> float:
    """Most heat the coil passes to water at `met_c` with the hottest flow the machine makes [kW]."""
    return max(0.0, coil_kw_per_k * (highest_flow_c - 0.5 * water_difference_k - met_c))


@law
def coil_flow_c(met_c: float, heat_kw: float, per_coil_kw_per_k: float, water_difference_k: float) -> float:
    """Flow temperature that passes `heat_kw` through the coil to water at `met_c` [°C]."""
    return met_c + heat_kw * per_coil_kw_per_k + 0.5 * water_difference_k


@law
def reach_c(target_c: float, highest_flow_c: float, water_difference_k: float) -> float:
    """Cylinder temperature the machine can reach by itself [°C]: the target, or what its hottest flow allows."""
    return min(target_c, highest_flow_c - 0.5 * water_difference_k - APPROACH_K)


@law
def sensed_c(hot_c: float, cold_c: float, hot_share: float, sensor_height: float) -> float:
    """What a sensor at this height (share from the bottom) reads [°C]."""
    return pick(hot_share > 1.0 - clamp(sensor_height, 0.0, 1.0), hot_c, cold_c)
