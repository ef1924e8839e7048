"""Readings in; the same by whole calendar months, out: all that weather known by months can be held against."""

from __future__ import annotations

from collections.abc import Sequence

import pandas as pd

from simkit.meter.reading.reading import Readings, readings_from
from simkit.meter.reading.words import TEMPERATURES

LONGEST_DAY = pd.Timedelta(hours=25)  # of a clock change


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
