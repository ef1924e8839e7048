"""A running account in; what was used and paid, what was expected, what the old fuel would have cost, out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from simkit.answered import Answered
from simkit.arrays import Floats
from simkit.assemble.setting import setting_for
from simkit.billing.charge import fixed_cost
from simkit.case.case import Case
from simkit.finance.ledger import settled
from simkit.meter.account.account import Account
from simkit.meter.account.drift import Drift, drift_of
from simkit.meter.fitting.lanes import NET, metered
from simkit.meter.fitting.observations import weather_of
from simkit.meter.fitting.weather_then import WeatherThen, in_year
from simkit.meter.fitting.window import Window, window_of
from simkit.meter.reading.reading import readings_from
from simkit.uncertainty.ranges import Range

LANES = 48
STRAYED = 24  # sets of scatter that are laid on each sample for the band of a day
OTHER_PRICE = 0.03
LOGGED = 0.7  # own: share of an account's rows from which its temperatures stand for the weather


@dataclass(frozen=True, eq=False, repr=False)
class Statement(Answered):
    """An account drawn up.

    Attributes
    ----------
    days
        One row for each whole day read: metered_kwh, expected_kwh, expected_low, expected_high, heat_kwh (the part
        expected for heating and hot water), outdoor_c, cost, old_cost, saved.
    case, home, outlay
        The home as described and as fitted, and what the change cost net [currency].
    saved
        Saved to date against the old fuel, 10–50–90 [currency]; None where no old option is named.
    drift
        A drift that was seen; None where none was.
    other_prices
        Months whose bill doesn't fit the tariff of the case.
    notes
        What was assumed.
    """

    answered_by = "simkit.answers.meter.account:account_answer"

    days: pd.DataFrame
    case: Case
    home: Case
    outlay: float
    saved: Range | None
    drift: Drift | None
    other_prices: tuple[str, ...]
    notes: tuple[str, ...]

    @cached_property
    def months(self) -> pd.DataFrame:
        """Sums of the months, and the running total saved."""
        by_month = self.days.groupby(pd.DatetimeIndex(self.days.index).strftime("%Y-%m"))
        sums = by_month[
            ["metered_kwh", "expected_kwh", "expected_low", "expected_high", "cost", "old_cost", "saved"]
        ].sum()
        sums.insert(0, "days", by_month.size())
        sums["running_saved"] = sums["saved"].cumsum()
        sums.index.name = "month"
        return sums


def statement(
    account: Account, *, weather: WeatherThen | None = None, billed: Mapping[str, float] | None = None
) -> Statement:
    """Draw an account up.

    Parameters
    ----------
    account
        The account.
    weather
        Weather that really was; None takes logged outdoor temperatures in the account, or else the usual weather.
    billed
        What was billed by month, ``{"2026-03": 214.5}`` [currency], to see whether prices changed.
    """
    case, frame = account.case, account.frame
    held = readings_from(frame, zone=case.site.zone, name="account")
    start, end = frame.index[0], frame["end"].max()
    then = weather or weather_of(case, [held], least=LOGGED)
    window = window_of(case, start, end, weather=then)
    daily = held.daily("import_kwh")
    block_days = window.block_starts.tz_convert(case.site.zone).tz_localize(None)
    values = account.values(LANES)
    netted = "export_kwh" in frame and bool(frame["export_kwh"].notna().any())
    made = metered(window, account.unknowns, values, ["import_kwh", "heat_pump_kwh", *([NET] if netted else [])])
    expected = made["import_kwh"]
    days = pd.DataFrame(index=block_days)
    days["metered_kwh"] = daily.reindex(block_days).to_numpy()
    days["expected_kwh"] = expected[0]
    # a day strays from the fitted home as the days of the fit did: without that most days fall outside
    strayed = expected + account.day_sd_kwh * np.random.default_rng(1).normal(size=(STRAYED, *expected.shape))
    days["expected_low"], days["expected_high"] = np.quantile(strayed, (0.1, 0.9), axis=(0, 1))
    days["heat_kwh"], days["outdoor_c"] = made["heat_pump_kwh"][0], window.block_mean("outdoor_c")
    days["cost"] = _costs(case, frame, window, days["metered_kwh"].to_numpy())
    read = days["metered_kwh"].notna().to_numpy()
    saved, old_cost = _against_old(account, window, then, values, days)
    days["old_cost"], days["saved"] = old_cost, old_cost - days["cost"]
    outlay = settled(case.ledger, case.money).outlay if case.money is not None else 0.0
    tested, looked_at = days, read
    if netted:  # how import and export part inside half-hours is no drift
        net = (daily - held.daily("export_kwh")).reindex(block_days).to_numpy()
        tested, looked_at = days.assign(metered_kwh=net, expected_kwh=made[NET][0]), np.isfinite(net)
    drift = drift_of(account, tested[looked_at], made[NET if netted else "import_kwh"][:, looked_at])
    months = days[read].groupby(pd.DatetimeIndex(days.index[read]).strftime("%Y-%m"))["cost"].agg(["sum", "size"])
    return Statement(
        days[read], case, account.home, outlay, saved, drift, _other_prices(months, billed or {}),
        (*then.notes, *window.notes),
    )  # fmt: skip


def _prices(case: Case, window: Window) -> Floats:
    """Price of a kWh in each step of a window, (steps,) [currency/kWh]."""
    zone, step = case.site.zone, round(60 * window.hours)
    years = window.starts.tz_convert(zone).year.to_numpy()
    made = np.empty(len(window.starts))
    for year in np.unique(years).tolist():
        setting = setting_for(in_year(case, int(year)), step)
        there = years == year
        made[there] = setting.signal.import_per_kwh[setting.axis.utc.get_indexer(window.starts[there])]
    return made


def _standing(case: Case) -> float:
    """What a day costs on which nothing is used [currency]."""
    setting = setting_for(case, 60)
    return fixed_cost(case.tariff, setting.axis, country=case.site.country) / len(setting.axis.dates)


def _costs(case: Case, frame: pd.DataFrame, window: Window, metered_kwh: Floats) -> Floats:
    """Energy at each interval's price, and a day's standing charges; NaN on days that were not read whole, (days,)."""
    price = pd.Series(_prices(case, window), index=window.starts)
    mean = np.add.reduceat(price.to_numpy(), window.edges[:-1]) / np.diff(window.edges)
    place = price.reindex(pd.DatetimeIndex(frame.index).floor(f"{round(60 * window.hours)}min")).to_numpy()
    spent = pd.Series(frame["import_kwh"].to_numpy() * place, index=pd.DatetimeIndex(frame.index))
    zone = case.site.zone
    by_day = spent.groupby(spent.index.tz_convert(zone).tz_localize(None).normalize()).sum()
    exact = by_day.reindex(window.block_starts.tz_convert(zone).tz_localize(None)).to_numpy()
    lengths = (frame["end"] - frame.index).max()
    energy = exact if lengths <= pd.Timedelta(hours=1) else metered_kwh * mean
    return np.where(np.isnan(metered_kwh), np.nan, energy + _standing(case))


def _against_old(
    account: Account, window: Window, then: WeatherThen, values: Floats, days: pd.DataFrame
) -> tuple[Range | None, Floats]:
    """What the home would have cost as it was before, by day [currency], and what was saved to date."""
    old = account.old
    if old is None or old.fuel is None:
        return None, np.full(len(days), np.nan)
    place = [k for k, one in enumerate(account.unknowns) if one.name in ("loss_w_per_k", "base_kwh", "draws")]
    unknowns = [account.unknowns[k] for k in place]
    end = window.starts[-1] + pd.Timedelta(hours=window.hours)
    before = window_of(old, window.starts[0], end, weather=then)
    made = metered(before, unknowns, values[:, place], ["import_kwh", "fuel_kwh"])
    price = np.add.reduceat(_prices(old, before), before.edges[:-1]) / np.diff(before.edges)
    fuel = made["fuel_kwh"] / old.fuel.kwh_per_unit * old.fuel.price_per_unit + old.fuel.standing_per_day
    cost = made["import_kwh"] * price + _standing(old) + fuel
    read = days["metered_kwh"].notna().to_numpy()
    saved = (cost[:, read] - days["cost"].to_numpy()[read]).sum(axis=1)
    order, n = np.argsort(saved), len(saved)
    middle = cost[order[(n - 1) // 2 : n // 2 + 1]].mean(axis=0)  # so that days add up to the middle of the range
    return Range.of(saved), middle


def _other_prices(months: pd.DataFrame, billed: Mapping[str, float]) -> tuple[str, ...]:
    said = []
    for month, amount in billed.items():
        if month not in months.index:
            continue
        cost, count = float(months["sum"][month]), int(months["size"][month])
        whole = cost / count * pd.Period(month).days_in_month
        if abs(amount / whole - 1.0) > OTHER_PRICE:
            said.append(
                f"The bill of {month} is {100 * (amount / whole - 1):+.0f} % off what these prices make of the "
                "readings: the tariff has changed, or the bill is estimated."
            )
    return tuple(said)
