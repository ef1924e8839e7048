"""Readings in; others made of them out: what is left for the heating less the household, and sums of whole months."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd

from simkit.assemble.home import home_inputs
from simkit.assemble.setting import setting_for
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.errors import DataError, Fault
from simkit.meter.reading.reading import Readings, readings_from
from simkit.meter.reading.words import TEMPERATURES
from simkit.profiles.one_home import mean_of_many

ANY_LOSS_W_PER_K = 150.0  # no series depends on it
MOST_BELOW = 0.25  # own: share of intervals in which a mean profile may exceed a real home's use

LONGEST_DAY = pd.Timedelta(hours=25)  # of a clock change


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


def less_own_household(case: Case, files: Sequence[Readings]) -> list[Readings]:
    """Take the household that a case describes, by its file or profile, off the whole home's meter among files.

    Raises
    ------
    DataError
        Where no file holds the whole home's meter, or as `less_household` says.
    """
    if not any("import_kwh" in one.quantities for one in files):
        remedy = "Leave --less-household out: what is read is no whole home"
        raise DataError(Fault("--less-household", "the readings", "hold no import_kwh to take it off", remedy))
    return [_less_own(case, one) if "import_kwh" in one.quantities else one for one in files]


def _less_own(case: Case, one: Readings) -> Readings:
    made = less_household(one, household_kw(case, one.frame.index[0], one.frame["end"].iloc[-1]))
    others = one.frame.drop(columns=["import_kwh", "end", "estimated"])
    frame = made.frame.join(others[[name for name in others if name not in made.frame]])
    return readings_from(frame, zone=one.zone, name=one.report.file)


def household_kw(case: Case, start: pd.Timestamp, end: pd.Timestamp) -> pd.Series:
    """Household load that a case describes in the civil years of a span, by time in UTC [kW]."""
    parts = []
    for year in range(start.tz_convert(case.site.zone).year, end.tz_convert(case.site.zone).year + 1):
        home = vary(case, {"site.year": year, **mean_of_many(case.household)})
        setting = setting_for(home)
        made = home_inputs(home, setting, ANY_LOSS_W_PER_K).series["household_kw"]
        parts.append(pd.Series(made, setting.axis.utc))
    return pd.concat(parts)


def months_read(readings: Sequence[Readings]) -> set[str]:
    """Civil months ("2026-01") that any reading touches, in the zone of the home."""
    found: set[str] = set()
    for one in readings:
        starts = pd.DatetimeIndex(one.frame.index).tz_convert(one.zone)
        ends = pd.DatetimeIndex(one.frame["end"]).tz_convert(one.zone) - pd.Timedelta(seconds=1)
        for first, last in zip(starts, ends, strict=True):
            found.update(
                str(month) for month in pd.period_range(first.tz_localize(None), last.tz_localize(None), freq="M")
            )
    return found


def by_month(readings: Readings) -> Readings:
    """Sums [kWh], or means [°C], of calendar months of which every day was read.

    Days that were guessed from their month would draw a heat loss down: what varies in the guess and not in the meter
    counts as a home that doesn't mind the cold. Readings that are longer than days are left as they are.
    """
    if ((readings.frame["end"] - readings.frame.index) > LONGEST_DAY).any():
        return readings
    columns = {}
    for name in readings.quantities:
        daily = readings.daily(name)
        groups = daily.groupby(pd.DatetimeIndex(daily.index).to_period("M"))
        values = groups.mean() if name in TEMPERATURES else groups.sum()
        columns[name] = values.where(groups.count() == values.index.days_in_month)
    made = pd.DataFrame(columns).dropna(how="all")
    months = pd.PeriodIndex(made.index)
    edge = [months.to_timestamp(), (months + 1).to_timestamp()]
    start, end = (stamps.tz_localize(readings.zone).tz_convert("UTC") for stamps in edge)
    made.index = start
    return readings_from(made.assign(end=end), zone=readings.zone, name=readings.report.file)
