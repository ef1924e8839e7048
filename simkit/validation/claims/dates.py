"""Clock changes, holidays and chance as laws and others' tables have them, and what the kit makes of them."""

from __future__ import annotations

import datetime as dt
from functools import cache

import numpy as np

from simkit.arrays import Floats
from simkit.clock import TimeAxis
from simkit.profiles.household import public_holidays
from simkit.tariff.tariff import Band
from simkit.validation.claim import LIBRARIES, OPEN_DATA, STANDARDS, Claim, Naive
from simkit.weather.degree_days import MIDDLE_OF_EXTREMES, on_days
from simkit.weather.draws import persistent, split_mix

EUROPE = ("Europe/Lisbon", "Europe/Berlin", "Europe/Helsinki")
AMERICA = (  # second Sunday of March and first of November, 2007 to 2015, day of the month
    (11, 4), (9, 2), (8, 1), (14, 7), (13, 6), (11, 4), (10, 3), (9, 2), (8, 1),
)  # fmt: skip
FIRST_YEAR = 2007
WORDS = (
    6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821,
)  # fmt: skip
EASTERS = range(1991, 2051)
MEMORY = 0.85
NIGHTS = ("2026-01-01", "2026-03-29", "2026-10-25")
FAHRENHEIT = ((60.0, 40.0, 15.0), (55.0, 35.0, 20.0))  # highest, lowest, degree-days to 65 °F


@cache
def _axis(zone: str, year: int, minutes: int = 30) -> TimeAxis:
    return TimeAxis(zone, year, minutes)


def _jumps(zone: str, year: int) -> list[tuple[np.datetime64, float, float]]:
    """Civil date, UTC hour and wall hour before each change of the clock in a year."""
    axis = _axis(zone, year)
    wall, utc = axis.minute_of_day.astype(float), axis.utc_minute_of_day.astype(float)
    apart = np.mod(wall - utc, 1440.0)
    found = []
    for k in np.flatnonzero(np.diff(apart)) + 1:
        before = float(np.mod(utc[k] + apart[k - 1], 1440.0)) / 60.0
        found.append((axis.dates[axis.day[k]], utc[k] / 60.0, before))
    return found


def _american() -> list[list[float]]:
    changes = [_jumps("America/New_York", year) for year in range(FIRST_YEAR, FIRST_YEAR + len(AMERICA))]
    return [[float((date - date.astype("datetime64[M]")).astype(int)) + 1.0 for date, *_ in one] for one in changes]


def _by_rule_before_2007() -> list[list[int]]:
    """First Sunday of April, as days of March, and last Sunday of October, as days of November."""
    found = []
    for year in range(FIRST_YEAR, FIRST_YEAR + len(AMERICA)):
        april, october = dt.date(year, 4, 1), dt.date(year, 10, 31)
        found.append([32 + (6 - april.weekday()) % 7, -((october.weekday() + 1) % 7)])
    return found


def _easter(by_library: bool) -> list[int]:
    """Easter Sunday of sixty years, as days after the first of March."""
    from dateutil.easter import easter

    def monday(year: int) -> dt.date:
        """The Monday three days after a Friday, both public holidays of Germany."""
        days = public_holidays("DE", year)
        return next(day for day in sorted(days) if day.weekday() == 0 and day - dt.timedelta(days=3) in days)

    sundays = (easter(year) if by_library else monday(year) - dt.timedelta(days=1) for year in EASTERS)
    return [(sunday - dt.date(sunday.year, 3, 1)).days for sunday in sundays]


def _halves(words: list[int]) -> list[float]:
    """Each word as its upper and lower 32 bits, which floats hold exactly."""
    return [float(part) for word in words for part in divmod(word, 1 << 32)]


def _filtered() -> Floats:
    """A circular first-order series by a general filter: the year is run through five times, the last is kept."""
    from scipy.signal import lfilter

    shocks = _shocks()
    long = lfilter([1.0], [1.0, -MEMORY], np.tile(shocks, 5))[-len(shocks) :]
    return np.asarray((long - long.mean()) / long.std())


def _shocks() -> Floats:
    return np.random.default_rng(11).normal(size=2000)


def _celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8


def _american_day(high: float, low: float) -> float:
    """Degree-days to 65 °F of a day of two steps [°F·d]."""
    steps = [_celsius(high), _celsius(low)]
    return 1.8 * float(on_days([0, 0], steps, _celsius(65.0), method=MIDDLE_OF_EXTREMES)[0])


def _night_minutes(zone: str) -> list[float]:
    """Minutes of a night band from 00:00 to 07:00 on the days of 2026 on which clocks change, and on 1 January."""
    axis = _axis(zone, 2026)
    night = Band.model_validate({"name": "n", "price_per_kwh": 0.1, "from": "00:00", "to": "07:00", "days": "all"})
    inside = axis.window(night.start, night.end) * axis.step_minutes
    return [float(inside[axis.dates[axis.day] == np.datetime64(day)].sum()) for day in NIGHTS]


CLAIMS = (
    Claim(STANDARDS, "Hour at which clocks change in three zones of Europe, 2026 [h UTC]",
          "Directive 2000/84/EC, as the National Physical Laboratory quotes it: 01:00 Greenwich Mean Time", (1.0,) * 6,
          0.0, "whole hours", lambda: [utc for zone in EUROPE for _, utc, _ in _jumps(zone, 2026)],
          Naive("02:00 by the clock of each", lambda: [2.0, 1.0, 1.0, 0.0, 0.0, -1.0])),
    Claim(STANDARDS, "Minutes from midnight to seven on the days of 2026 on which they change [min]",
          "the same: an hour less on the last Sunday of March, one more on that of October", (420.0, 360.0, 480.0), 0.0,
          "whole minutes", lambda: _night_minutes("Europe/Berlin"), Naive("seven hours each", lambda: (420.0,) * 3)),
    Claim(STANDARDS, "Days on which clocks change in the United States, 2007 to 2015 [day of the month]",
          "Public Law 109-58, section 110, as worldtimezone.com lists its days", AMERICA, 0.0, "days", _american,
          Naive("the rule before 2007", _by_rule_before_2007)),
    Claim(STANDARDS, "Hour by the clock at which they change there [h]", "the same: at 2 a.m. local time", (2.0,) * 18,
          0.0, "whole hours", lambda: [wall for year in range(FIRST_YEAR, FIRST_YEAR + len(AMERICA))
                                       for *_, wall in _jumps("America/New_York", year)]),
    Claim(OPEN_DATA, "Days of the year 2011 in Samoa, and its 30 December",
          "IANA time zone database, list of August 2011: from the 29th to the 31st", (364.0, 0.0), 0.0, "days",
          lambda: [float(len(_axis("Pacific/Apia", 2011).dates)),
                   float(np.datetime64("2011-12-30") in _axis("Pacific/Apia", 2011).dates)],
          Naive("365 days", lambda: (365.0, 1.0))),
    Claim(LIBRARIES, "Easter Sundays of sixty years [days after 1 March]", "dateutil.easter, Gregorian calendar",
          lambda: _easter(True), 0.0, "days", lambda: _easter(False)),
    Claim(LIBRARIES, "First words of the generator of chance begun at 1234567 [two halves each]",
          "SplitMix64, Rosetta Code and a dozen others' tests of it", _halves(list(WORDS)), 0.0, "exact",
          lambda: _halves([int(word) for word in split_mix(1234567, len(WORDS))])),
    Claim(LIBRARIES, "A series with a memory of 0.85, closed on itself [-]",
          "scipy.signal.lfilter, run till it repeats", _filtered, 1e-9, "rounding",
          lambda: persistent(_shocks(), MEMORY)),
    Claim(STANDARDS, "Degree-days to 65 °F of days of 60 and 40 °F, and of 55 and 35 °F [°F·d]",
          "National Weather Service, two worked days of glossaries", tuple(row[2] for row in FAHRENHEIT), 1e-9, "exact",
          lambda: [_american_day(high, low) for high, low, _ in FAHRENHEIT],
          Naive("from the lowest temperature", lambda: [65.0 - low for _, low, _ in FAHRENHEIT])),
)  # fmt: skip
