"""A battery, cheap hours and the weather that a controller expects in; how far each cheap stretch fills it, out.

A controller that knows tomorrow's weather fills no more than the expensive hours ahead will take; one without a
forecast takes yesterday's weather for it. Both follow the same rule, so that their difference is what knowing is worth.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from simkit.arrays import Bools, Floats
from simkit.assemble.electricity import cheap_steps, through_inverter
from simkit.billing.signal import PriceSignal
from simkit.case.power.battery import Battery
from simkit.physics.heat_pump import Lift, reference_cops

HOURS_PER_DAY = 24.0


def fill_share(battery: Battery, cheap: Bools, expected: Floats, hours: float) -> Floats:
    """Share to which each cheap stretch fills the battery: what the hours until the next one will take, (steps,) [-].

    Never above `charge_to` nor below the floor. Counted is the deepest that the charge falls before panels refill it.
    """
    usable, through = battery.usable_kwh * battery.health, through_inverter(battery)
    starts = np.flatnonzero(cheap & ~np.roll(cheap, 1))
    share = np.zeros(len(cheap))
    if not len(starts):
        return np.where(cheap, battery.charge_to, 0.0)
    for start, following in zip(starts, np.roll(starts, -1), strict=True):
        length = (following - start) % len(cheap) or len(cheap)
        steps = (start + np.arange(length)) % len(cheap)
        ahead = steps[~cheap[steps]]
        course = (
            np.cumsum(np.clip(expected[ahead], -battery.charge_kw * through, battery.discharge_kw * through)) * hours
        )
        deepest = max(float(course.max(initial=0.0)), 0.0) / (battery.discharge_efficiency * through)
        wanted = min(max(battery.reserve_share + deepest / max(usable, 1e-9), battery.reserve_share), battery.charge_to)
        share[steps[cheap[steps]]] = wanted
    return share


def fill_by_weather(
    battery: Battery, signal: PriceSignal, series: Mapping[str, Floats], home: Mapping[str, float],
    *, loss_w_per_k: float, hours: float,
) -> Floats:  # fmt: skip
    """Share to which the battery is filled from the grid in each step, by the expected weather, (steps,) [-].

    Expected is the electricity beyond the panels' own, below 0 where they spill. Rooms: the loss at the set-point less
    gains, by the machine at the flow of its curve; the household as it is. Hot water is left to the reserve. `home`
    holds the kernel's constants by name. By "yesterday", the outdoors, the sun and the gains are those of a day before.
    """
    cheap = cheap_steps(battery, signal)
    back = round(HOURS_PER_DAY / hours) if battery.fill_by == "yesterday" else 0
    seen = {name: np.roll(series[name], back) for name in ("outdoor_c", "solar_gain_kw", "solar_kw", "curve_shape")}
    gains = seen["solar_gain_kw"] + series["internal_gain_kw"]
    heat = np.maximum(loss_w_per_k / 1000.0 * (series["set_point_c"] - seen["outdoor_c"]) - gains, 0.0)
    flow = series["set_point_c"] + home["design_excess_k"] * seen["curve_shape"]
    reference = reference_cops(flow, np.roll(series["source_c"], back), Lift(*(home[name] for name in Lift._fields)))
    cop = np.maximum(home["efficiency_scale"] * series["efficiency_2"] * reference, 1.0)
    used = series["household_kw"] + series["car_kw"] + series["heating_season"] * heat / cop
    return fill_share(battery, cheap, used - seen["solar_kw"], hours)
