"""An account and its weather in; what its days were expected to take, with the fit's own range, out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Floats
from simkit.meter.account.account import Account
from simkit.meter.fitting.lanes import COUNTED, NET, by_step, metered
from simkit.meter.fitting.observations import step_for
from simkit.meter.fitting.weather_then import WeatherThen, from_temperatures, usual_weather
from simkit.meter.fitting.window import Window, window_of
from simkit.meter.living import Before, Straying

HOMES, LIVES = 128, 8
FITTED_DAYS = 7  # own: of a meter beside, that its own bias is taken from
LOGGED = 0.7  # own: share of an account's time from which its temperatures stand for the weather
BY_STEP = {
    "import_kwh": COUNTED["import_kwh"], "export_kwh": COUNTED["export_kwh"],
    "heat_pump_kwh": COUNTED["heat_pump_kwh"], "heat_kwh": COUNTED["heat_kwh"], "standby_kwh": ("standby",),
    "space_kwh": ("heat_pump_space", "backup_heater", "pumps_space"),
    "water_kwh": ("heat_pump_water", "immersion", "pumps_water"), "household_kwh": ("household",),
}  # fmt: skip


class Meters(NamedTuple):
    """Days as they were metered, (days,) [kWh]; NaN where a day was not read whole."""

    bought: Floats
    sold: Floats
    pump: Floats
    heat: Floats


@dataclass(frozen=True, eq=False)
class Expected:
    """What an account's days were expected to take in the weather that was.

    Attributes
    ----------
    window, then
        The span in that weather.
    days
        Local days, (days,).
    straying
        How days stray from the fitted home.
    homes
        What homes of the fit buy each day, (homes, days) [kWh]: nothing of people's habits in it.
    whole
        The same of the meter whose drift is sought: import, or import less export.
    kwh
        Expected of each day, habits of the fitted days counted, (days,).
    samples
        Days of homes and lives, (samples, days) [kWh].
    pumps
        What the heat pumps of those homes take each day, (homes, days).
    steps
        The middle home step by step, by name, (steps,) [kWh].
    fitted
        Days that were fitted, (days,).
    """

    window: Window
    then: WeatherThen
    days: pd.DatetimeIndex
    straying: Straying
    homes: Floats
    whole: Floats
    kwh: Floats
    samples: Floats
    pumps: Floats
    steps: dict[str, Floats]
    fitted: Bools

    @property
    def pump_kwh(self) -> Floats:
        """The heat pump's part of what was expected, (days,) [kWh]."""
        return np.asarray(self.pumps.mean(axis=0))

    def by_day(self, name: str) -> Floats:
        """Sums of the middle home's steps by day, (days,) [kWh]."""
        return np.asarray(np.add.reduceat(self.steps[name], self.window.edges[:-1]))


def weather_that_was(account: Account) -> WeatherThen:
    """Weather by the account's own temperatures where they reach far enough, else the case's."""
    whole, logged = account.readings("import_kwh"), account.readings("outdoor_c")
    assert whole is not None  # no account is without
    start, end = whole.frame.index[0], whole.frame["end"].max()
    step = step_for(account.case, [whole])
    usual = usual_weather(account.case, start, end, step)
    if logged is None:
        return usual
    frame = logged.frame[(logged.frame.index < end) & (logged.frame["end"] > start)]
    if (frame["end"] - frame.index).sum() < LOGGED * (end - start):
        note = "Temperatures that were logged reach over less than seven tenths of the time, and are not used."
        return WeatherThen(usual.years, usual.known_from, (*usual.notes, note))
    then = from_temperatures(account.case, frame["outdoor_c"], step)
    return WeatherThen({**usual.years, **then.years}, then.known_from, then.notes)


def straying_of(account: Account) -> Straying:
    """How days stray from the fitted home, as the account remembers it."""
    one = account.held.scatter
    return Straying(one.meter, one.sd_kwh, one.mean_kwh, np.array(one.shares) / sum(one.shares))


def window_for(account: Account, then: WeatherThen) -> Window:
    """The span of an account in some weather."""
    frame = account.streams["import_kwh"]
    return window_of(account.case, frame.index[0], frame["end"].max(), weather=then)


def meters_of(account: Account, days: pd.DatetimeIndex) -> Meters:
    """What the meters showed on days."""
    sold = account.daily("export_kwh", days) if "export_kwh" in account.streams else np.zeros(len(days))
    return Meters(
        account.daily("import_kwh", days), sold, account.daily("heat_pump_kwh", days), account.daily("heat_kwh", days)
    )


def expected_of(account: Account, then: WeatherThen, seed: int = 1) -> Expected:
    """Work out what an account's days were expected to take.

    The range of a day, and that of a month, is the fit's own: homes drawn from what the fit left open, and on each of
    them days that stray from it as the fitted days did, alike from day to day.
    """
    window = window_for(account, then)
    days = window.block_starts.tz_convert(account.case.site.zone).tz_localize(None)
    values, netted = account.values(HOMES), account.held.scatter.meter == NET
    made = metered(window, account.unknowns, values, ["import_kwh", "heat_pump_kwh", *([NET] if netted else [])])
    whole = made[NET] if netted else made["import_kwh"]
    read = meters_of(account, days)
    fitted = np.asarray(
        (days >= pd.Timestamp(account.held.fitted_from)) & (days < pd.Timestamp(account.held.fitted_until))
    )
    shown = read.bought - read.sold if netted else read.bought
    apart = np.asarray(days.isin(pd.DatetimeIndex([pd.Timestamp(day) for day in account.held.scatter.apart])))
    expected, samples = _lived(account, whole, shown, fitted, apart=apart, seed=seed)
    bought = made["import_kwh"]
    if netted:  # how the two part inside half-hours nobody knows: what is strayed falls on each as both share the day
        sold = bought - whole
        share = bought / np.maximum(bought + sold, 1e-9)
        expected = bought + (expected - whole) * share
        samples = np.tile(bought, (LIVES, 1)) + (samples - np.tile(whole, (LIVES, 1))) * np.tile(share, (LIVES, 1))
    names = [one.name for one in account.unknowns]
    steps = by_step(window, dict(zip(names, values[0].tolist(), strict=True)), BY_STEP)
    return Expected(
        window, then, days, straying_of(account), bought, whole, np.maximum(expected.mean(axis=0), 0.0),
        np.maximum(samples, 0.0), made["heat_pump_kwh"], steps, fitted,
    )  # fmt: skip


def _lived(
    account: Account, made: Floats, shown: Floats, fitted: Bools, *, apart: Bools, seed: int
) -> tuple[Floats, Floats]:
    """Days that were fitted stray by themselves; the others, given what those left over."""
    straying, places, rng = straying_of(account), np.arange(len(fitted), dtype=np.float64), np.random.default_rng(seed)
    scale = account.scales(len(made))
    kept = fitted & np.isfinite(shown) & ~apart
    none = np.zeros(len(fitted), dtype=bool)
    expected, samples = np.empty(made.shape), np.empty((LIVES * len(made), len(fitted)))
    for part, given in ((fitted, none), (~fitted, kept)):
        if part.any():
            widths = straying.widths(made[:, given].mean(axis=0))
            before = Before(places[given], made[:, given], shown[given], widths)
            lived = straying.lived(made[:, part], places[part], before, scale=scale, rng=rng, lives=LIVES)
            expected[:, part], samples[:, part] = lived.expected, lived.samples
    return expected, samples


def beyond(metered: Floats, usual: Floats, fitted: Bools) -> Floats:
    """Metered less the usual, the usual scaled to the fitted days where a week of them was read, (days,)."""
    known = fitted & np.isfinite(metered) & np.isfinite(usual)
    apart = metered[known].sum() / max(float(usual[known].sum()), 1e-9) if known.sum() >= FITTED_DAYS else 1.0
    return np.asarray(metered - apart * usual)
