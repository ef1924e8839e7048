"""A case and its year's flows in; the parts of the import that run only inside a control window, out.

Water is heated and a car is charged inside their own windows. Where such a window ends inside a step, because it was
set by a meter that is some minutes late, the bill prices these parts by the window's minutes and not by the step's.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from simkit.arrays import Floats
from simkit.assemble.schedule import inside
from simkit.billing.charges.energy_lines import Following
from simkit.case.case import Case
from simkit.clock import TimeAxis
from simkit.profiles.car import car_window


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
    windows: list[tuple[Floats, tuple[str, ...]]] = []
    if case.heat_source != "boiler":
        windows.append((inside(case.hot_water.windows, axis), ("heat_pump_water", "immersion", "pumps_water")))
    if case.car:
        windows.append((car_window(axis, case.car), ("car",)))
    parts = [(window, loads) for window, loads in windows if ((window > 0) & (window < 1)).any()]
    if not parts:
        return ()
    bought = flow("grid_import")
    used = bought + flow("solar") + flow("battery_discharge")
    used = used - flow("grid_export") - flow("curtailed") - flow("battery_charge")
    share = np.clip(bought / np.where(used > 0, used, 1.0), 0.0, 1.0)
    return tuple(
        Following(np.sum([flow(name) for name in loads], axis=0) * share * axis.hours, window)
        for window, loads in parts
    )
