"""A simulated year in; what each of its days costs, which add up to the bill, out."""

from __future__ import annotations

import numpy as np
import pandas as pd

from simkit.physics.records import Flows
from simkit.year.simulate import Year


def daily_cost(year: Year) -> pd.Series:
    """Share the year's bill out over its civil days.

    Parameters
    ----------
    year
        The simulated year.

    Returns
    -------
    Series
        Cost by local date, (days,) [currency]; its sum is the bill's total. Energy falls on the day on which it is
        used, at each step's price, fuel where it is burnt; what is due by day, month or peak is the same every day of
        its month. Tiers are no price of a day: they are shared out as the prices of the steps share the energy.
    """
    axis, bill, hours = year.axis, year.bill, year.axis.hours
    flow = {name: year.run.trace[:, Flows._fields.index(name)] for name in ("grid_import", "grid_export", "fuel")}
    month = axis.dates.astype("datetime64[M]").astype(np.int64) % 12
    bought = np.bincount(axis.day, weights=flow["grid_import"] * hours * year.setting.signal.import_per_kwh)
    sold = np.bincount(axis.day, weights=flow["grid_export"] * hours * year.setting.signal.export_per_kwh)
    burnt = np.bincount(axis.day, weights=flow["fuel"])
    cost = np.zeros(len(axis.dates))
    for number in range(12):
        days = month == number
        lines = dict.fromkeys(("energy", "export", "fuel", "fixed"), 0.0)
        for line in bill.lines:
            amount = float(line.months[number]) * (1.0 + line.tax)
            name: str = line.kind if line.kind in ("export", "fuel") else "fixed"
            if line.kind in ("energy", "market", "tier") or (line.unit == "kWh" and line.kind == "levy"):
                name = "energy"
            if line.kind != "tax":
                lines[name] += amount
        lines["fixed"] += float(bill.months[number]) - sum(lines.values())
        cost[days] += _shared(lines["energy"], bought[days]) + _shared(lines["export"], sold[days])
        cost[days] += _shared(lines["fuel"], burnt[days]) + lines["fixed"] / days.sum()
    return pd.Series(cost, index=pd.DatetimeIndex(axis.dates, name="date"), name="day_cost")


def _shared(amount: float, weights: np.ndarray) -> np.ndarray:
    """An amount shared out by weights, evenly where there are none."""
    total = weights.sum()
    return amount * (weights / total if total else np.full(len(weights), 1.0 / len(weights)))
