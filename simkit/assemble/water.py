"""The cylinder as the user describes it in; its constants, and when the water may be heated to what, out."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

import numpy as np

from simkit.arrays import Bools, Floats
from simkit.assemble.schedule import DAYS
from simkit.case.heating.hot_water import HotWater
from simkit.clock import TimeAxis
from simkit.kept.memory import memo
from simkit.physics.constants import KWH_PER_LITRE_K
from simkit.times_of_day import DAY_MINUTES, WEEKDAYS, minute_of, time_of

LABEL_EXCESS_K = 45.0  # Regulation (EU) 812/2013: standing loss is measured with the store 45 K above the room
# upper limit of standing loss a + b·V^0.4 [W], Regulation (EU) 812/2013 Annex II (coefficients from secondary sources)
LOSS_CLASSES = {
    "A+": (5.5, 3.16), "A": (8.5, 4.25), "B": (12.0, 5.93), "C": (16.66, 8.33), "D": (21.0, 10.33), "E": (26.0, 13.66),
    "F": (31.0, 16.66),
}  # fmt: skip
CLASS_G_OVER_F = 1.2  # own: class G has no upper limit
COIL_W_PER_M2K = 500.0  # common practice: plain coil in still water
REHEAT_FROM_C = 15.0  # common practice: reheat times are stated from 15 °C


@dataclass(frozen=True)
class Store:
    """The cylinder's constants: content [kWh/K], share of its excess lost in a step [-], coil [kW/K]."""

    kwh_per_k: float
    decay: float
    coil_kw_per_k: float


def standing_loss_w(water: HotWater) -> float:
    """Standing loss 45 K above the room [W], stated or the limit of its label class."""
    if water.standing_loss_w is not None:
        return water.standing_loss_w
    name = str(water.loss_class)
    a, b = LOSS_CLASSES["F" if name == "G" else name]
    return (a + b * water.volume_l**0.4) * (CLASS_G_OVER_F if name == "G" else 1.0)


def coil_w_per_k(water: HotWater, highest_flow_c: float, water_difference_k: float) -> float:
    """Heat the coil passes per kelvin [W/K]: stated, by its area, or by the time it was seen to reheat the cylinder."""
    if water.coil_ua_w_per_k is not None:
        return water.coil_ua_w_per_k
    if water.coil_area_m2 is not None:
        return COIL_W_PER_M2K * water.coil_area_m2
    mean = max(highest_flow_c - 0.5 * water_difference_k, water.target_c + 3.0)
    hours = float(water.reheat_minutes or 60.0) / 60.0
    span = log((mean - REHEAT_FROM_C) / (mean - water.target_c))
    return 1000.0 * KWH_PER_LITRE_K * water.volume_l * span / hours


def store(water: HotWater, highest_flow_c: float, water_difference_k: float, hours: float) -> Store:
    """The cylinder's constants for a step of this length [h]."""
    content = KWH_PER_LITRE_K * water.volume_l
    loss_kw_per_k = standing_loss_w(water) / LABEL_EXCESS_K / 1000.0
    coil = coil_w_per_k(water, highest_flow_c, water_difference_k) / 1000.0
    idle = water.heated_by == "something else"
    return Store(content, 0.0 if idle else 1.0 - exp(-loss_kw_per_k * hours / content), coil)


@memo
def water_series(water: HotWater, axis: TimeAxis, by_boiler: bool = False) -> dict[str, Floats]:
    """When the water may be heated, and to what.

    Returns
    -------
    dict
        ``water_target_c`` (0 where it may not be heated), ``water_forced`` (0 or 1) and ``immersion_allowed`` (0, or 1
        once the machine has done what it can, or 2 beside the machine: in the last third of a hygiene cycle, so that
        it gets hot however small the coil), (steps,). A step counts as inside a window where at least half of it is.
        A boiler heats the water at any time and finishes the hygiene cycle by itself: the windows are the heat pump's.
    """
    if water.heated_by == "something else":
        return dict.fromkeys(("water_target_c", "water_forced", "immersion_allowed"), np.zeros(axis.steps))
    open_ = np.full(axis.steps, by_boiler)
    for span in water.windows:
        open_ |= axis.window(span.start, span.end, weekdays=DAYS[span.days]) >= 0.5
    hot, last = _hygiene_steps(water, axis)
    target = np.where(hot, water.hygiene.target_c, np.where(open_, water.target_c, 0.0))
    allowed = np.where(hot, 1.0 + last, 0.0) if water.immersion != "never" else np.zeros(axis.steps)
    if water.immersion == "any":
        allowed = np.maximum(allowed, 1.0)
    return {
        "water_target_c": target,
        "water_forced": hot.astype(float),
        "immersion_allowed": allowed * (not by_boiler),
    }


def _hygiene_steps(water: HotWater, axis: TimeAxis) -> tuple[Bools, Bools]:
    """Steps of the hygiene cycle, by day of the week on which each begins, and those of its last third."""
    cycle = water.hygiene
    if cycle.every == "never":
        return np.zeros(axis.steps, dtype=bool), np.zeros(axis.steps, dtype=bool)
    start = minute_of(cycle.start)
    end = min(start + round(cycle.hours * 60), DAY_MINUTES)
    late = min(end - (end - start) // 3, end - round(axis.hours * 60))
    weekdays = None if cycle.every == "day" else (WEEKDAYS.index(cycle.weekday),)
    whole, last = (
        axis.window(time_of(max(begin, start)), time_of(end), weekdays=weekdays) >= 0.5 for begin in (start, late)
    )
    return whole, last
