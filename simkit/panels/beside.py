"""Simulated years in; what a setting stands beside, and its coldest days, out."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from simkit.arrays import Floats, Ints
from simkit.year.year import Year

COLD_DAYS = 4


@dataclass(frozen=True, eq=False)
class Beside:
    """What a setting stands beside, each on its own step: the case as it is, and the heating it replaces."""

    case: Year
    others: tuple[Year, ...]

    @cached_property
    def cold_steps(self) -> Ints:
        """Steps of the coldest civil days in a row."""
        axis = self.case.axis
        daily = np.bincount(axis.day, self.case.inputs.series["outdoor_c"]) / np.bincount(axis.day)
        first = int(np.argmin(np.convolve(daily, np.ones(COLD_DAYS), mode="valid")))
        return np.flatnonzero((axis.day >= first) & (axis.day < first + COLD_DAYS))

    @cached_property
    def cold_times(self) -> pd.DatetimeIndex:
        """Starts of those steps in wall time."""
        return pd.DatetimeIndex(self.case.axis.local[self.cold_steps])

    def cold_room_c(self, year: Year) -> Floats:
        """Room of a year in those steps, (steps,) [°C], without the frame of all columns: a drag has no time for it."""
        place = self.cold_steps * self.case.axis.step_minutes // year.axis.step_minutes
        return np.asarray(year.run.flow("air_c")[place])
