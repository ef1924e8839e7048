"""A drift and the hours of the days before and after it in; a day to look at, and what changed, out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Floats
from simkit.meter.account.account import Account
from simkit.meter.account.drift import OWN_METER, Drift
from simkit.meter.account.expected import Expected, Meters, beyond

NIGHT = (23, 0, 1, 2, 3, 4, 5)  # hours of local time
LEAST_BEFORE = 7  # days before the drift that the hours of a usual day are taken from
# Own: log-likelihood that the next best shape must fall short by, and the share of the best's gain: hours of a day are
# not independent, and no home's hours are quite those of the simulation.
CLEARLY, ALIKE = 8.0, 0.15
LIKELY = {
    "nights": "nights (23:00 to 06:00): heating that is not set back any more, or something that runs at night",
    "hot water": "hot water: it falls in the hours in which water is heated",
    "standby": "standby: it is the same in every hour, as something left on",
    "efficiency": "efficiency of the heating: it follows the heating hour by hour and day by day",
    "household": "the household: it falls in the hours in which people use electricity",
}  # fmt: skip
LEAST_KWH = 0.01  # own: of an hour, which no meter's hours and a simulation's agree on closer
LONGEST_H = 1.0  # of intervals that tell hours apart
UNRESOLVED = "hours are not read, and days can't tell nights, hot water, standby and household apart"


@dataclass(frozen=True)
class Changed:
    """What changed since a drift.

    Attributes
    ----------
    day, metered_kwh, expected_kwh
        A day to look at, and what it used and was expected to use [kWh].
    what
        Keys of `LIKELY`, the likeliest first, the others where they are not clearly less likely; ("efficiency",) alone
        or empty where only days are read.
    pump_kwh
        The heat pump's own meter: what it takes more of a day than before, against the expected [kWh]; NaN unread.
    heat_share
        Heat per electricity by its meters, after over before, at the expected ratio; NaN unread.
    """

    day: pd.Timestamp
    metered_kwh: float
    expected_kwh: float
    what: tuple[str, ...]
    pump_kwh: float
    heat_share: float


def changed_since(account: Account, drift: Drift, expected: Expected, read: Meters, away: Bools) -> Changed:
    """Find what changed since a drift, as far as the readings tell.

    Parameters
    ----------
    account, drift
        The account and its drift.
    expected
        What was expected, with the steps of the middle home.
    read, away
        Days as metered, and those on which nobody was in.
    """
    own = drift.meter == OWN_METER
    metered, wanted = (read.pump, usual(read.pump, expected)) if own else (read.bought, expected.kwh)
    days, left = expected.days, metered - wanted
    usable = np.isfinite(left) & ~away
    after = usable & np.asarray(days >= drift.since)
    before = usable & np.asarray(days < drift.since)
    sign = 1.0 if drift.kwh_per_day > 0 else -1.0
    widths = expected.straying.widths(wanted)
    place = int(np.argmax(np.where(after, sign * left / widths, -np.inf)))
    pump = read.pump - expected.pump_kwh
    ratio = read.heat * expected.by_day("heat_pump_kwh") / np.maximum(read.pump * expected.by_day("heat_kwh"), 1e-9)
    what = [one for one in _what(account, expected, before, after, drift) if not own or one != "household"]
    return Changed(
        days[place], float(metered[place]), float(wanted[place]), tuple(what), _moved(pump, before, after, np.subtract),
        _moved(ratio, before, after, np.divide),
    )  # fmt: skip


def usual(pump: Floats, expected: Expected) -> Floats:
    """What the heat pump was expected to take, at the level of its own meter in the fitted days, (days,) [kWh]."""
    return pump - beyond(pump, expected.pump_kwh, expected.fitted)


def _moved(values: Floats, before: Bools, after: Bools, how: np.ufunc) -> float:
    """Mean after against mean before; NaN where too few days of either were read."""
    known = np.isfinite(values)
    if min((known & before).sum(), (known & after).sum()) < LEAST_BEFORE:
        return float("nan")
    return float(how(values[known & after].mean(), values[known & before].mean()))


def _what(account: Account, expected: Expected, before: Bools, after: Bools, drift: Drift) -> tuple[str, ...]:
    """The shapes over the hours of the day that what changed goes along with."""
    frame = account.streams["import_kwh"]
    if (frame["end"] - frame.index).median() > pd.Timedelta(hours=LONGEST_H) or before.sum() < LEAST_BEFORE:
        return ("efficiency",) if drift.grows else ()
    zone, index = account.case.site.zone, expected.window.starts
    metered = _hours(pd.Series(frame["value"].to_numpy(), index=pd.DatetimeIndex(frame.index)), zone, expected.days)
    # an hour that a change of clocks leaves out holds nothing
    steps = {
        name: np.nan_to_num(_hours(pd.Series(each, index=index), zone, expected.days))
        for name, each in expected.steps.items()
    }
    left = np.nan_to_num(metered - steps["import_kwh"])
    space = steps["space_kwh"].sum(axis=1)
    halves = [after & (space <= np.median(space[after])), after & (space > np.median(space[after]))]
    moved, error = _moved_by_hour(left, space, before, halves)
    shapes = {name: np.array([shape[half].mean(axis=0) for half in halves]) for name, shape in _shapes(steps).items()}
    gained = {name: _explained(moved / error, shape / error) for name, shape in shapes.items()}
    ranked = sorted(gained, key=lambda name: -gained[name])
    near = gained[ranked[0]] - max(CLEARLY, ALIKE * gained[ranked[0]])
    return tuple(name for name in ranked if gained[name] >= near)


def _shapes(steps: dict[str, Floats]) -> dict[str, Floats]:
    """Where in a day each of `LIKELY` falls, (days, 24) each; what is heated longer is heated into the next hour."""
    water, household = (
        np.broadcast_to(steps[f"{name}_kwh"].mean(axis=0), steps["space_kwh"].shape) for name in ("water", "household")
    )
    night = np.broadcast_to(np.isin(np.arange(24), NIGHT).astype(np.float64), water.shape)
    return {
        "nights": night, "hot water": (water + np.roll(water, 1, axis=1)) / 2.0, "standby": np.ones(water.shape),
        "efficiency": steps["space_kwh"], "household": household,
    }  # fmt: skip


def _moved_by_hour(left: Floats, space: Floats, before: Bools, halves: list[Bools]) -> tuple[Floats, Floats]:
    """What each hour takes more than before, on mild and on cold days, and its standard error, (2, 24) each [kWh].

    How hours strayed before is taken from a line on the day's heating, since the hours in which a home heats are never
    quite those of the simulation.
    """
    design = np.column_stack([np.ones(len(space)), space])
    line, *_ = np.linalg.lstsq(design[before], left[before], rcond=None)
    apart = left - design @ line
    spread = apart[before].var(axis=0)
    normal = np.linalg.inv(design[before].T @ design[before] + 1e-9 * np.eye(2))
    moved, error = [], []
    for half in halves:
        at = design[half].mean(axis=0)
        moved.append(apart[half].mean(axis=0))
        error.append(np.sqrt((spread + apart[half].var(axis=0)) / half.sum() + spread * (at @ normal @ at)) + LEAST_KWH)
    return np.array(moved), np.array(error)


def _explained(moved: Floats, shape: Floats) -> float:
    """Log-likelihood that one shape gains."""
    return float((shape * moved).sum() ** 2 / max(float((shape**2).sum()), 1e-12) / 2.0)


def _hours(values: pd.Series, zone: str, days: pd.DatetimeIndex) -> Floats:
    """Sums by day and local hour, (days, 24) [kWh]; NaN where an hour was not read."""
    local = pd.DatetimeIndex(values.index).tz_convert(zone).tz_localize(None)
    made = pd.DataFrame({"day": local.normalize(), "hour": local.hour, "v": values.to_numpy()})
    table = made.pivot_table(index="day", columns="hour", values="v", aggfunc="sum")
    return table.reindex(index=days, columns=range(24)).to_numpy()
