"""A simulated year in, its comfort against the needed one out.

Every option of a case is counted against the one profile of needed comfort that the case holds, never against the
option's own set-point: else turning the heating down would always win.
"""

from __future__ import annotations

from dataclasses import dataclass

from simkit.physics.records import Flows, State

SAFE_ROOM_C = 18.0  # WHO Housing and Health Guidelines 2018: a safe minimum indoors
COLD_DEGREE_HOURS = 100.0  # own: under this a year's shortfall is not felt (half a kelvin for a week of evenings)


@dataclass(frozen=True)
class YearComfort:
    """How warm the rooms were against what was needed.

    Attributes
    ----------
    min_room_c
        Coldest mean over a step [°C].
    degree_hours_below
        Sum of what was missing from the needed temperature, beyond the tolerance [K·h].
    hours_below_18
        Hours under 18 °C [h].
    degree_hours_over
        Sum of what was too much in the needed periods [K·h].
    """

    min_room_c: float
    degree_hours_below: float
    hours_below_18: float
    degree_hours_over: float

    @property
    def held(self) -> bool:
        """Whether the needed comfort was held."""
        return self.degree_hours_below <= COLD_DEGREE_HOURS

    @property
    def words(self) -> str:
        """One short phrase for a table."""
        if self.hours_below_18 >= 1:
            return f"{self.hours_below_18:,.0f} h under 18 °C"
        if not self.held:
            return f"too cool: {self.degree_hours_below:,.0f} K·h short"
        return "warm enough"


def year_comfort(totals: Flows, after: State) -> YearComfort:
    """Read comfort off the year's totals and the end state."""
    return YearComfort(after.coldest_room_c, totals.below_k, totals.below_18, totals.over_k)
