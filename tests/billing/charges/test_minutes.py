"""The price of every minute of a date: clock changes, late meters, levies, files of prices."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import numpy as np
import pytest
from tariffs import band, tariff

from simkit.billing.charges.minutes import stretches_of
from simkit.billing.price_signal import price_signal
from simkit.clock import TimeAxis
from simkit.figures import cheap_hours
from simkit.tariff.tariff import Levy, Version, read_tariff

LONDON = TimeAxis("Europe/London", 2026, 15)
NIGHT = tariff(band("Night", 0.10, "00:30", "07:30"), band("Day", 0.30, "07:30", "00:30"))
WINTER, SUMMER = dt.date(2026, 1, 14), dt.date(2026, 7, 15)
SPRING, AUTUMN = dt.date(2026, 3, 29), dt.date(2026, 10, 25)


def shown(rules: object, date: dt.date) -> list[tuple[str, str, str]]:
    return [(s.start, s.end, s.name) for s in stretches_of(rules, LONDON, date)]


def test_a_night_on_wall_time_is_the_same_in_winter_and_summer() -> None:
    wanted = [("00:00", "00:30", "Day"), ("00:30", "07:30", "Night"), ("07:30", "24:00", "Day")]
    assert shown(NIGHT, WINTER) == shown(NIGHT, SUMMER) == shown(NIGHT, SPRING) == shown(NIGHT, AUTUMN) == wanted


def test_a_meter_on_utc_and_twelve_minutes_late_is_shown_to_the_minute() -> None:
    late = NIGHT.model_copy(update={"clock": "utc", "meter_offset_minutes": 12})
    assert shown(late, WINTER)[1] == ("00:42", "07:42", "Night")
    assert shown(late, SUMMER)[1] == ("01:42", "08:42", "Night")
    assert shown(late, SPRING)[1] == ("00:42", "08:42", "Night"), "an hour is left out at 01:00"
    assert shown(late, AUTUMN)[1] == ("01:42", "07:42", "Night"), "the hour from 01:00 comes twice: 01:42 is its first"


def test_days_on_which_the_clock_changes() -> None:
    assert [stretches_of(NIGHT, LONDON, date)[-1].last for date in (SPRING, WINTER, AUTUMN)] == [1380, 1440, 1500]
    assert len(cheap_hours(NIGHT, TimeAxis("UTC", 2026, 60))) == 2, "two Wednesdays, and no day of another length"


@pytest.mark.parametrize("clock", ["local", "utc"])
@pytest.mark.parametrize("date", [WINTER, SUMMER, SPRING, AUTUMN])
def test_minutes_agree_with_the_price_that_control_sees(clock: str, date: dt.date) -> None:
    rules = NIGHT.model_copy(
        update={"clock": clock, "meter_offset_minutes": 7, "tax": 0.09, "prices_include_tax": False,
                "levy": (Levy(name="L", per_kwh=0.01, taxed=False),)}
    )  # fmt: skip
    minutes = np.zeros(stretches_of(rules, LONDON, date)[-1].last)
    for stretch in stretches_of(rules, LONDON, date):
        minutes[stretch.first : stretch.last] = stretch.price
    steps = price_signal(rules, LONDON).import_per_kwh[LONDON.dates[LONDON.day] == np.datetime64(date)]
    assert minutes.reshape(-1, 15).mean(axis=1) == pytest.approx(steps, abs=1e-9)


def test_each_version_has_its_own_days() -> None:
    rules = tariff(
        band("Old", 0.2, "00:00", "24:00"),
        version=(Version(valid_from=dt.date(2026, 7, 1), band=(band("New", 0.3, "00:00", "24:00"),)),),
    )
    assert shown(rules, WINTER)[0][2] == "Old"
    assert shown(rules, SUMMER)[0][2] == "New"


@pytest.mark.parametrize("date", [dt.date(2025, 1, 15), dt.date(2025, 3, 30), dt.date(2025, 10, 26)])
def test_prices_of_a_file_are_added_to_those_of_the_bands_minute_by_minute(date: dt.date) -> None:
    rules = read_tariff(Path(__file__).parents[3] / "sample_data" / "tariffs" / "estuary_day_ahead.toml")
    axis = TimeAxis("Europe/Dublin", 2025, 15)
    minutes = np.zeros(stretches_of(rules, axis, date)[-1].last)
    for stretch in stretches_of(rules, axis, date):
        minutes[stretch.first : stretch.last] = stretch.price
    steps = price_signal(rules, axis).import_per_kwh[axis.dates[axis.day] == np.datetime64(date)]
    assert len(np.unique(steps)) > 10
    assert minutes.reshape(-1, 15).mean(axis=1) == pytest.approx(steps, abs=1e-9)


@pytest.mark.parametrize(
    "date",
    [dt.date(2026, 4, 3), dt.date(2026, 4, 4), dt.date(2026, 6, 10), dt.date(2026, 12, 1), dt.date(2026, 12, 2)],
    ids=["Good Friday", "Saturday", "summer workday", "last of the year's first price", "first of its second"],
)
def test_months_dates_and_holidays_of_bands_are_those_that_control_sees(date: dt.date) -> None:
    winter, summer = {"months": [1, 2, 3, 4, 10, 11, 12]}, {"months": [5, 6, 7, 8, 9]}
    rules = tariff(
        band("Workday", 0.30, "08:00", "20:00", days="workdays", last_date=dt.date(2026, 12, 1), **winter),
        band("Workday later", 0.35, "08:00", "20:00", days="workdays", first_date=dt.date(2026, 12, 2), **winter),
        band("Weekend", 0.20, "08:00", "20:00", days="weekend", **winter),
        band("Winter night", 0.10, "20:00", "08:00", **winter),
        band("Summer", 0.15, "00:00", "24:00", **summer),
        holidays_as="weekend",
    )  # fmt: skip
    minutes = np.zeros(1440)
    for stretch in stretches_of(rules, LONDON, date, country="GB"):
        minutes[stretch.first : stretch.last] = stretch.price
    steps = price_signal(rules, LONDON, country="GB").import_per_kwh
    steps = steps[LONDON.dates[LONDON.day] == np.datetime64(date)]
    assert minutes.reshape(-1, 15).mean(axis=1) == pytest.approx(steps, abs=1e-9)
