"""A running account in; what was used, paid and expected, what made the difference, and what was saved, out."""

from __future__ import annotations

from calendar import month_name
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import pandas as pd

from simkit.answered import Answered
from simkit.arrays import Bools, Floats
from simkit.case.case import Case
from simkit.meter.account import causes
from simkit.meter.account.account import Account
from simkit.meter.account.causes import (
    BY_HEAT,
    BY_PUMP,
    BY_WHOLE,
    Parted,
    by_heat_meter,
    causes_of,
    parted,
    priced_of,
)
from simkit.meter.account.dated_prices import cost_of_days, prices_on, terms_of
from simkit.meter.account.drift import OWN_METER, Drift, away_days, drift_by_own_meter, drift_of, own_straying, runs_of
from simkit.meter.account.expected import Expected, Meters, beyond, expected_of, meters_of, weather_that_was
from simkit.meter.account.old_fuel import PaidBack, against_old, paid_back
from simkit.meter.account.what_changed import Changed, changed_since
from simkit.meter.fitting.lanes import NET
from simkit.meter.fitting.weather_then import WeatherThen
from simkit.notation import Notation
from simkit.uncertainty.ranges import Range

OTHER_PRICE = 0.03
# Own: heat meters of class 2 or 3 are some per cent off (EN 1434-1), and so is a fitted home from season to season.
RATIO_SD = 0.03
LEAST_OVERLAP = 0.95  # own: a logger that shares fewer of the days is said to
UNUSED = {"room_c": ": `simkit change` and `simkit cooldown` use it", "fuel_kwh": ""}
UNKNOWN_WEATHER = "The weather that was is not known, so that what it did stands under use and efficiency."


@dataclass(frozen=True, eq=False, repr=False)
class Statement(Answered):
    """An account drawn up.

    Attributes
    ----------
    days
        One row for each whole day read: metered_kwh, expected_kwh, expected_low, expected_high, heat_kwh (the heat
        pump's part of what was expected), outdoor_c, away, cost, old_cost, saved.
    samples
        What was expected of those days in samples of homes and lives, (samples, days) [kWh].
    causes
        By day, what made the difference to the usual: see `simkit.meter.account.causes.causes_of`.
    efficiency
        How well efficiency is told from use.
    case, home
        The home as described and as fitted.
    saved
        Saved to date against the old fuel, 10–50–90 [currency]; None where no old option is named.
    paid_back
        What the change has paid back; None without a ledger.
    drift, changed
        A drift that was seen, and what changed then; None where none was.
    other_prices
        Months whose bill doesn't fit the prices.
    loggers
        Loggers that share only part of the days with the whole home's meter, a sentence each.
    notes
        What was assumed.
    """

    answered_by = "simkit.answers.meter.account:account_answer"

    days: pd.DataFrame
    samples: Floats = field(repr=False)
    causes: pd.DataFrame
    efficiency: Parted
    case: Case
    home: Case
    saved: Range | None
    paid_back: PaidBack | None
    drift: Drift | None
    changed: Changed | None
    other_prices: tuple[str, ...]
    loggers: tuple[str, ...]
    notes: tuple[str, ...]

    @cached_property
    def months(self) -> pd.DataFrame:
        """Sums of the months, the fit's own range of each, and the running total saved."""
        month = pd.DatetimeIndex(self.days.index).strftime("%Y-%m")
        by_month = self.days.groupby(month)
        sums = by_month[["metered_kwh", "expected_kwh", "cost", "old_cost", "saved"]].sum()
        of_month = [self.samples[:, month == name].sum(axis=1) for name in sums.index]
        low, high = np.quantile(of_month, (0.1, 0.9), axis=1)
        sums.insert(0, "days", by_month.size())
        sums.insert(3, "expected_low", low)
        sums.insert(4, "expected_high", high)
        sums["running_saved"] = sums["saved"].cumsum()
        sums.index.name = "month"
        return sums

    @cached_property
    def cause_months(self) -> pd.DataFrame:
        """What made the difference, by month; rows add up as those of days do."""
        return causes.months_of(self.causes)

    @property
    def away(self) -> list[tuple[pd.Timestamp, pd.Timestamp]]:
        """First and last day of each time away."""
        full = self.days["away"].asfreq("D", fill_value=False)
        return [(full.index[a], full.index[b]) for a, b in runs_of(full.to_numpy(dtype=bool))]


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
    case = account.case
    expected = expected_of(account, weather or weather_that_was(account))
    read = meters_of(account, expected.days)
    there = np.isfinite(read.bought)
    low, high = np.quantile(expected.samples, (0.1, 0.9), axis=0)
    widths = expected.straying.sd * expected.straying.widths(expected.kwh)
    away = there & away_days(read.bought, expected.kwh, widths)
    now, first = prices_on(terms_of(account, case), case, expected.window)
    cost = cost_of_days(account, expected, read, now)
    saved, old_cost = against_old(account, expected, cost)
    whole = _drift(account, expected, read, away)
    own = drift_by_own_meter(account, expected, read.pump, away)
    drift = whole or own
    days = pd.DataFrame(
        {
            "metered_kwh": read.bought, "expected_kwh": expected.kwh, "expected_low": low, "expected_high": high,
            "heat_kwh": expected.pump_kwh, "outdoor_c": expected.window.block_mean("outdoor_c"), "away": away,
            "cost": cost, "old_cost": old_cost, "saved": old_cost - cost,
        },
        index=expected.days,
    )[there]  # fmt: skip
    split = _efficiency(account, expected, read, away=away, whole=whole, own=own)
    months = days.groupby(days.index.strftime("%Y-%m"))["cost"].agg(["sum", "size"])
    priced = priced_of(account, expected, read, first=first, now=now)
    unknown = () if expected.then.known_from is not None else (UNKNOWN_WEATHER,)
    return Statement(
        days, expected.samples[:, there], causes_of(priced, split.kwh, days.index), split,
         case, account.home, saved, paid_back(account, saved, days.index), drift,
        changed_since(account, drift, expected, read, away) if drift is not None else None,
        _other_prices(months, billed or {}, case.notation), _loggers(account, days.index),
        (*expected.then.notes, *expected.window.notes, *unknown),
    )  # fmt: skip


def _drift(account: Account, expected: Expected, read: Meters, away: Bools) -> Drift | None:
    """A drift of the whole home: where it sells too, of import less export, since how they part is no drift."""
    shown = read.bought - read.sold if account.held.scatter.meter == NET else read.bought
    looked_at = np.isfinite(shown) & ~away
    days = pd.DataFrame(
        {"metered_kwh": shown, "expected_kwh": expected.whole.mean(axis=0), "heat_kwh": expected.pump_kwh},
        index=expected.days,
    )
    return drift_of(account, days[looked_at], expected.whole[:, looked_at], expected.straying)


def _efficiency(
    account: Account, expected: Expected, read: Meters, *, away: Bools, whole: Drift | None, own: Drift | None
) -> Parted:
    """What is efficiency's of each day read: by the heat meter where there is one, else as far as it goes with heat."""
    left, days, there = read.bought - expected.kwh, expected.days, np.isfinite(read.bought)
    pumped = np.isfinite(read.pump)[there].mean() > LEAST_OVERLAP
    straying, load = expected.straying, expected.kwh
    if pumped:  # what meter and fit disagree on in the fitted days is no change
        straying = own_straying(expected, read.pump, away) or straying
        load = expected.pump_kwh if straying.meter == OWN_METER else load
        left = np.where(np.isfinite(read.pump), beyond(read.pump, expected.pump_kwh, expected.fitted), 0.0)
    found = parted(
        left[there], expected.pump_kwh[there], straying=straying, load=load[there], away=away[there],
        drift=own if pumped else whole, days=days[there], told_by=BY_PUMP if pumped else BY_WHOLE,
    )  # fmt: skip
    by_heat = by_heat_meter(
        read.pump, read.heat, expected.by_day("heat_pump_kwh"), expected.by_day("heat_kwh"), expected.fitted
    )[there]
    metered = np.isfinite(by_heat)
    if not metered.any():
        return found
    kwh = np.where(metered, np.where(away[there], 0.0, by_heat), found.kwh)
    # what is parted is in doubt on the days without a heat meter only, meters and fitted ratio on the others
    unread, both = found.error_kwh * float(np.mean(~metered)), RATIO_SD * float(read.pump[there][metered].sum())
    error = (unread**2 + both**2) ** 0.5
    return Parted(kwh, error, BY_HEAT if metered.all() else f"{BY_HEAT}, on the days that it was read")


def _loggers(account: Account, days: pd.DatetimeIndex) -> tuple[str, ...]:
    """Say which loggers share only part of the days of the whole home."""
    said = []
    for name in account.streams:
        held = account.readings(name)
        if name in UNUSED:
            said.append(f"{name} is kept and not used here{UNUSED[name]}.")
        if name in ("import_kwh", *UNUSED) or held is None:
            continue
        own = held.daily(name).dropna().index
        both = own.intersection(days)
        outside = len(own) - len(both)
        if len(both) < LEAST_OVERLAP * len(days) or outside:
            reach = f" ({both[0].date()} to {both[-1].date()})" if len(both) else ""
            more = f"; {outside} of its own days lie beside them and are not used" if outside else ""
            said.append(f"{name} was read whole on {len(both)} of the {len(days)} days{reach}{more}.")
    return tuple(said)


def _other_prices(months: pd.DataFrame, billed: Mapping[str, float], notation: Notation) -> tuple[str, ...]:
    said = []
    for month, amount in billed.items():
        if month not in months.index:
            continue
        cost, count = float(months["sum"][month]), int(months["size"][month])
        month_of = pd.Period(month)
        apart = amount / (cost / count * month_of.days_in_month) - 1.0
        if abs(apart) > OTHER_PRICE:
            said.append(
                f"The bill of {month_name[month_of.month]} {month_of.year} is {notation.share(abs(apart))} "
                f"{'higher' if apart > 0 else 'lower'} than what these prices make of the readings: the tariff has "
                "changed, or the bill is estimated."
            )
    return tuple(said)
