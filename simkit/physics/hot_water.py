"""Draws, cold water, target and power in; what the cylinder gives, loses and takes in one step out.

A hot zone stands on a cold zone and the boundary moves: a draw takes from the top and lets cold in at the bottom, so
that the last litre is as hot as the first; a coil low in the cylinder first warms the cold zone up to the hot one, then
both together. A mixed tank would give a third of the water. Energy in kWh, content in kWh/K, temperatures in °C.
"""

from __future__ import annotations

from simkit.physics.law import LN_2, clamp, exponential_2, law, logarithm_2, pick

TINY = 1e-9  # own: what counts as nothing, in kWh, kW, kelvins and shares alike
APPROACH_K = 3.0  # own: a coil this near to its water has stopped being worth running the compressor for


@law
def content_kwh(hot_c: float, cold_c: float, hot_share: float, kwh_per_k: float) -> float:
    """Heat held above 0 °C [kWh].

    Parameters
    ----------
    hot_c, cold_c, hot_share
        The two zones [°C], and the hot zone's share of the volume [0 to 1].
    kwh_per_k
        Heat content of the cylinder [kWh/K].
    """
    return kwh_per_k * (hot_share * hot_c + (1.0 - hot_share) * cold_c)


@law
def draw(
    hot_c: float,
    cold_c: float,
    hot_share: float,
    wanted_kwh: float,
    cold_water_c: float,
    use_c: float,
    kwh_per_k: float,
) -> tuple[float, float, float, float]:
    """Draw hot water from the top; return the new zones and what was served [kWh].

    Water cooler than `use_c` is of no use and is not drawn: what is missing is the caller's to count. A lower zone warm
    enough for use counts as hot.

    Parameters
    ----------
    hot_c, cold_c, hot_share
        The two zones [°C], and the hot zone's share of the volume [0 to 1].
    wanted_kwh
        Heat wanted at the tap, above the cold water [kWh].
    cold_water_c
        Cold water [°C].
    use_c
        Least temperature of use [°C].
    kwh_per_k
        Heat content of the cylinder [kWh/K].
    """
    mixed = hot_share * hot_c + (1.0 - hot_share) * cold_c
    usable_below = cold_c >= use_c
    top_c = pick(usable_below, mixed, hot_c)
    share = pick(usable_below, 1.0, hot_share)
    per_share = kwh_per_k * max(top_c - cold_water_c, TINY)
    served = pick(top_c >= use_c, min(wanted_kwh, share * per_share), 0.0)
    taken = served / per_share
    left = share - taken
    low = 1.0 - share
    cold = pick(low + taken > TINY, (low * cold_c + taken * cold_water_c) / max(low + taken, TINY), cold_c)
    gone = left < TINY
    return pick(gone, cold, top_c), cold, pick(gone, 1.0, left), served


@law
def stand(
    hot_c: float, cold_c: float, hot_share: float, room_c: float, decay: float, kwh_per_k: float
) -> tuple[float, float, float]:
    """Stand for one step: both zones lose the share `decay` of their excess over the room; return them and the loss.

    Parameters
    ----------
    hot_c, cold_c, hot_share
        The two zones [°C], and the hot zone's share of the volume [0 to 1].
    room_c
        Air around the cylinder [°C].
    decay
        Share of the excess that is lost in the step [0 to 1].
    kwh_per_k
        Heat content of the cylinder [kWh/K].
    """
    hot = hot_c - decay * (hot_c - room_c)
    cold = cold_c - decay * (cold_c - room_c)
    lost = kwh_per_k * decay * (hot_share * (hot_c - room_c) + (1.0 - hot_share) * (cold_c - room_c))
    return hot, cold, lost


@law
def room_for_kwh(hot_c: float, cold_c: float, hot_share: float, target_c: float, kwh_per_k: float) -> float:
    """Heat that fits until the target [kWh]: into the cold zone up to the hot one, and into the whole.

    Parameters
    ----------
    hot_c, cold_c, hot_share
        The two zones [°C], and the hot zone's share of the volume [0 to 1].
    target_c
        Temperature to reach [°C].
    kwh_per_k
        Heat content of the cylinder [kWh/K].
    """
    below = (1.0 - hot_share) * max(0.0, min(hot_c, target_c) - cold_c)
    return kwh_per_k * (below + max(0.0, target_c - hot_c))


@law
def coil_water_c(
    hot_c: float, cold_c: float, hot_share: float, heat_kwh: float, kwh_per_k: float, per_kwh_per_k: float
) -> float:
    """Mean temperature that a coil meets while it puts `heat_kwh` in from below [°C] (see `charge`).

    Parameters
    ----------
    hot_c, cold_c, hot_share
        The two zones [°C], and the hot zone's share of the volume [0 to 1].
    heat_kwh
        Heat put in [kWh].
    kwh_per_k
        Heat content of the cylinder [kWh/K].
    per_kwh_per_k
        1 / heat content [K/kWh].
    """
    low = kwh_per_k * (1.0 - hot_share)
    per_low = 1.0 / max(low, TINY)
    below = min(heat_kwh, low * max(0.0, hot_c - cold_c))
    above = heat_kwh - below
    start_c = hot_share * hot_c + (1.0 - hot_share) * (cold_c + below * per_low)
    warmth = below * (cold_c + 0.5 * below * per_low) + above * (start_c + 0.5 * above * per_kwh_per_k)
    return pick(heat_kwh > TINY, warmth / max(heat_kwh, TINY), cold_c)


@law
def charge(
    hot_c: float, cold_c: float, hot_share: float, heat_kwh: float, kwh_per_k: float, per_kwh_per_k: float
) -> tuple[float, float, float]:
    """Put heat in from below; return the new zones. The cold zone warms up to the hot one first, then both together.

    Parameters
    ----------
    hot_c, cold_c, hot_share
        The two zones [°C], and the hot zone's share of the volume [0 to 1].
    heat_kwh
        Heat put in [kWh].
    kwh_per_k
        Heat content of the cylinder [kWh/K].
    per_kwh_per_k
        1 / heat content [K/kWh].
    """
    low = kwh_per_k * (1.0 - hot_share)
    per_low = 1.0 / max(low, TINY)
    below = min(heat_kwh, low * max(0.0, hot_c - cold_c))
    above = heat_kwh - below
    cold_end = pick(low > TINY, cold_c + below * per_low, hot_c)
    start_c = hot_share * hot_c + (1.0 - hot_share) * cold_end  # what the whole starts from once it is one
    end_c = start_c + above * per_kwh_per_k
    full = max(above, 1e-7 - (hot_c - cold_end)) > 0.0
    return pick(full, end_c, hot_c), pick(full, end_c, cold_end), pick(full, 1.0, hot_share)


@law
def coil_power_kw(
    cold_c: float, end_c: float, heat_kwh: float, coil_kw_per_k: float, hottest_c: float, hours: float
) -> float:
    """Mean power of a coil held at `hottest_c` [kW], over `hours` or until `heat_kwh` is in, whichever is shorter.

    The water it meets rises from `cold_c` to `end_c` [°C] while that goes in: taken as one content C = heat / (end −
    cold), its distance from the coil falls by exp(−U·t/C).

    Parameters
    ----------
    cold_c
        Water that the coil meets first [°C].
    end_c
        Water at the end [°C].
    heat_kwh
        Heat that is to go in [kWh].
    coil_kw_per_k
        Heat that the coil passes for each kelvin of `hottest_c` over the water [kW/K].
    hottest_c
        What the coil is held at [°C].
    hours
        Time there is [h].
    """
    distance = hottest_c - cold_c
    rise = max(0.0, end_c - cold_c)
    per_content = rise / max(heat_kwh, TINY)
    z = coil_kw_per_k * hours * per_content
    faded = 1.0 - exponential_2(-z / LN_2)
    whole = coil_kw_per_k * distance * pick(z > 1e-6, faded / max(z, 1e-6), 1.0)
    left = max(distance - rise, 1e-3)  # until it is in: the logarithmic mean of the distances
    times = LN_2 * logarithm_2(max(distance, 1e-3) / left)
    until_in = coil_kw_per_k * pick(times > 1e-6, (distance - left) / max(times, 1e-6), left)
    return max(0.0, whole, until_in)


@law
def coil_flow_c(coil_water_c: float, heat_kw: float, per_coil_kw_per_k: float, water_difference_k: float) -> float:
    """Flow temperature that passes `heat_kw` through the coil to water at `coil_water_c` [°C].

    Parameters
    ----------
    coil_water_c
        Water that the coil meets [°C].
    heat_kw
        Power to pass [kW].
    per_coil_kw_per_k
        1 / heat that the coil passes [K/kW].
    water_difference_k
        Flow less return at the design load [K].
    """
    return coil_water_c + heat_kw * per_coil_kw_per_k + 0.5 * water_difference_k


@law
def coil_limits_from_c(
    power_kw: float, per_coil_kw_per_k: float, highest_flow_c: float, water_difference_k: float
) -> float:
    """Water temperature from which on the coil no longer passes `power_kw` at the hottest flow [°C].

    Parameters
    ----------
    power_kw
        Power to pass [kW].
    per_coil_kw_per_k
        1 / heat that the coil passes [K/kW].
    highest_flow_c
        Hottest flow that is sent to the coil [°C].
    water_difference_k
        Flow less return at the design load [K].
    """
    return highest_flow_c - 0.5 * water_difference_k - power_kw * per_coil_kw_per_k


@law
def reach_c(target_c: float, highest_flow_c: float) -> float:
    """Cylinder temperature the machine can reach by itself [°C]: the target, or what its hottest flow allows.

    Parameters
    ----------
    target_c
        Temperature to reach [°C].
    highest_flow_c
        Hottest flow that is sent to the coil [°C].
    """
    return min(target_c, highest_flow_c - APPROACH_K)


@law
def sensed_c(hot_c: float, cold_c: float, hot_share: float, sensor_height: float) -> float:
    """What a sensor at this height (share from the bottom) reads [°C].

    Parameters
    ----------
    hot_c, cold_c, hot_share
        The two zones [°C], and the hot zone's share of the volume [0 to 1].
    sensor_height
        Height of the sensor, from the bottom [0 to 1].
    """
    return pick(hot_share > 1.0 - clamp(sensor_height, 0.0, 1.0), hot_c, cold_c)
