"""Readings of a whole home and its household's load in; what is left for the heating out."""

from __future__ import annotations

import numpy as np
import pandas as pd

from simkit.errors import DataError, Fault
from simkit.meter.reading.reading import Readings, readings_from

MOST_BELOW = 0.25  # own: share of intervals in which a mean profile may exceed a real home's use


def less_household(readings: Readings, household_kw: pd.Series) -> Readings:
    """Take a household's load off the readings of the whole home.

    Parameters
    ----------
    readings
        With `import_kwh`, in equal intervals.
    household_kw
        Mean power by time in UTC, in steps no longer than the readings' and dividing them [kW].

    Returns
    -------
    Readings
        `heat_pump_kwh`: what is left. A profile is a mean of many homes: single intervals can come out below zero and
        are kept so, that sums stay right; use whole days of them.

    Raises
    ------
    DataError
        Where the load doesn't cover the readings, or is larger than they are on a quarter of the days.
    """
    frame = readings.frame
    step = pd.Timedelta(minutes=readings.step_minutes)
    energy = household_kw * ((household_kw.index[1] - household_kw.index[0]) / pd.Timedelta(hours=1))
    base = energy.groupby(pd.DatetimeIndex(energy.index).floor(step)).sum().reindex(frame.index)
    if base.isna().any():
        given = f"a load from {household_kw.index[0]:%Y-%m-%d} to {household_kw.index[-1]:%Y-%m-%d}"
        raise DataError(Fault("household", given, "doesn't cover the readings", "Give the load of the same days"))
    left = frame["import_kwh"] - base
    made = readings_from(
        pd.DataFrame({"end": frame["end"], "heat_pump_kwh": left}), zone=readings.zone, name="less household"
    )
    below = float(np.mean(made.daily("heat_pump_kwh").dropna() < 0.0))
    if below > MOST_BELOW:
        given = f"a load of {float(base.sum()):,.0f} kWh against {float(frame['import_kwh'].sum()):,.0f} kWh read"
        allowed = f"is more than the home used on {100 * below:.0f} % of the days"
        raise DataError(Fault("household", given, allowed, "Give the household a smaller year"))
    return made
