"""The form of weather on a time axis: what every source of weather hands over."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from simkit.clock import TimeAxis

AIR = ("outdoor_c", "humidity")
SKY = ("ghi_w_m2", "dni_w_m2", "dhi_w_m2")
COLUMNS = AIR + SKY


@dataclass(frozen=True, eq=False)
class Weather:
    """A year of weather.

    Parameters
    ----------
    axis
        The time axis.
    frame
        Means over the step, indexed by ``axis.utc``: outdoor_c [°C], humidity [0..1], ghi_w_m2 (level), dni_w_m2
        (facing the sun) and dhi_w_m2 (sky on the level) [W/m²].
    notes
        What was assumed, one sentence each.
    recipe
        What made up weather needs to be made again as another year; None for weather from a file.
    """

    axis: TimeAxis
    frame: pd.DataFrame
    notes: tuple[str, ...] = ()
    recipe: Any = field(default=None, repr=False)
