"""A case in; the step that its own edges ask for, and its axis, weather and prices out."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from simkit.assemble.series import Setting
from simkit.billing.price_signal import price_edges, price_signal
from simkit.billing.signal import PriceSignal
from simkit.case.case import Case
from simkit.case.heating.controls import Period
from simkit.case.heating.hot_water import HotWater
from simkit.case.home.site import Site
from simkit.case.home.weather import WeatherSource
from simkit.clock import TimeAxis
from simkit.errors import CaseError
from simkit.kept.memory import memo
from simkit.tariff.tariff import Tariff
from simkit.times_of_day import DAY_MINUTES, STEPS_MINUTES, minute_of, shortest_step, time_of
from simkit.weather.hours import weather_on
from simkit.weather.record import Weather


def step_of(case: Case, longest: int | None = None, *, tariff: Tariff | None = None) -> tuple[int, tuple[str, ...]]:
    """Longest step on which every edge of a case falls, no longer than it asks for: whatever stands beside it.

    Parameters
    ----------
    case
        The home; its schedules, its windows and its tariff have edges.
    longest
        Longest step wanted [min]; None takes that of the case.
    tariff
        Another tariff than that of the case.

    Returns
    -------
    step_minutes
        60, 30 or 15 [min].
    notes
        A sentence where the step was shortened, and one where an edge still falls inside a step.
    """
    asked = longest or case.step_minutes
    longest, notes = asked, []
    while longest > min(STEPS_MINUTES) and not _fits(case.site, longest):
        longest //= 2
    if longest < asked:
        notes.append(
            f"Steps were shortened from {asked} to {longest} minutes: the clock of {case.site.zone} changes by less."
        )
    step, left = shortest_step(_edges(case, tariff or case.tariff), longest=longest)
    if step < longest:
        notes.append(
            f"Steps were shortened from {longest} to {step} minutes so that every window and price edge falls on one."
        )
    if left:
        notes.append(
            f"{', '.join(left)} falls inside a {step}-minute step: prices there are split by the share of the step, "
            "and the part of hot water and car that runs inside its own window by the window's minutes."
        )
    return step, tuple(notes)


def _fits(site: Site, step_minutes: int) -> bool:
    """Whether every midnight of the site's zone and year lies on a step [min]."""
    try:
        _axis(site.zone, site.year, step_minutes)
    except CaseError:
        return False
    return True


def setting_for(
    case: Case, step_minutes: int | None = None, *, priced: bool = True, tariff: Tariff | None = None
) -> Setting:
    """The axis, weather and prices of a case at this step [min], or at its own; weather and prices are memoised.

    Prices are those of its own tariff, or of another `tariff`.

    Where no price plays a part, such as for a boiler's fuel, it is not `priced`: then no tariff can refuse the step.
    """
    axis = _axis(case.site.zone, case.site.year, step_minutes or step_of(case, tariff=tariff)[0])
    weather = _weather(case.site, case.weather, axis, case.folder, _stamp(case))
    free = PriceSignal(np.zeros(axis.steps), np.zeros(axis.steps))
    signal = price_signal(tariff or case.tariff, axis, country=case.site.country) if priced else free
    return Setting(axis, weather, signal, case.folder)


def _edges(case: Case, tariff: Tariff) -> Iterator[str]:
    """Every time of day at which something of the case changes, in local wall time."""
    held = () if case.boiler is None or case.boiler.as_operated is None else case.boiler.as_operated.periods
    yield from edges_of((*case.comfort.periods, *case.controls.periods, *held), case.hot_water)
    for span in case.hot_water.windows if case.hot_water.heated_by == "heating" else ():
        yield from (span.start, span.end)
    if case.car is not None:
        yield from (case.car.start, case.car.end)
    # the shortest steps, which every zone has room for, whatever the case asks for
    yield from price_edges(tariff, _axis(case.site.zone, case.site.year, min(STEPS_MINUTES)))


def edges_of(periods: tuple[Period, ...], water: HotWater) -> Iterator[str]:
    """Every edge of periods and of the hygiene cycle, in local wall time: what a home on its boiler has."""
    for period in periods:
        yield from (period.start, period.end)
    if water.hygiene.every != "never" and water.heated_by == "heating":
        start = minute_of(water.hygiene.start)
        yield from (water.hygiene.start, time_of(min(start + round(water.hygiene.hours * 60), DAY_MINUTES)))


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


@memo
def _axis(zone: str, year: int, step_minutes: int) -> TimeAxis:
    """One axis for all runs on it: what it derives, its calendar and its midnights, is worked out once."""
    return TimeAxis(zone, year, step_minutes)


@memo
def _weather(
    site: Site, source: WeatherSource, axis: TimeAxis, folder: Path, _stamp: tuple[tuple[str, int, int], ...]
) -> Weather:
    return weather_on(site, source, axis, folder=folder)
