"""Days metered and expected in; what made the difference, weather, use, efficiency and price, out, adding up exactly.

A day's cost is its energy, at the price of the hours in which the home takes it, and standing charges. Each cause is
changed in every order and its effects are averaged, as between any two years (`simkit.finance.difference`). What no
reading can tell apart is parted as is likeliest, and how well that is known is said.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Floats
from simkit.finance.difference import shapley
from simkit.meter.account.account import Account
from simkit.meter.account.dated_prices import Prices, cost_of_days, day_prices
from simkit.meter.account.drift import Drift
from simkit.meter.account.expected import Expected, Meters, beyond, window_for
from simkit.meter.fitting.lanes import COUNTED, by_step
from simkit.meter.fitting.noise import alike
from simkit.meter.fitting.weather_then import usual_weather
from simkit.meter.living import Straying

CAUSES = ("weather", "use", "efficiency", "price")
CHANGE_SD = 0.10  # own: how far a home's efficiency may move from the fit, a standard deviation
LASTING = np.array([0.0, 0.0, 0.0, 0.0, 1.0])  # and it stays so, day by day, as the slowest of habits does
KWH_DIGITS, MONEY_DIGITS = 3, 2


class AtPrices(NamedTuple):
    """Money of days at the prices of one time, (days,) each [currency, currency/kWh].

    Attributes
    ----------
    cost
        What the metered energy comes to, standing charges included.
    standing
        What each day costs on which nothing is used.
    usual_price, expected_price
        Mean price of a kWh of the fitted home's own hours, in the usual weather and in the weather that was.
    usual_sold, expected_sold
        What the fitted home earns, likewise.
    """

    cost: Floats
    standing: Floats
    usual_price: Floats
    expected_price: Floats
    usual_sold: Floats
    expected_sold: Floats


@dataclass(frozen=True, eq=False)
class Priced:
    """Energy and money of days, (days,) each [kWh, currency].

    Attributes
    ----------
    metered, expected, usual
        Metered; expected in the weather that was; expected in the usual weather.
    first, now
        Money at the prices of the first day, and at those that held.
    """

    metered: Floats
    expected: Floats
    usual: Floats
    first: AtPrices
    now: AtPrices

    def cost(self, kwh: Mapping[str, Floats], changed: frozenset[str]) -> Floats:
        """What days would have cost with some causes as they were and the others as is usual, (days,) [currency].

        The hours in which energy was used, and what was sold beyond what was expected, count as use.
        """
        at = self.now if "price" in changed else self.first
        energy = self.usual + sum(kwh[cause] for cause in changed)
        weather = (at.expected_price, at.expected_sold) if "weather" in changed else (at.usual_price, at.usual_sold)
        hours = at.cost - at.standing - (self.metered * at.expected_price - at.expected_sold)
        return np.asarray(at.standing + energy * weather[0] - weather[1] + ("use" in changed) * hours)


def priced_of(account: Account, expected: Expected, read: Meters, *, first: Prices, now: Prices) -> Priced:
    """Energy and money of the days read, with those of the usual weather beside them."""
    window, names = expected.window, [one.name for one in account.unknowns]
    usual = window
    if expected.then.known_from is not None:
        start, end = window.starts[0], window.starts[-1] + pd.Timedelta(hours=window.hours)
        usual = window_for(account, usual_weather(account.case, start, end, round(60 * window.hours)))
    values = dict(zip(names, account.values(1)[0].tolist(), strict=True))
    made = by_step(usual, values, {name: COUNTED[name] for name in ("import_kwh", "export_kwh")})
    there = np.isfinite(read.bought)

    def at(prices: Prices) -> AtPrices:
        both = (made, expected.steps)
        columns = (
            cost_of_days(account, expected, read, prices), prices.standing,
            *(day_prices(prices.bought, each["import_kwh"], window) for each in both),
            *(np.add.reduceat(each["export_kwh"] * prices.sold, window.edges[:-1]) for each in both),
        )  # fmt: skip
        return AtPrices(*(column[there] for column in columns))

    moved = np.add.reduceat(made["import_kwh"] - expected.steps["import_kwh"], window.edges[:-1])
    in_usual = np.maximum(expected.kwh + moved, 0.0)
    return Priced(read.bought[there], expected.kwh[there], in_usual[there], at(first), at(now))


def causes_of(priced: Priced, efficiency: Floats, days: pd.DatetimeIndex) -> pd.DataFrame:
    """Split what was metered less what is usual, by day.

    Parameters
    ----------
    priced
        Energy and money of days that were read.
    efficiency
        The part of metered less expected that is efficiency's, (days,) [kWh].
    days
        Their dates.

    Returns
    -------
    DataFrame
        By day: `metered_kwh`, `usual_kwh`, a column of each cause in kWh; `cost`, `usual_cost`, and a column of each
        cause in money. Every row adds up, to the watt-hour and to the cent.
    """
    one = priced
    use = one.metered - one.expected - efficiency
    kwh = {"weather": one.expected - one.usual, "use": use, "efficiency": efficiency, "price": np.zeros(len(days))}
    money, usual_cost = shapley(partial(one.cost, kwh), CAUSES), one.cost(kwh, frozenset())
    energy = adding_up(one.metered, one.usual, np.column_stack([kwh[name] for name in CAUSES]), KWH_DIGITS)
    amounts = adding_up(one.now.cost, usual_cost, np.column_stack([money[name] for name in CAUSES]), MONEY_DIGITS)
    columns = ["metered_kwh", "usual_kwh", *(f"{name}_kwh" for name in CAUSES)]
    columns += ["cost", "usual_cost", *(f"{name}_cost" for name in CAUSES)]
    return pd.DataFrame(np.column_stack([energy, amounts]), columns=columns, index=days)


def adding_up(total: Floats, base: Floats, parts: Floats, digits: int) -> Floats:
    """Round so that every row still adds up: total = base + Σ parts; a last unit goes to the largest part.

    Returns
    -------
    ndarray
        Columns total, base and the parts, (rows, 2 + parts).
    """
    unit = 10.0**-digits
    whole, first = np.rint(total / unit), np.rint(base / unit)
    units = np.rint(parts / unit)
    largest = np.argmax(np.abs(parts), axis=1)
    units[np.arange(len(units)), largest] += whole - first - units.sum(axis=1)
    return np.asarray(np.round(np.column_stack([whole, first, units]) * unit, digits)) + 0.0


def months_of(days: pd.DataFrame) -> pd.DataFrame:
    """Sums of the months; they add up as the days do."""
    sums = days.groupby(pd.DatetimeIndex(days.index).strftime("%Y-%m")).sum()
    for name in sums:
        sums[name] = np.round(sums[name], KWH_DIGITS if str(name).endswith("_kwh") else MONEY_DIGITS) + 0.0
    return sums.rename_axis("month")


@dataclass(frozen=True, eq=False)
class Parted:
    """What is efficiency's of each day, (days,) [kWh]; its standard error over all of them; what told it."""

    kwh: Floats
    error_kwh: float
    told_by: str


BY_HEAT = "the heat meter: electricity beyond what its heat takes in the fitted home"
BY_PUMP = "what on the heat pump's own meter goes along with the heating and lasts"
BY_WHOLE = "what on the whole home's meter goes along with the heating and lasts"


def parted(
    left: Floats, heating: Floats, *, straying: Straying, load: Floats, away: Bools, drift: Drift | None,
    days: pd.DatetimeIndex, told_by: str,
) -> Parted:  # fmt: skip
    """Part what a meter shows over the expected into what lasts and grows with the heating, and all else.

    Both are normal: days stray as the fit says, and efficiency moves by so many per cent of the heating and stays. What
    is seen is their sum, so that each is expected to be C_e·(C_e + C_u)⁻¹·left and the rest, which adds up exactly
    (the conditional mean of a sum of two normal vectors; own choice of the two covariances).

    Parameters
    ----------
    left
        Metered less expected, (days,) [kWh].
    heating
        Electricity that is expected for heating, (days,) [kWh].
    straying, load
        How days stray, and the load by which.
    away
        Days on which nobody was in: use alone.
    drift
        A drift that was seen: it is given to what it looks like before the rest is parted.
    days
        Dates.
    told_by
        What is said of it.
    """
    steady = _of_drift(drift, heating, days)
    places = np.asarray((days - days[0]) / pd.Timedelta(days=1), dtype=np.float64)
    there = np.where(away, 0.0, heating)
    moved = CHANGE_SD**2 * np.outer(there, there) * alike(LASTING, np.subtract.outer(places, places))
    strayed = straying.covariance(places, straying.widths(load)) + 1e-6 * np.eye(len(left))
    gone = np.where(away, 0.0, left - steady)
    weights = np.linalg.solve(moved + strayed, moved).T
    error = np.ones(len(left)) @ (moved - weights @ moved) @ np.ones(len(left))
    found = weights @ gone + (steady if drift is not None and drift.grows else 0.0)
    return Parted(np.where(away, 0.0, found), max(float(error), 0.0) ** 0.5, told_by)


def _of_drift(drift: Drift | None, heating: Floats, days: pd.DatetimeIndex) -> Floats:
    """What a drift that was seen adds to each day, (days,) [kWh]."""
    if drift is None:
        return np.zeros(len(days))
    after = np.asarray(days >= drift.since)
    shape = heating / max(float(heating[after].mean()), 1e-9) if drift.grows else np.ones(len(days))
    return np.where(after, drift.kwh_per_day * shape, 0.0)


def by_heat_meter(pump: Floats, heat: Floats, expected_pump: Floats, expected_heat: Floats, fitted: Bools) -> Floats:
    """Electricity of the heat pump beyond what the metered heat takes at the fitted efficiency, (days,) [kWh].

    What heat meter and electricity meter disagree on already in the fitted days is no change, and is taken off; NaN
    where one of the two was not read.
    """
    return beyond(pump, heat * expected_pump / np.maximum(expected_heat, 1e-9), fitted)
