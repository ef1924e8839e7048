"""A year of a home with a battery in; whether the battery carries the coldest day and the coldest week, out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from simkit.assemble.electricity import cheap_steps
from simkit.decide.battery.size import require_battery
from simkit.weather.coldest import coldest_week
from simkit.year.year import Year


@dataclass(frozen=True, eq=False, repr=False)
class Coldest:
    """How a battery fares on the coldest day, and in the coldest week.

    Attributes
    ----------
    date
        Local date, "YYYY-MM-DD".
    outdoor_c
        Mean outdoors [°C].
    expensive_kwh
        What the home took in the expensive hours beyond its panels [kWh].
    carried_kwh
        What of that the battery gave [kWh].
    empty_at
        Wall time at which it first stood at its reserve in the expensive hours after its fill, "HH:MM"; None if never.
    week
        One row by local date: mean outdoors [°C], `expensive_kwh`, `carried_kwh` and `import_kwh` [kWh].
    """

    date: str
    outdoor_c: float
    expensive_kwh: float
    carried_kwh: float
    empty_at: str | None
    week: pd.DataFrame

    @property
    def carries(self) -> bool:
        """Whether it carried the expensive hours, but for a hundredth."""
        return self.carried_kwh >= 0.99 * self.expensive_kwh


def coldest(year: Year) -> Coldest:
    """Look whether the battery carries the expensive hours of the coldest day.

    Expensive are the hours in which it may serve the home: those outside its fill, whose price passes losses and wear;
    for a battery that fills from the panels only, all hours.

    Parameters
    ----------
    year
        Of a home with a battery.

    Raises
    ------
    CaseError
        Where the home has none.
    """
    battery = require_battery(year.case)
    axis, series, frame, hours = year.axis, year.inputs.series, year.hourly, year.axis.hours
    means = np.bincount(axis.day, series["outdoor_c"]) / np.bincount(axis.day)
    day, served = int(np.argmin(means)), series["release"] > 0.5
    expensive = (axis.day == day) & served & ~cheap_steps(battery, year.setting.signal)
    bought, given = frame["import_kw"].to_numpy(), frame["battery_discharge_kw"].to_numpy()
    reserve, held = year.inputs.home.reserve_kwh + 1e-6, frame["battery_kwh"].to_numpy()
    since_filled = np.cumsum((axis.day == day) & (held > reserve)) > 0
    empty = np.flatnonzero(expensive & since_filled & (held <= reserve) & (bought > 1e-6))
    carried = float(given[expensive].sum() * hours)
    week = np.unique(axis.day[coldest_week(series["outdoor_c"], axis.day, hours)])
    sums = {"expensive_kwh": served * (bought + given), "carried_kwh": served * given, "import_kwh": bought}
    columns = {name: np.bincount(axis.day, values)[week] * hours for name, values in sums.items()}
    return Coldest(
        str(axis.dates[day]), float(means[day]), carried + float(bought[expensive].sum() * hours), carried,
        str(axis.local[int(empty[0])].strftime("%H:%M")) if len(empty) else None,
        pd.DataFrame({"outdoor_c": means[week], **columns}, index=pd.Index(axis.dates[week].astype(str), name="date")),
    )  # fmt: skip
