"""Figures of open data, read where they were published, and what the kit gives for them."""

from __future__ import annotations

import datetime as dt
from functools import cache

import numpy as np

from simkit.arrays import Floats
from simkit.billing.charges.minutes import stretches_of
from simkit.case.home.site import Site
from simkit.case.home.weather import WeatherSource
from simkit.clock import TimeAxis
from simkit.profiles.household import DAY_TYPES, SEASONS, h0_watts, kinds_of_days, quarter_hours
from simkit.profiles.water import HOURLY_SHAPE
from simkit.validation.claim import OPEN_DATA, Claim, Naive
from simkit.validation.homes import home
from simkit.validation.published import column, published
from simkit.weather.degree_days import BY_HOURS, DAILY_MEAN, UK_RULE, monthly_degree_days, on_days
from simkit.weather.monthly import synthesise
from simkit.weather.months import month_days

VDEW = "VDEW M-32/99, representative load profiles (open data of the German energy association)"
IANA = "IANA time zone database, 2026"
UK_YEAR = "UK standard year of degree-days, as two energy-management pages print it"
DAYS = published("dst_local_day_lengths")[1]
SEASON_EDGES = {
    "2023-03-20": "winter", "2023-03-21": "transition", "2023-05-14": "transition", "2023-05-15": "summer",
    "2023-09-14": "summer", "2023-09-15": "transition", "2023-10-31": "transition", "2023-11-01": "winter",
}  # fmt: skip
DAY_KINDS = {
    "2026-01-02": "workday", "2026-01-03": "saturday", "2026-01-04": "sunday", "2026-12-24": "saturday",
    "2026-12-31": "saturday", "2023-12-24": "sunday", "2026-12-25": "sunday", "2026-12-26": "saturday",
}  # fmt: skip


@cache
def _axis(zone: str, year: int, minutes: int = 30) -> TimeAxis:
    return TimeAxis(zone, year, minutes)


def _day_hours(row: dict[str, str]) -> float:
    axis = _axis(row["zone"], int(row["local_date"][:4]))
    return float(np.sum(axis.dates[axis.day] == np.datetime64(row["local_date"])) * axis.hours)


def _charged_minutes(row: dict[str, str]) -> float:
    """Minutes of a day, laid on it by a tariff of two bands."""
    date = dt.date.fromisoformat(row["local_date"])
    tariff = home("estuary_bungalow").tariff
    return float(stretches_of(tariff, _axis(row["zone"], date.year), date)[-1].last)


def _days_of_2023() -> Floats:
    return month_days(_axis("UTC", 2023, 15))


def _profile_hours() -> list[float]:
    hours = quarter_hours().reshape(3, 3, 24, 4).mean(axis=3)
    rows = published("bdew_h0_hourly_watts")[1]
    return [
        float(hours[SEASONS.index(row["season"]), DAY_TYPES.index(row["day_type"]), int(row["hour"])]) for row in rows
    ]


def _months_of_2023(dynamic: bool) -> Floats:
    axis = _axis("UTC", 2023, 15)
    watts = h0_watts(axis, dynamic=dynamic)
    return np.bincount(axis.month, weights=watts)[1:] * 1000.0 / watts.sum()


def _kinds(dates: list[str]) -> tuple[Floats, Floats]:
    seasons, days = kinds_of_days(np.array(dates, dtype="datetime64[D]"), frozenset({dt.date(2026, 12, 25)}))
    return np.asarray(seasons, dtype=float), np.asarray(days, dtype=float)


@cache
def _uk_year() -> Floats:
    """Hours of a year made from the printed degree-days to 15.5 °C and nothing else."""
    base = column("uk_standard_degree_days", "HDD_15.5")
    place = Site(zone="Europe/London", country="GB", latitude_deg=52.5, longitude_deg=-1.5, altitude_m=40.0, year=2025,
                 design_outdoor_c=-5.0)  # fmt: skip
    usual = home("estuary_bungalow").weather
    source = WeatherSource(degree_days=tuple(base), degree_day_base_c=15.5, degree_day_rule="four cases of max and min",
                           daily_range_k=usual.daily_range_k, humidity=usual.humidity)  # fmt: skip
    made = synthesise(place, source, _axis("Europe/London", 2025, 60))
    return np.asarray(made.frame["outdoor_c"], dtype=float)


def _uk_degree_days(base: float, method: str) -> float:
    return float(monthly_degree_days(_axis("Europe/London", 2025, 60), _uk_year(), base, method=method).sum())


def _totals(base: str) -> float:
    return float(column("uk_standard_degree_days", f"HDD_{base}").sum())


def _pairs() -> Floats:
    shape = np.array(HOURLY_SHAPE)
    return shape + np.roll(shape, -1)


CLAIMS = (
    Claim(OPEN_DATA, "Hours of the household profile by season and kind of day [W]", VDEW,
          lambda: column("bdew_h0_hourly_watts", "watts"), 0.0051, "rounded to 0.01 W", _profile_hours,
          Naive("the same at all hours", lambda: np.full(216, 1e6 / 8760))),
    Claim(OPEN_DATA, "First six quarter-hours of a winter Saturday [W]", f"{VDEW}, as quoted elsewhere",
          (70.8, 68.2, 65.9, 63.3, 59.5, 55.0), 0.0601, "to 0.1 W; one of the six, 63.24, was rounded up",
          lambda: quarter_hours()[SEASONS.index("winter"), DAY_TYPES.index("saturday"), :6]),
    Claim(OPEN_DATA, "Months of 2023 by the static profile [kWh of 1,000]", f"{VDEW}, summed by demandlib 0.2.2",
          lambda: column("bdew_h0_2023_monthly", "h0_static_kWh"), 0.006, "rounded to 0.01 kWh",
          lambda: _months_of_2023(False), Naive("days of the month", lambda: 1000.0 * _days_of_2023() / 365.0)),
    Claim(OPEN_DATA, "Months of 2023 by the dynamic profile [kWh of 1,000]", f"{VDEW}, summed by demandlib 0.2.2",
          lambda: column("bdew_h0_2023_monthly", "h0_dynamic_kWh"), 0.25, "their factor differs by up to 0.4 %",
          lambda: _months_of_2023(True), Naive("the static profile", lambda: _months_of_2023(False))),
    Claim(OPEN_DATA, "Where seasons of the household profile begin and end", VDEW,
          tuple(SEASONS.index(name) for name in SEASON_EDGES.values()), 0.0, "days of the calendar",
          lambda: _kinds(list(SEASON_EDGES))[0]),
    Claim(OPEN_DATA, "Kind of day, holidays and 24 and 31 December among them", VDEW,
          tuple(DAY_TYPES.index(name) for name in DAY_KINDS.values()), 0.0, "days of the calendar",
          lambda: _kinds(list(DAY_KINDS))[1]),
    Claim(OPEN_DATA, "Hours of civil days on which clocks change [h]", IANA,
          lambda: column("dst_local_day_lengths", "hours"), 0.0, "whole hours",
          lambda: [_day_hours(row) for row in DAYS],
          Naive("24 hours each", lambda: np.full(len(DAYS), 24.0))),
    Claim(OPEN_DATA, "Minutes of those days that a tariff charges [min]", IANA,
          lambda: 60.0 * column("dst_local_day_lengths", "hours"), 0.0, "whole minutes",
          lambda: [_charged_minutes(row) for row in DAYS]),
    Claim(OPEN_DATA, "Degree-days to 18.5 and 10 °C of a year made from those to 15.5 °C [K·d]", UK_YEAR,
          lambda: [_totals("18.5"), _totals("10.0")], (68.0, 21.0), "2 %: daily range and design cold are ours",
          lambda: [_uk_degree_days(base, UK_RULE) for base in (18.5, 10.0)],
          Naive("3 K more or 5.5 K less on every day", lambda: [_totals("15.5") + 3 * 365,
          _totals("15.5") - 5.5 * 365])),
    Claim(OPEN_DATA, "Degree-days to 15.5 °C of that year, by the hour [K·d]", UK_YEAR, lambda: _totals("15.5"), 24.6,
          "1 %: the rule for extremes is near the sum of hours", lambda: _uk_degree_days(15.5, BY_HOURS)),
    Claim(OPEN_DATA, "Degree-days of days of 10 and 19 °C below 18 °C [K·d]", "Statistics Netherlands, definition",
          (8.0, 0.0), 0.0, "exact", lambda: on_days([0, 1], [10.0, 19.0], 18.0, method=DAILY_MEAN)),
    Claim(OPEN_DATA, "Hours at which the demand for hot water peaks [h]",
          "DESNZ 2024, Domestic hot water use in the UK: 06:00 to 08:00 and 17:00 to 19:00", (6.0, 17.0), 0.0,
          "whole hours", lambda: [np.argmax(_pairs()[:12]), 12 + np.argmax(_pairs()[12:])]),
)  # fmt: skip
