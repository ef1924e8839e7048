"""What the user says of days on which the household is another in, validated `Away` and `Guests` out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from simkit.errors import Fault
from simkit.schema.section import Section, number, text

LEAP_YEAR = 2024  # every day of a year is one of its


def day_code(written: str) -> int:
    """A day of any year, "02-10", as 210; 0 where it is none."""
    try:
        day = dt.datetime.strptime(f"{LEAP_YEAR}-{written}", "%Y-%m-%d")
    except ValueError:
        return 0
    return day.month * 100 + day.day


class Days(Section):
    """Whole days of every year, the last one included; they may run over New Year."""

    first: str = text("First of the days, month and day", example="02-10")
    last: str = text("Last of the days, month and day", example="02-16")

    def clashes(self) -> Iterator[Fault]:
        """Yield what is no day of a year."""
        for key, written in (("first", self.first), ("last", self.last)):
            if not day_code(written):
                yield Fault("", f'{key} = "{written}"', "is no day of a year", 'Write month and day, such as "02-10"')


class Away(Days):
    """Days on which nobody is at home."""

    c: float = number(5, 25, "°C", "Room temperature that is held then", example=14)
    warm_again_h: float = number(
        0, 72, "h", "Hours before the end of these days from which it is heated as usual again", example=24
    )
    water_share: float = number(0, 1, "share", "Part of the hot water that is drawn then", example=0)
    use_share: float = number(0, 1, "share", "Part of the household's electricity that is used then", example=0.3)


class Guests(Days):
    """Days on which more people are at home."""

    people: float = number(0.5, 50, "", "Guests, beyond those who live there", example=2)
