"""The flagship and one invented twin of it with its fit, made once for all tests of the meter."""

from __future__ import annotations

from functools import cache

from meter.invented import Invented, invent
from simkit.case.build import Case
from simkit.case.load import read_case
from simkit.case.sample_homes import sample_file
from simkit.meter.fitting.fitted import Fit
from simkit.meter.fitting.fitting import fit
from simkit.meter.reading.reading import Readings, readings_from

FORTY_DAYS = ("2025-01-10", "2025-02-19")
END = "2025-04-20"


@cache
def flagship() -> Case:
    return read_case(sample_file("estuary_bungalow"))


@cache
def twin(number: int = 3, meters: tuple[str, ...] = ("import_kwh",)) -> Invented:
    return invent(flagship(), number, FORTY_DAYS[0], END, meters=meters)


def days_of(readings: Readings, first: int, last: int | None = None) -> Readings:
    """Half-hours of whole days out of readings that have 48 a day."""
    frame = readings.frame.iloc[48 * first : None if last is None else 48 * last]
    return readings_from(frame, zone=readings.zone, name="part")


@cache
def forty(number: int = 3, meters: tuple[str, ...] = ("import_kwh",)) -> Readings:
    """The first forty days of a twin's readings."""
    return days_of(twin(number, meters).readings, 0, 40)


@cache
def fitted(number: int = 3, meters: tuple[str, ...] = ("import_kwh",)) -> Fit:
    """A fit of those forty days."""
    return fit(flagship(), forty(number, meters), weather=twin(number, meters).weather, draws=4000)
