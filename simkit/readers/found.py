"""What a file of a series was found to hold, as data and in sentences."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from simkit.notation import MINUS, Localised


@dataclass(frozen=True)
class Gap:
    """A run of missing steps.

    Parameters
    ----------
    first, end
        Start of the first and end of the last missing step, UTC.
    steps
        Number of missing steps.
    columns
        The columns that lack a value there; none are named where all do.
    """

    first: pd.Timestamp
    end: pd.Timestamp
    steps: int
    columns: tuple[str, ...] = ()

    def __str__(self) -> str:
        end = f"{self.end:%H:%M}" if self.end.date() == self.first.date() else f"{self.end:%Y-%m-%d %H:%M}"
        return f"{self.first:%Y-%m-%d %H:%M} to {end} UTC" + (f" ({', '.join(self.columns)})" if self.columns else "")


def gaps_of(missing: pd.DataFrame, step: pd.Timedelta) -> tuple[Gap, ...]:
    """Runs of steps in which the same columns lack a value.

    Parameters
    ----------
    missing
        Whether a value is missing, by start of the step in UTC; a column named "" is not named in the gap.
    step
        Length of a step.
    """
    held = missing.to_numpy()
    code = held @ (1 << np.arange(held.shape[1]))
    starts = np.flatnonzero(np.diff(code, prepend=-1))
    ends = np.append(starts[1:], len(code))
    stamps = missing.index
    return tuple(
        Gap(stamps[a], stamps[b - 1] + step, int(b - a), tuple(missing.columns[held[a]].drop("", errors="ignore")))
        for a, b in zip(starts, ends, strict=True)
        if code[a]
    )


@dataclass(frozen=True)
class Found:
    """What was found in a weather file.

    Parameters
    ----------
    file
        Name of the file, without its folder.
    kind
        ``EPW``, ``TMY3``, ``PVGIS`` or ``CSV``.
    rows
        Number of rows of data.
    first, last
        Start of the first and of the last step, UTC. Files of typical months are given the year `NOMINAL_YEAR`.
    step_minutes
        Length of a step [min].
    clock
        Clock of the stamps in the file: ``UTC``, ``UTC+01:00`` or the name of a zone.
    label
        Part of the interval that a stamp names: ``start``, ``middle``, ``end`` or ``instant``.
    years
        The years that occur, ascending.
    typical
        Whether months of different years were put together.
    columns
        Columns with values, in our names.
    latitude_deg, longitude_deg, altitude_m
        Place as the file states it, None where it doesn't [deg], [m].
    gaps
        Runs of missing values, bridged or not.
    bridged_steps
        How many missing steps were bridged by a straight line, because that was asked for.
    duplicates
        Stamps that occur more than once.
    suspicious
        Sentences on what looks odd but may be right.
    sun_offset_h
        How much later the stamps are than the sun in the radiation, before any correction [h]; None without radiation.
    shifted_h
        By how much the stamps were moved to put that right [h].
    notes
        Sentences on what was assumed.
    """

    file: str
    kind: str
    rows: int
    first: pd.Timestamp
    last: pd.Timestamp
    step_minutes: int
    clock: str
    label: str
    years: tuple[int, ...]
    typical: bool
    columns: tuple[str, ...]
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    altitude_m: float | None = None
    gaps: tuple[Gap, ...] = ()
    bridged_steps: int = 0
    duplicates: int = 0
    suspicious: tuple[str, ...] = ()
    sun_offset_h: float | None = None
    shifted_h: float = 0.0
    notes: tuple[str, ...] = ()

    def sentences(self) -> tuple[str, ...]:
        """Say what was found, one sentence each, the plain facts first."""
        when = "typical months of " if self.typical else ""
        years = f"{self.years[0]}" if len(self.years) == 1 else f"{self.years[0]} to {self.years[-1]}"
        facts: tuple[str, ...] = (
            Localised(
                lambda n: (
                    f"{self.file} is read as {self.kind}: {n.number(self.rows)} rows of {self.step_minutes} "
                    f"minutes, {when}{years}, clock {self.clock}, stamps at the {self.label} of the interval."
                )
            ),
        )
        if self.bridged_steps:
            facts += (f"{self.bridged_steps} missing steps are bridged by a straight line, as asked for.",)
        early, sign = ("early", "+") if self.shifted_h > 0 else ("late", MINUS)
        if self.shifted_h:
            facts += (
                Localised(
                    lambda n: (
                        f"The stamps of {self.file} are {n.brief(abs(self.shifted_h))} h {early} against the sun "
                        f"in its own radiation, so all rows are moved by {sign}{n.brief(abs(self.shifted_h))} h."
                    )
                ),
            )
        return facts + self.notes + self.suspicious


NOMINAL_YEAR = 2001  # for months of different years: any year of 365 days would do
