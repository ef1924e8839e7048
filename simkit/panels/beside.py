"""Simulated years in; what a setting stands beside, its coldest days and its row in figures and in words out."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from simkit.arrays import Floats, Ints
from simkit.figures.style import number, signed
from simkit.panels.answer import words_of
from simkit.year.year import Year

THIS, BEFORE = "This setting", "The case"
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


def in_figures(year: Year, before: Year) -> dict[str, object]:
    """One row of the table: money in the currency of the case, energy in kWh, comfort in K·h and words."""
    return {
        "year_cost": year.bill.total, "against_case": year.bill.total - before.bill.total,
        "spf_h4": year.spf.h4, "import_kwh": year.totals["import"], "fuel_kwh": sum(year.fuel_kwh.values()),
        "coldest_room_c": year.comfort.min_room_c, "below_kh": year.comfort.degree_hours_below,
        "comfort": words_of(year.comfort),
    }  # fmt: skip


def in_words(year: Year, before: Year) -> list[str]:
    """One row of the table as it is read: rounded, with signs."""
    more, spf, fuel = year.bill.total - before.bill.total, year.spf.h4, sum(year.fuel_kwh.values())
    return [
        number(year.bill.total), "" if year is before else signed(more),
        f"{spf:.2f}" if spf else "–", number(year.totals["import"]), number(fuel) if fuel else "–",
        f"{year.comfort.min_room_c:.1f}", words_of(year.comfort),
    ]  # fmt: skip
