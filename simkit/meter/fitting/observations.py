"""Readings in; what each meter showed over blocks of a window, days that were read whole, out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import pandas as pd

from simkit.arrays import Bools, Floats, Ints
from simkit.assemble.setting import step_of
from simkit.case.case import Case
from simkit.errors import DataError, Fault
from simkit.meter.fitting.lanes import COUNTED, NET
from simkit.meter.fitting.weather_then import WeatherThen, from_temperatures, usual_weather
from simkit.meter.fitting.window import Window
from simkit.meter.reading.reading import Readings

FITTED = (*COUNTED, "room_c")
LEAST_OBSERVATIONS = 6
STATION_WORDS = ("station", "weather", "wetter", "météo", "meteo", "airport", "tiempo", "weer")
LONGEST_STEP_MIN = 240.0  # own: longer intervals are spans, not parts of a day
# Own, after what classes of meters allow: what a meter may show too much or too little all along, a standard deviation,
# as a share of what it shows, or [K]. It also stands for what the physics leaves out.
SYSTEMATIC = {
    "import_kwh": 0.01, "export_kwh": 0.01, "heat_pump_kwh": 0.02, "heat_kwh": 0.04, "fuel_kwh": 0.02, "room_c": 0.3,
    "net_kwh": 0.02,
}  # fmt: skip
# What people and wind do to a day lasts: part of its scatter is its own, part stays for days and weeks. Each part keeps
# this much of itself from one day to the next; the last is a habit of three weeks.
PERSISTENCE = np.array([0.0, 0.5, 0.7, 0.85, 0.95])


@dataclass(frozen=True, eq=False)
class Channel:
    """What one meter showed.

    Attributes
    ----------
    name
        Its quantity.
    values
        Energy of each observation [kWh], or mean temperature [°C], (n,).
    first, last
        Numbers of the first block of each and of the one after its last, (n,).
    days
        Length of each [d], (n,).
    """

    name: str
    values: Floats
    first: Ints
    last: Ints
    days: Floats

    def of_blocks(self, blocks: Floats) -> Floats:
        """What these observations are of values by block, (n, blocks) to (n, observations)."""
        sums = np.concatenate([np.zeros((len(blocks), 1)), np.cumsum(blocks, axis=1)], axis=1)
        made = sums[:, self.last] - sums[:, self.first]
        return made / (self.last - self.first) if self.name == "room_c" else made

    def part(self, kept: Bools) -> Channel:
        """Some of the observations."""
        return Channel(self.name, self.values[kept], self.first[kept], self.last[kept], self.days[kept])

    @property
    def daily(self) -> bool:
        """Whether each observation is one day."""
        return bool(np.all(np.abs(self.days - 1.0) < 0.1))

    @cached_property
    def lasting(self) -> tuple[Floats, ...]:
        """Covariance of scatter that lasts one way alone, in units of a day's variance, by `PERSISTENCE`, (n, n) each.

        Made once: a fit tries dozens of shares of them.
        """
        if self.daily:
            return _alike_by_day(self.first)
        blocks = np.arange(self.first.min(), self.last.max())
        each = self.days / (self.last - self.first)
        if self.name == "room_c":
            each = each / self.days
        weights = ((blocks >= self.first[:, None]) & (blocks < self.last[:, None])) * each[:, None]
        return tuple(weights @ part @ weights.T for part in _alike_by_day(blocks))


def _alike_by_day(days: Ints) -> tuple[Floats, ...]:
    """Likeness of each two days under each of `PERSISTENCE`, (days, days) each."""
    apart = np.abs(np.subtract.outer(days, days))
    return tuple(np.power(lasting, np.arange(apart.max() + 1))[apart] for lasting in PERSISTENCE)


def systematic_error(channel: Channel, predicted: Floats) -> Floats:
    """What a meter may show too much or too little all along, of what is predicted for it, (n,)."""
    return SYSTEMATIC[channel.name] * (np.ones(len(predicted)) if channel.name == "room_c" else predicted)


def step_for(case: Case, readings: Sequence[Readings]) -> int:
    """Step of the weather, and so of the simulation, that follows these readings [min]."""
    usual = min((one.frame["end"] - one.frame.index).median() for one in readings)
    return step_of(case, 30 if usual <= pd.Timedelta(minutes=30) else 60)[0]


def weather_of(case: Case, readings: Sequence[Readings], *, least: float = 0.0) -> WeatherThen:
    """Weather of a span of readings at the step that follows them.

    Parameters
    ----------
    case
        The home.
    readings
        Readings; the first of them that logged `outdoor_c` tells the weather, else it is the case's own.
    least
        Share of that file's rows from which its temperatures are taken.
    """
    start, end, _ = span_of(readings)
    step = step_for(case, readings)
    own = usual_weather(case, start, end, step)
    file = next((one for one in readings if "outdoor_c" in one.quantities), None)
    if file is None or not file.frame["outdoor_c"].notna().any() or file.frame["outdoor_c"].notna().mean() < least:
        return own
    then = from_temperatures(case, file.frame["outdoor_c"], step, source=thermometer_of(file))
    return replace(then, years={**own.years, **then.years})


def thermometer_of(file: Readings) -> str:
    """Whose thermometer a file's `outdoor_c` comes from, as far as it says: a key of `SOURCES`."""
    heads = file.mapping.get("columns", {}).get("outdoor_c", {}).get("column", [])
    words = " ".join([file.report.file, *heads]).lower()
    if any(word in words for word in STATION_WORDS):
        return "station"
    if {"heat_pump_kwh", "heat_kwh"} & set(file.quantities):
        return "unit"
    return "file" if set(file.quantities) - {"outdoor_c", "room_c"} else "logger"


def span_of(readings: Sequence[Readings]) -> tuple[pd.Timestamp, pd.Timestamp, list[pd.Timestamp]]:
    """First start, last end and the odd instants at which observations begin or end."""
    start = min(one.frame.index[0] for one in readings)
    end = max(one.frame["end"].iloc[-1] for one in readings)
    edges: list[pd.Timestamp] = []
    for one in readings:
        if not 0 < one.step_minutes <= LONGEST_STEP_MIN:
            edges += [*one.frame.index, *one.frame["end"]]
    return start, end, edges


def channels_of(readings: Sequence[Readings], window: Window) -> tuple[Channel, ...]:
    """Observations of every meter on the blocks of a window.

    Raises
    ------
    DataError
        Where no meter has six whole days or spans.
    """
    found = []
    for one in readings:
        for name in one.quantities:
            if name not in FITTED:
                continue
            made = _channel(one, name, window)
            if len(made.values):
                found.append(made)
    if not found or max(len(channel.values) for channel in found) < LEAST_OBSERVATIONS:
        counts = ", ".join(f"{len(c.values)} of {c.name}" for c in found) or "none"
        given = f"whole days or spans: {counts}"
        remedy = "Read on, or mend the gaps: days that lack more than a fiftieth of their readings are left out"
        raise DataError(Fault("readings", given, f"are too few to fit: {LEAST_OBSERVATIONS} are needed", remedy))
    names = [channel.name for channel in found]
    for name in names:
        if names.count(name) > 1:
            remedy = "Give one file for each meter; two parts of the total have names of their own"
            raise DataError(Fault("readings", name, "comes from two files", remedy))
    return _netted(found)


def _netted(found: Sequence[Channel]) -> tuple[Channel, ...]:
    """Import and export of the same days as one channel, import less export.

    How the two part inside a half-hour depends on the very minutes in which people use electricity, which no
    simulation knows: fitted apart, intervals missed the truth of invented homes. Their difference doesn't depend on it.
    """
    by_name = {channel.name: channel for channel in found}
    if not {"import_kwh", "export_kwh"} <= set(by_name):
        return tuple(found)
    bought, sold = by_name["import_kwh"], by_name["export_kwh"]
    _, i, j = np.intersect1d(
        bought.first * (2**31) + bought.last, sold.first * (2**31) + sold.last, return_indices=True
    )
    net = Channel(NET, bought.values[i] - sold.values[j], bought.first[i], bought.last[i], bought.days[i])
    return (net, *(channel for channel in found if channel.name not in ("import_kwh", "export_kwh")))


def _channel(one: Readings, name: str, window: Window) -> Channel:
    """One meter on the blocks: whole days of short intervals, or the spans as they were read."""
    if 0 < one.step_minutes <= LONGEST_STEP_MIN:
        read = one.daily(name).dropna()
        dates = pd.DatetimeIndex(read.index)
        both = [stamps.tz_localize(one.zone).tz_convert("UTC") for stamps in (dates, dates + pd.Timedelta(days=1))]
    else:
        frame = one.frame[one.frame[name].notna()]
        read, both = frame[name], [pd.DatetimeIndex(frame.index), pd.DatetimeIndex(frame["end"])]
    values, (starts, ends) = read.to_numpy(), both
    step = pd.Timedelta(hours=window.hours)
    places = [np.asarray(np.rint((stamps - window.starts[0]) / step), dtype=np.int64) for stamps in (starts, ends)]
    first, last = (np.searchsorted(window.edges, place) for place in places)
    good = (places[0] >= 0) & (places[1] <= window.edges[-1]) & (last > first)
    days = np.asarray((ends - starts) / pd.Timedelta(days=1), dtype=np.float64)
    return Channel(name, np.asarray(values, dtype=np.float64)[good], first[good], last[good], days[good])
