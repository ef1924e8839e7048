"""An account and a span of its time in; prices as they held on each day, and as they held on the first, out.

A price that is said of a date is kept where it can be charged, and nowhere else.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Floats
from simkit.assemble.setting import setting_for
from simkit.billing.charge import charge
from simkit.billing.price_signal import price_signal
from simkit.billing.signal import PriceSignal
from simkit.case.case import Case
from simkit.clock import TimeAxis
from simkit.errors import CaseError, Fault
from simkit.meter.account.account_file import ACCOUNT_FILE, DatedPrices, write_account_file
from simkit.meter.fitting.weather_then import in_year
from simkit.meter.fitting.window import Window
from simkit.tariff.tariff import Tariff, read_tariff

if TYPE_CHECKING:
    from simkit.meter.account.account import Account
    from simkit.meter.account.expected import Expected, Meters

LEAST_KWH = 1e-6
MINUTES = 60  # steps on which it is tried whether a tariff can be charged
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


def day_prices(price: Floats, kwh: Floats, window: Window) -> Floats:
    """Mean price of the energy of each day by its steps, the plain mean where there is none, (days,) [currency/kWh]."""
    energy, spent, plain = (np.add.reduceat(each, window.edges[:-1]) for each in (kwh, kwh * price, price))
    mean = np.where(energy > LEAST_KWH, spent / np.maximum(energy, LEAST_KWH), plain / np.diff(window.edges))
    return np.asarray(mean)


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


def set_prices(
    account: Account, valid_from: dt.date, *, tariff: Path | str | None = None, fuel_price: float | None = None
) -> Account:
    """Say that prices changed on a date; a price that was said of the same date is replaced.

    Parameters
    ----------
    account
        The account.
    valid_from
        First day on which they hold.
    tariff
        Tariff file of the home's electricity from then on.
    fuel_price
        Price of a unit of the old fuel from then on [currency].

    Raises
    ------
    CaseError
        Where the tariff is of another currency, or can't be charged on the days on which it holds: nothing is kept.
    DataError
        Where a file of prices that it names can't be read.
    """
    if tariff is not None:
        sold = read_tariff(tariff)
        if sold.currency != account.case.currency:
            given, allowed = f'currency = "{sold.currency}"', f"is not that of the case, {account.case.currency}"
            raise CaseError(Fault(Path(tariff).name, given, allowed, "Name a tariff in the currency of the case"))
    said = {"tariff": str(Path(tariff).resolve()) if tariff else None, "fuel_price_per_unit": fuel_price}
    by_date = {one.valid_from: one for one in account.held.prices or ()}
    one = by_date.get(valid_from, DatedPrices(valid_from=valid_from))
    by_date[valid_from] = one.model_copy(update={key: value for key, value in said.items() if value is not None})
    held = account.held.model_copy(update={"prices": tuple(by_date[day] for day in sorted(by_date))})
    made = replace(account, held=held)
    require_chargeable(made)
    write_account_file(account.folder / ACCOUNT_FILE, held)
    return made


def require_chargeable(account: Account) -> None:
    """Refuse an account one of whose tariffs can't be charged on the days on which it holds: none could be drawn up.

    Raises
    ------
    CaseError
        In one sentence: days without a price, a file of prices that isn't there, a tariff that has ended.
    """
    frame, zone = account.streams["import_kwh"], account.case.site.zone
    first, last = (stamp.tz_convert(zone).date() for stamp in (frame.index[0], frame.index[-1]))
    for case in (account.case, *((account.old,) if account.old is not None else ())):
        terms = terms_of(account, case)
        for one, after in zip(terms, [*terms[1:], None], strict=True):
            begin, end = max(one.since or first, first), after.since if after is not None and after.since else last
            for year in range(begin.year, max(begin, end).year + 1) if end > first else ():
                _of_year(one.tariff, case, year, MINUTES)


def prices_on(terms: tuple[Terms, ...], case: Case, window: Window) -> tuple[Prices, Prices]:
    """Prices as they held, and those of the first day held on to, over a window.

    A price by a file is that of its hour in both: only terms change on a date.
    """
    days = window.block_starts.tz_convert(case.site.zone).tz_localize(None)
    at = np.array([sum(one.since is not None and pd.Timestamp(one.since) <= day for one in terms) for day in days])
    order = [k for k in range(len(terms)) if k in set(at.tolist())]
    held = {k: _laid(terms[k].tariff, case, window, (at == k) | (at[0] == k)) for k in order}
    first, of_step = held[int(at[0])], np.repeat(at, np.diff(window.edges))
    now = Prices(
        np.select([of_step == k for k in order], [held[k].bought for k in order]),
        np.select([of_step == k for k in order], [held[k].sold for k in order]),
        np.select([at == k for k in order], [held[k].standing for k in order]),
    )
    return now, first


def _laid(tariff: Tariff, case: Case, window: Window, held: Bools) -> Prices:
    """One tariff over the years of a window in which it is `held`, (days,); nothing in the others."""
    zone = case.site.zone
    years, day_years = (stamps.tz_convert(zone).year.to_numpy() for stamps in (window.starts, window.block_starts))
    months = window.block_starts.tz_convert(zone).month.to_numpy()
    bought, sold, standing = np.zeros(len(years)), np.zeros(len(years)), np.zeros(len(day_years))
    for year in np.unique(day_years[held]).tolist():
        axis, signal, of_month = _of_year(tariff, case, int(year), round(60 * window.hours))
        there = years == year
        place = axis.utc.get_indexer(window.starts[there])
        bought[there], sold[there] = signal.import_per_kwh[place], signal.export_per_kwh[place]
        standing[day_years == year] = of_month[months[day_years == year] - 1]
    return Prices(bought, sold, standing)


def _of_year(tariff: Tariff, case: Case, year: int, minutes: int) -> tuple[TimeAxis, PriceSignal, Floats]:
    """A civil year, prices of its steps, and what a day of each month costs on which nothing is used, (12,)."""
    axis = setting_for(in_year(case, year), minutes, priced=False).axis
    return axis, price_signal(tariff, axis, country=case.site.country), _standing(tariff, axis, case.site.country)


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
        return daily * day_prices(price, expected.steps[quantity], window)
    step = f"{round(60 * window.hours)}min"
    at = pd.Series(price, index=window.starts).reindex(pd.DatetimeIndex(frame.index).floor(step))
    local = pd.DatetimeIndex(frame.index).tz_convert(zone).tz_localize(None).normalize()
    spent = pd.Series(frame["value"].to_numpy() * at.to_numpy(), index=local)
    return np.asarray(spent.groupby(level=0).sum().reindex(expected.days).to_numpy())
