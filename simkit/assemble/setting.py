"""One or several cases in; the step they share, and each one's axis, weather and prices out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from pathlib import Path

from simkit.assemble.home import Setting
from simkit.billing.price_signal import price_edges, price_signal
from simkit.billing.signal import PriceSignal
from simkit.case.build import Case
from simkit.case.home.site import Site
from simkit.case.home.weather import WeatherSource
from simkit.clock import TimeAxis
from simkit.times_of_day import DAY_MINUTES, STEPS_MINUTES, minute_of, shortest_step, time_of
from simkit.weather.hours import weather_on
from simkit.weather.record import Weather


def shared_step(cases: Iterable[Case]) -> tuple[int, tuple[str, ...]]:
    """Longest step on which every edge of these cases falls, no longer than any of them asks for.

    Returns
    -------
    step_minutes
        60, 30 or 15 [min].
    notes
        A sentence where the step was shortened, and one where an edge still falls inside a step.
    """
    several = list(cases)
    asked = min(case.step_minutes for case in several)
    edges = [edge for case in several for edge in _edges(case)]
    step, left = shortest_step(edges, longest=asked)
    notes = []
    if step < asked:
        notes.append(
            f"Steps were shortened from {asked} to {step} minutes so that every window and price edge falls on one."
        )
    if left:
        notes.append(
            f"{', '.join(left)} falls inside a {step}-minute step: prices there are split by the share of the step, "
            "and the part of hot water and car that runs inside its own window by the window's minutes."
        )
    return step, tuple(notes)


def setting_for(case: Case, step_minutes: int) -> Setting:
    """The axis, weather and prices of a case at this step; weather and prices are memoised."""
    axis = _axis(case.site.zone, case.site.year, step_minutes)
    weather = _weather(case.site, case.weather, axis, case.folder, _stamp(case))
    return Setting(axis, weather, _signal(case, axis), case.folder)


def _signal(case: Case, axis: TimeAxis) -> PriceSignal:
    return price_signal(case.tariff, axis, country=case.site.country)


def _edges(case: Case) -> Iterator[str]:
    """Every time of day at which something of the case changes, in local wall time."""
    schedules = [case.comfort, case.controls]
    if case.boiler and case.boiler.as_operated:
        schedules.append(case.boiler.as_operated)
    for schedule in schedules:
        for period in schedule.periods:
            yield from (period.start, period.end)
    for span in case.hot_water.windows:
        yield from (span.start, span.end)
    if case.car is not None:
        yield from (case.car.start, case.car.end)
    cycle = case.hot_water.hygiene
    if cycle.every != "never":
        start = minute_of(cycle.start)
        yield from (cycle.start, time_of(min(start + round(cycle.hours * 60), DAY_MINUTES)))
    # the shortest steps, which every zone has room for, whatever the case asks for
    yield from price_edges(case.tariff, _axis(case.site.zone, case.site.year, min(STEPS_MINUTES)))


def _stamp(case: Case) -> tuple[tuple[str, int, int], ...]:
    """What tells whether a weather file has changed: its path, size and time."""
    if case.weather.file is None:
        return ()
    path = (case.folder / case.weather.file).resolve()
    try:
        found = path.stat()
    except OSError:
        return ((str(path), 0, 0),)
    return ((str(path), found.st_size, found.st_mtime_ns),)


@lru_cache(maxsize=32)
def _axis(zone: str, year: int, step_minutes: int) -> TimeAxis:
    """One axis for all runs on it: what it derives, its calendar and its midnights, is worked out once."""
    return TimeAxis(zone, year, step_minutes)


@lru_cache(maxsize=32)
def _weather(
    site: Site, source: WeatherSource, axis: TimeAxis, folder: Path, _stamp: tuple[tuple[str, int, int], ...]
) -> Weather:
    return weather_on(site, source, axis, folder=folder)
