"""A home, a span of time and its weather in; the kernel's series over that span and its run-in out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import pandas as pd

from simkit.arrays import Floats, Ints
from simkit.assemble.home import home_inputs
from simkit.assemble.series import Setting
from simkit.assemble.setting import setting_for
from simkit.case.case import Case
from simkit.errors import DataError, Fault
from simkit.meter.fitting.weather_then import WeatherThen, as_read, in_year
from simkit.physics.records import Now

RUN_IN_DAYS = 14  # own: five time constants of a heavy home's fabric
UNREAL_C = 1000.0  # a temperature needed that no room reaches: what is missing to it tells the mean room temperature


@dataclass(frozen=True, eq=False)
class Window:
    """A span of a home's time.

    Attributes
    ----------
    case, setting
        The home in the first civil year of the span, and what surrounds it.
    series
        Series of the kernel over run-in and span, (run_in + steps,).
    run_in
        Steps before the span.
    edges
        Steps at which blocks begin and end, counted from the start of the span, (blocks + 1,); sums are kept by block.
    starts
        Starts of the steps of the span, UTC, (steps,).
    notes
        How the run-in was done.
    """

    case: Case
    setting: Setting
    series: dict[str, Floats]
    run_in: int
    edges: Ints
    starts: pd.DatetimeIndex
    notes: tuple[str, ...]

    @property
    def hours(self) -> float:
        """Length of a step [h]."""
        return self.setting.axis.hours

    @property
    def blocks(self) -> int:
        """Number of blocks."""
        return len(self.edges) - 1

    @property
    def block_starts(self) -> pd.DatetimeIndex:
        """Starts of the blocks, UTC."""
        return self.starts[self.edges[:-1]]

    def block_mean(self, name: str) -> Floats:
        """Mean of a series over each block, (blocks,)."""
        values = self.series[name][self.run_in :]
        return np.add.reduceat(values, self.edges[:-1]) / np.diff(self.edges)


def window_of(
    case: Case, start: pd.Timestamp, end: pd.Timestamp, *, weather: WeatherThen,
    more_edges: Iterable[pd.Timestamp] = (), run_in_days: int = RUN_IN_DAYS,
) -> Window:  # fmt: skip
    """Lay a home over a span of time.

    Parameters
    ----------
    case
        The home.
    start, end
        The span, UTC; it may run over the end of a year.
    weather
        Weather of its years; its step is that of the simulation.
    more_edges
        Instants at which blocks must end besides local midnights (the odd dates of manual readings).
    run_in_days
        Days the home runs before the span: on the weather before it where that is known, else the first days repeated.
    """
    step_minutes = weather.step_minutes
    step = pd.Timedelta(minutes=step_minutes)
    zone = case.site.zone
    first_day = start.tz_convert(zone).normalize()
    last = end.tz_convert(zone)
    last_day = last.normalize() if last == last.normalize() else last.normalize() + pd.Timedelta(days=1)
    span = pd.date_range(first_day.tz_convert("UTC"), last_day.tz_convert("UTC"), freq=step, inclusive="left")
    before = pd.date_range(end=span[0] - step, periods=round(run_in_days * 24 * 60 / step_minutes), freq=step)
    known = weather.known_from is None or weather.known_from <= before[0]
    known = known and int(before[0].tz_convert(zone).year) in weather.years
    wanted = before.append(span) if known else span
    parts, settings = [], {}
    for year in sorted(set(wanted.tz_convert(zone).year.tolist())):
        if year not in weather.years:
            remedy = "Give weather for every year that the readings touch"
            raise DataError(Fault("weather", f"the year {year}", "has readings and no weather", remedy))
        home = in_year(as_read(case), year)
        usual = setting_for(home, step_minutes)
        settings[year] = (home, Setting(usual.axis, weather.years[year], usual.signal, usual.folder))
        axis = usual.axis
        inside = wanted[(wanted >= axis.utc[0]) & (wanted <= axis.utc[-1])]
        place = axis.utc.get_indexer(inside)
        made = home_inputs(home, settings[year][1], 150.0).series  # no series depends on the loss
        parts.append({name: made[name][place] for name in Now._fields})
    series = {name: np.concatenate([part[name] for part in parts]) for name in Now._fields}
    note = f"The home runs {run_in_days} days on the weather before the readings first."
    if not known:
        repeat = min(len(before), len(span))
        series = {name: np.concatenate([values[:repeat], values]) for name, values in series.items()}
        days = repeat * step_minutes / 1440
        note = f"The weather before the readings is not known: their first {days:.0f} days are run twice."
    run_in = len(series["outdoor_c"]) - len(span)
    series["needed_c"] = np.full(run_in + len(span), UNREAL_C)
    home, setting = settings[min(settings)]
    return Window(home, setting, series, run_in, _edges(span, zone, more_edges, step), span, (note,))


def _edges(span: pd.DatetimeIndex, zone: str, more: Iterable[pd.Timestamp], step: pd.Timedelta) -> Ints:
    days = span.tz_convert(zone).tz_localize(None).normalize()
    starts = np.flatnonzero(np.concatenate([[True], np.asarray(days[1:] != days[:-1])]))
    others = [round((stamp - span[0]) / step) for stamp in more]
    inside = [place for place in others if 0 < place < len(span)]
    return np.unique(np.concatenate([starts, inside, [len(span)]]).astype(np.int64))
