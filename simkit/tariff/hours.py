"""Days, months and times of day as a tariff file says them in, one validated span of the year out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from typing import Annotated

from pydantic import Field

from simkit.errors import CaseError, Fault
from simkit.schema.section import Days, EndOfDay, Section, TimeOfDay, Weekday, said, worded
from simkit.times_of_day import ALL_DAYS, WEEKDAYS, WEEKEND, WORKDAYS, pieces_of_day

NAMED_DAYS = {"all": ALL_DAYS, "workdays": WORKDAYS, "weekend": WEEKEND}


SomeDays = Annotated[
    Days | Annotated[tuple[Weekday, ...], Field(min_length=1)],
    worded(
        'is not "all", "workdays", "weekend" or a list of weekdays',
        'Write one of the three words, or a list such as ["monday", "friday"]',
        NAMED_DAYS,
    ),
]
SomeMonths = Annotated[
    Annotated[tuple[Annotated[int, Field(ge=1, le=12)], ...], Field(min_length=1)] | None,
    worded(
        "is not a list of months from 1 to 12",
        "Write the numbers of the months, such as [11, 12, 1, 2, 3], or leave the key out for every month",
    ),
]


class Hours(Section):
    """Minutes of the year by time of day, weekday, month and date; every day where nothing is said."""

    start: TimeOfDay = said('Time of day at which it begins, "HH:MM"', example="23:00", alias="from")
    end: EndOfDay = said('Time of day at which it ends, "HH:MM" or "24:00"', example="08:00", alias="to")
    days: SomeDays = said("Days on which it holds, or a list of weekdays", example="all")
    months: SomeMonths = said(
        "Months in which it holds, every month if left out", example=[11, 12, 1, 2, 3], absent=True
    )
    first_date: dt.date | None = said("First day on which it holds", example=dt.date(2025, 1, 1), absent=True)
    last_date: dt.date | None = said("Last day on which it holds", example=dt.date(2025, 9, 30), absent=True)

    @property
    def weekdays(self) -> frozenset[int]:
        """Weekdays on which it holds, 0 = Monday."""
        if isinstance(self.days, str):
            return NAMED_DAYS[self.days]
        return frozenset(WEEKDAYS.index(day) for day in self.days)

    def clashes(self) -> Iterator[Fault]:
        """Yield a window without length and dates in the wrong order."""
        try:
            pieces_of_day(self.start, self.end)
        except CaseError as error:
            yield from error.faults
        if self.first_date and self.last_date and self.last_date < self.first_date:
            allowed = f"is before first_date = {self.first_date}"
            yield Fault("", f"last_date = {self.last_date}", allowed, "Swap the two, or mend the year")
