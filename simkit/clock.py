"""Zone, year and step in; the one time axis of a run and every rule about clocks out.

Conventions: the year is the local civil year of the home (365 or 366 dates, days of 23 and 25 hours where the clock
changes). The index is UTC and steps are stamped at their start. Local midnights fall on steps, so that whole civil days
can be added up. Day lengths come from local midnights of the IANA data, never from its daylight-saving flag: Ireland's
winter is the "daylight" side there, with a negative saving.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal
from zoneinfo import ZoneInfo, available_timezones

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from simkit.arrays import Bools, Dates, Floats, Ints, read_only
from simkit.errors import CaseError, Fault, perhaps
from simkit.times_of_day import DAY_MINUTES, STEPS_MINUTES, is_zone, pieces_of_day

Clock = Literal["local", "utc"]


def _month_of(days: Ints) -> Ints:
    """Month, 1 to 12, of civil days given as days since 1970."""
    return days.astype("datetime64[D]").astype("datetime64[M]").astype(np.int64) % 12 + 1


@dataclass(frozen=True)
class TimeAxis:
    """One local civil year in equal steps.

    Two axes are equal when zone, year and step are; the arrays are made on first use and can't be written to.

    Parameters
    ----------
    zone
        IANA name, for example ``Europe/Dublin``.
    year
        Civil year, 1972 to 2099 (whole-minute offsets from UTC only).
    step_minutes
        60, 30 or 15 [min].
    """

    zone: str
    year: int
    step_minutes: int

    def __post_init__(self) -> None:
        if self.step_minutes not in STEPS_MINUTES:
            remedy = "Choose one of the three: the shorter, the finer and the slower"
            raise CaseError(Fault("", f"step_minutes = {self.step_minutes}", "is not 60, 30 or 15", remedy))
        if isinstance(self.year, bool) or not isinstance(self.year, int) or not 1972 <= self.year <= 2099:
            remedy = "Write the four digits of the year, for example 2025"
            raise CaseError(Fault("[site]", f"year = {self.year}", "is not a year from 1972 to 2099", remedy))
        if not is_zone(self.zone):
            remedy = perhaps(str(self.zone), available_timezones(), 'Write a name such as "Europe/Dublin"')
            allowed = "is not a time zone of the IANA database"
            raise CaseError(Fault("[site]", f'zone = "{self.zone}"', allowed, remedy))
        self._require_midnights_on_steps()

    def _require_midnights_on_steps(self) -> None:
        begin, end = self._bounds
        walls = self._wall
        straddles = (walls[1:] // DAY_MINUTES != walls[:-1] // DAY_MINUTES) & (walls[1:] % DAY_MINUTES != 0)
        even = np.diff(walls) == self.step_minutes
        # A day may lawfully begin later than 00:00 where the clock jumps at midnight; then the jump is on a step.
        late = [k for k in np.flatnonzero(straddles) if even[k] or len(self._breaks(int(k))) > 0]
        if late or (end - begin) % self.step_minutes:
            day = np.datetime64(int(walls[late[0] + 1]) // DAY_MINUTES, "D") if late else f"{self.year + 1}-01-01"
            fit = [s for s in STEPS_MINUTES if s < self.step_minutes]
            remedy = f"Choose step_minutes = {fit[0]}" if fit else "Choose another zone or year"
            allowed = (
                f"can't be used in zone {self.zone} in {self.year}: its clock changes by less than a step "
                f"and the midnight of {day} would fall inside a step"
            )
            raise CaseError(Fault("", f"step_minutes = {self.step_minutes}", allowed, remedy))

    @cached_property
    def _bounds(self) -> tuple[int, int]:
        """UTC minutes since 1970 of the first instant of this year and of the next."""
        zone = ZoneInfo(self.zone)
        stamps = [
            pd.Timestamp(year, 1, 1).tz_localize(zone, ambiguous=True, nonexistent="shift_forward")
            for year in (self.year, self.year + 1)
        ]
        return int(stamps[0].timestamp()) // 60, int(stamps[1].timestamp()) // 60

    def _wall_of(self, utc_minutes: Ints) -> Ints:
        index = pd.DatetimeIndex(utc_minutes.astype("datetime64[m]").astype("datetime64[s]"), tz="UTC")
        naive = index.tz_convert(ZoneInfo(self.zone)).tz_localize(None)
        return naive.to_numpy().astype("datetime64[m]").astype(np.int64)

    @cached_property
    def _wall(self) -> Ints:
        """Local wall time of each step's start and of the end of the year [min since 1970], (steps + 1,)."""
        return self._wall_of(np.arange(self._bounds[0], self._bounds[1] + self.step_minutes, self.step_minutes))

    def _breaks(self, step: int) -> Ints:
        """Minutes inside a step, not at its edges, at which the wall clock jumps (where a change is off the steps)."""
        begin = self._bounds[0] + step * self.step_minutes
        walls = self._wall_of(np.arange(begin, begin + self.step_minutes))
        return np.flatnonzero(np.diff(walls) != 1) + 1

    @cached_property
    def _pieces(self) -> tuple[Ints, Ints, Ints, Ints]:
        """Parts of steps in which both clocks run evenly: step number, UTC start, wall start, length [min].

        One part a step, save where the clock changes inside a step (the Chatham Islands change at 02:45).
        """
        number, start = [np.arange(self.steps)], [np.zeros(self.steps, np.int64)]
        for step in np.flatnonzero(np.diff(self._wall) != self.step_minutes):
            inside = self._breaks(int(step))
            number.append(np.full(len(inside), step))
            start.append(inside)
        numbers, starts = np.concatenate(number), np.concatenate(start)
        order = np.lexsort((starts, numbers))
        numbers, starts = numbers[order], starts[order]
        begins = self._bounds[0] + numbers * self.step_minutes + starts
        lengths = np.diff(np.append(begins, self._bounds[1]))
        return numbers, begins, self._wall_of(begins), lengths

    @cached_property
    def steps(self) -> int:
        """Number of steps in the year."""
        return (self._bounds[1] - self._bounds[0]) // self.step_minutes

    @property
    def hours(self) -> float:
        """Length of a step [h]."""
        return self.step_minutes / 60.0

    @cached_property
    def utc(self) -> pd.DatetimeIndex:
        """Step starts in UTC, (steps,)."""
        minutes = self._bounds[0] + np.arange(self.steps) * self.step_minutes
        stamps = minutes.astype("datetime64[m]").astype("datetime64[s]")
        return pd.DatetimeIndex(stamps, tz="UTC", name="utc").as_unit("us")

    @cached_property
    def local(self) -> pd.DatetimeIndex:
        """Step starts in the zone of the home, (steps,)."""
        return self.utc.tz_convert(ZoneInfo(self.zone)).rename("local")

    @cached_property
    def minute_of_day(self) -> Ints:
        """Local wall time at the start of each step [min since midnight], (steps,)."""
        return read_only(self._wall[:-1] % DAY_MINUTES)

    @cached_property
    def utc_minute_of_day(self) -> Ints:
        """UTC at the start of each step [min since midnight], (steps,)."""
        return read_only((self._bounds[0] + np.arange(self.steps) * self.step_minutes) % DAY_MINUTES)

    @cached_property
    def _calendar(self) -> tuple[Ints, Ints]:
        days, number = np.unique(self._wall[:-1] // DAY_MINUTES, return_inverse=True)
        return read_only(days), read_only(number.astype(np.int64))

    @property
    def day(self) -> Ints:
        """Number of the local civil date of each step, from 0, (steps,); an index into `dates`."""
        return self._calendar[1]

    @cached_property
    def dates(self) -> Dates:
        """The local civil dates of the year, (days,)."""
        return read_only(self._calendar[0].astype("datetime64[D]"))

    @cached_property
    def month(self) -> Ints:
        """Month of the local civil date of each step, 1 to 12, (steps,)."""
        return read_only(_month_of(self._calendar[0])[self.day])

    @cached_property
    def weekday(self) -> Ints:
        """Weekday of the local civil date of each step, 0 = Monday, (steps,)."""
        return read_only(((self._calendar[0] + 3) % 7)[self.day])

    @cached_property
    def day_of_year(self) -> Ints:
        """Day of the year of the local civil date of each step, from 1, (steps,)."""
        first = np.datetime64(f"{self.year}-01-01", "D")
        return read_only(((self.dates - first).astype(np.int64) + 1)[self.day])

    def window(
        self,
        start: str,
        end: str,
        *,
        weekdays: Iterable[int] | None = None,
        months: Iterable[int] | None = None,
        dates: Iterable[dt.date | np.datetime64] | None = None,
        clock: Clock = "local",
        meter_offset_minutes: int = 0,
    ) -> Floats:
        """Share of each step that lies inside a daily window, (steps,), 0 to 1 [-].

        Parameters
        ----------
        start, end
            Times of day "HH:MM"; the window is [start, end) and may run over midnight; "00:00" to "24:00" is all day.
        weekdays, months, dates
            The days that count: 0 = Monday, 1 = January, civil dates; None lets every day count. They are asked of the
            civil day on which each minute lies, not of the day on which the window began.
        clock
            ``local`` wall time, or ``utc`` for meters that never shift.
        meter_offset_minutes
            How much later than stated the meter switches [min]; negative where it switches early. The meter's day,
            its weekday and month included, is late by as much.

        Returns
        -------
        ndarray
            Exact shares; a clock change inside a step is taken into account.
        """
        step, utc, wall, length = self._pieces
        begin = (wall if clock == "local" else utc) - int(meter_offset_minutes)
        first = int(begin.min()) // DAY_MINUTES
        counts = self._days_that_count(first, int(begin.max()) // DAY_MINUTES + 2, weekdays, months, dates)
        today, minute = begin // DAY_MINUTES - first, begin % DAY_MINUTES
        inside: NDArray[Any] = np.zeros(len(step))
        for low, high in pieces_of_day(start, end):
            for later in (0, 1):  # a step of a shifted clock may reach into the next day
                shift = later * DAY_MINUTES
                overlap = np.minimum(minute + length, high + shift) - np.maximum(minute, low + shift)
                inside += np.maximum(overlap, 0) * counts[today + later]
        if len(step) > self.steps:
            inside = np.bincount(step, weights=inside, minlength=self.steps)
        return inside / self.step_minutes

    @staticmethod
    def _days_that_count(first: int, last: int, weekdays: Any, months: Any, dates: Any) -> Bools:
        days = np.arange(first, last)
        counts = np.ones(len(days), dtype=bool)
        if weekdays is not None:
            counts &= np.isin((days + 3) % 7, list(weekdays))  # 1 January 1970 was a Thursday
        if months is not None:
            counts &= np.isin(_month_of(days), list(months))
        if dates is not None:
            wanted = np.asarray(list(dates), dtype="datetime64[D]").astype(np.int64)
            counts &= np.isin(days, wanted)
        return counts
