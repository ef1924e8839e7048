"""An account and a span of its time in; prices as they held on each day, and as they held on the first, out."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pandas as pd

from simkit.arrays import Floats
from simkit.assemble.setting import setting_for
from simkit.billing.charge import charge
from simkit.billing.price_signal import price_signal
from simkit.case.case import Case
from simkit.clock import TimeAxis
from simkit.meter.account.account import Account
from simkit.meter.account.expected import Expected, Meters
from simkit.meter.fitting.weather_then import in_year
from simkit.meter.fitting.window import Window
from simkit.tariff.tariff import Tariff, read_tariff

LEAST_KWH = 1e-6
EXACT_H = 1.0  # intervals as long at most are priced one by one, longer ones at the mean price of what was expected


class Terms(NamedTuple):
    """A tariff without later versions, and the first day on which it holds (None: from ever)."""

    since: dt.date | None
    tariff: Tariff


@dataclass(frozen=True, eq=False)
class Prices:
    """Prices on the steps and days of a window.

    Attributes
    ----------
    bought, sold
        What a kWh costs and earns in each step, (steps,) [currency/kWh].
    standing
        What each day costs on which nothing is used, (days,) [currency].
    """

    bought: Floats
    sold: Floats
    standing: Floats

    def of_days(self, window: Window, bought_kwh: Floats, sold_kwh: Floats) -> Floats:
        """What energy by step costs by day, standing charges left out, (days,) [currency]."""
        return np.asarray(np.add.reduceat(bought_kwh * self.bought - sold_kwh * self.sold, window.edges[:-1]))


def terms_of(account: Account, case: Case) -> tuple[Terms, ...]:
    """The tariffs of a home as they follow each other: the case's, and those said of the account from a date on.

    Where the home before the change had a tariff of its own, what was said of the account's is not said of it.
    """
    changes = [one for one in account.held.prices or () if one.tariff and case.tariff == account.case.tariff]
    begun = [Terms(None, case.tariff), *(Terms(one.valid_from, read_tariff(Path(one.tariff or ""))) for one in changes)]
    found: dict[dt.date | None, Tariff] = {}
    for (since, tariff), after in zip(begun, [*begun[1:], None], strict=True):
        for place, one in enumerate(tariff.versions):
            first = since if place == 0 or (since is not None and one.valid_from <= since) else one.valid_from
            if after is None or first is None or (after.since is not None and first < after.since):
                found[first] = one
    last = list(found)[-1]  # an end that is stated counts where nothing follows
    return tuple(
        Terms(first, one if first == last else one.model_copy(update={"valid_to": None}))
        for first, one in found.items()
    )


def prices_on(terms: tuple[Terms, ...], case: Case, window: Window) -> tuple[Prices, Prices]:
    """Prices as they held, and those of the first day held on to, over a window.

    A price by a file is that of its hour in both: only terms change on a date.
    """
    days = window.block_starts.tz_convert(case.site.zone).tz_localize(None)
    at = np.array([sum(one.since is not None and pd.Timestamp(one.since) <= day for one in terms) for day in days])
    order = [k for k in range(len(terms)) if k in set(at.tolist())]
    held = {k: _laid(terms[k].tariff, case, window) for k in order}
    first, of_step = held[int(at[0])], np.repeat(at, np.diff(window.edges))
    now = Prices(
        np.select([of_step == k for k in order], [held[k].bought for k in order]),
        np.select([of_step == k for k in order], [held[k].sold for k in order]),
        np.select([at == k for k in order], [held[k].standing for k in order]),
    )
    return now, first


def _laid(tariff: Tariff, case: Case, window: Window) -> Prices:
    """One tariff over a window that may run over the end of a year."""
    zone, country = case.site.zone, case.site.country
    years, day_years = (stamps.tz_convert(zone).year.to_numpy() for stamps in (window.starts, window.block_starts))
    months = window.block_starts.tz_convert(zone).month.to_numpy()
    bought, sold, standing = np.empty(len(years)), np.empty(len(years)), np.empty(len(day_years))
    for year in np.unique(years).tolist():
        axis = setting_for(in_year(case, int(year)), round(60 * window.hours), priced=False).axis
        signal = price_signal(tariff, axis, country=country)
        there = years == year
        place = axis.utc.get_indexer(window.starts[there])
        bought[there], sold[there] = signal.import_per_kwh[place], signal.export_per_kwh[place]
        standing[day_years == year] = _standing(tariff, axis, country)[months[day_years == year] - 1]
    return Prices(bought, sold, standing)


def _standing(tariff: Tariff, axis: TimeAxis, country: str) -> Floats:
    """What a day of each month costs on which nothing is used, (12,) [currency]."""
    bill = charge(tariff, axis, np.zeros(axis.steps), country=country)
    days = np.bincount(axis.dates.astype("datetime64[M]").astype(np.int64) % 12, minlength=12)
    return np.asarray(np.sum([line.months for line in bill.lines], axis=0) / days) if bill.lines else np.zeros(12)


def fuel_prices(account: Account, days: pd.DatetimeIndex) -> Floats:
    """Price of a unit of the old fuel on each day, (days,) [currency]."""
    fuel = account.old.fuel if account.old is not None else None
    made = np.full(len(days), fuel.price_per_unit if fuel is not None else np.nan)
    for one in account.held.prices or ():
        if one.fuel_price_per_unit is not None:
            made[days >= pd.Timestamp(one.valid_from)] = one.fuel_price_per_unit
    return made


def cost_of_days(account: Account, expected: Expected, read: Meters, prices: Prices) -> Floats:
    """What days cost: energy at each interval's price, what was sold taken off, and standing charges, (days,)."""
    bought = _spent(account, expected, prices.bought, "import_kwh", read.bought)
    sold = _spent(account, expected, prices.sold, "export_kwh", read.sold)
    return np.where(np.isnan(read.bought), np.nan, bought - np.nan_to_num(sold) + prices.standing)


def _spent(account: Account, expected: Expected, price: Floats, quantity: str, daily: Floats) -> Floats:
    """Energy of days at the price of each interval, or at the mean price of what was expected where they are long."""
    if quantity not in account.streams:
        return np.zeros(len(daily))
    frame, window, zone = account.streams[quantity], expected.window, account.case.site.zone
    if (frame["end"] - frame.index).max() > pd.Timedelta(hours=EXACT_H):
        energy = expected.by_day(quantity)
        spent = np.add.reduceat(expected.steps[quantity] * price, window.edges[:-1])
        even = np.add.reduceat(price, window.edges[:-1]) / np.diff(window.edges)
        return np.asarray(daily * np.where(energy > LEAST_KWH, spent / np.maximum(energy, LEAST_KWH), even))
    step = f"{round(60 * window.hours)}min"
    at = pd.Series(price, index=window.starts).reindex(pd.DatetimeIndex(frame.index).floor(step))
    local = pd.DatetimeIndex(frame.index).tz_convert(zone).tz_localize(None).normalize()
    spent = pd.Series(frame["value"].to_numpy() * at.to_numpy(), index=local)
    return np.asarray(spent.groupby(level=0).sum().reindex(expected.days).to_numpy())
