"""A case and its year's flows in; the parts of the import that run only inside a control window, out.

Water is heated and a car is charged inside their own windows. Where such a window ends inside a step, because it was
set by a meter that is some minutes late, the bill prices these parts by the window's minutes and not by the step's.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np

from simkit.arrays import Floats
from simkit.billing.charges.energy_lines import Following
from simkit.case.case import Case
from simkit.case.heating.hot_water import HotWater
from simkit.clock import TimeAxis
from simkit.profiles.car import car_window

DAYS = {"all": None, "workdays": (0, 1, 2, 3, 4), "weekend": (5, 6)}


def windowed_loads(case: Case, axis: TimeAxis, flow: Callable[[str], Floats]) -> tuple[Following, ...]:
    """Parts of the import that follow the windows of hot water and car.

    Parameters
    ----------
    case, axis
        The home and its time axis.
    flow
        Gives a flow of the kernel by name, mean of each step, (steps,) [kW].

    Returns
    -------
    tuple of Following
        Only those whose window ends inside a step; of solar and battery each load is taken to have its share.
    """
    parts: list[tuple[Floats, Callable[[], Floats]]] = []
    water = None if case.heat_source == "boiler" else water_window(case.hot_water, axis)
    if water is not None and _cuts(water):
        parts.append((water, lambda: flow("heat_pump_water") + flow("immersion") + flow("pumps_water")))
    charging = car_window(axis, case.car) if case.car else None
    if charging is not None and _cuts(charging):
        parts.append((charging, lambda: flow("car")))
    if not parts:
        return ()
    bought = flow("grid_import")
    used = bought + flow("solar") + flow("battery_discharge")
    used = used - flow("grid_export") - flow("curtailed") - flow("battery_charge")
    share = np.clip(bought / np.where(used > 0, used, 1.0), 0.0, 1.0)
    return tuple(Following(load() * share * axis.hours, inside) for inside, load in parts)


@lru_cache(maxsize=64)
def water_window(water: HotWater, axis: TimeAxis) -> Floats:
    """Share of each step inside any window of the hot water, (steps,) [-]."""
    share = np.zeros(axis.steps)
    for span in water.windows:
        share = share + axis.window(span.start, span.end, weekdays=DAYS[span.days])
    return np.minimum(share, 1.0)


def _cuts(share: Floats) -> bool:
    return bool(((share > 0) & (share < 1)).any())
