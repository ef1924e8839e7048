"""Monthly figures of real years in; how near a year made of nothing else comes to their hours, out."""

from __future__ import annotations

from functools import cache

import numpy as np

from simkit.arrays import Floats
from simkit.case.home.site import Site
from simkit.case.home.weather import WeatherSource
from simkit.clock import TimeAxis
from simkit.validation.claim import OPEN_DATA, Claim, Naive
from simkit.validation.published import column, published
from simkit.weather.degree_days import BY_HOURS, from_monthly_mean, on_days
from simkit.weather.monthly import synthesise
from simkit.weather.months import month_days

YEARS = "hours of fifteen years that set nothing here: Met Éireann 2017, New York 2013, German reference years of DWD"
ROWS = published("real_years_DERIVED")[1]
DAMP, COLD_C = 0.85, 5.0
BASES_C = (15.5, 20.0)


def _months(row: dict[str, str], key: str) -> tuple[float, ...]:
    return tuple(float(value) for value in row[key].split(";"))


def _axis(row: dict[str, str]) -> TimeAxis:
    return TimeAxis(row["zone"], int(row["year"]), 60)


@cache
def _made() -> tuple[Floats, ...]:
    """Of each year made of a place's monthly figures what its hours come to, (years, 5)."""
    return tuple(_outcome(row) for row in ROWS)


def _outcome(row: dict[str, str]) -> Floats:
    """Degree-days to both bases, hours of frost, the coldest week and the hours that are cold and damp."""
    axis, plain = _axis(row), ("latitude_deg", "longitude_deg", "altitude_m")
    site = Site.model_validate(
        {key: float(row[key]) for key in plain}
        | {"zone": axis.zone, "country": "IE", "year": axis.year, "design_outdoor_c": float(row["cold_c"])}
    )
    source = WeatherSource.model_validate({key: _months(row, key) for key in ("mean_c", "daily_range_k", "humidity")})
    frame = synthesise(site, source, axis).frame
    outdoor, damp = (frame[name].to_numpy(dtype=float) for name in ("outdoor_c", "humidity"))
    days = np.bincount(axis.day, weights=outdoor) / np.bincount(axis.day)
    return np.array(
        [float(on_days(axis.day, outdoor, base, method=BY_HOURS).sum()) for base in BASES_C]
        + [
            float(np.sum(outdoor < 0.0)),
            float(np.convolve(days, np.full(7, 1.0 / 7.0), "valid").min()),
            float(np.sum((np.abs(outdoor) < COLD_C) & (damp > DAMP))),
        ]
    )


def _column(k: int) -> Floats:
    return np.array([one[k] for one in _made()])


def _by_means(base_c: float) -> Floats:
    """Degree-days by base less the monthly mean, of each year."""
    return np.array(
        [
            float(np.sum(month_days(_axis(row)) * np.maximum(base_c - np.array(_months(row, "mean_c")), 0.0)))
            for row in ROWS
        ]
    )


def _by_formula(base_c: float) -> Floats:
    """Degree-days of each year by the formula on monthly means."""
    means = [np.array(_months(row, "mean_c")) for row in ROWS]
    days = [month_days(_axis(row)) for row in ROWS]
    return np.array([float(from_monthly_mean(m, base_c, d).sum()) for m, d in zip(means, days, strict=True)])


def _frosty_months() -> float:
    """Hours of frost where every hour has its month's mean."""
    return float(sum(24.0 * month_days(_axis(row))[np.array(_months(row, "mean_c")) < 0.0].sum() for row in ROWS))


CLAIMS = (
    Claim(OPEN_DATA, "Degree-days to 15.5 °C of fifteen made years [K·d]", YEARS,
          lambda: column("real_years_DERIVED", "degree_days_15_5"),
          lambda: 0.02 * column("real_years_DERIVED", "degree_days_15_5"), "2 %: a year's days are one of many orders",
          lambda: _column(0), Naive("base less the month's mean", lambda: _by_means(15.5))),
    Claim(OPEN_DATA, "Degree-days to 20 °C of the same [K·d]", YEARS,
          lambda: column("real_years_DERIVED", "degree_days_20"),
          lambda: 0.012 * column("real_years_DERIVED", "degree_days_20"), "1.2 %: fewer days lie beyond",
          lambda: _column(1), Naive("base less the month's mean", lambda: _by_means(20.0))),
    Claim(OPEN_DATA, "Degree-days to 15.5 °C of their monthly means, by the formula [K·d]", YEARS,
          lambda: column("real_years_DERIVED", "degree_days_15_5"),
          lambda: 0.06 * column("real_years_DERIVED", "degree_days_15_5"), "6 %: one constant for all climates",
          lambda: _by_formula(15.5), Naive("base less the month's mean", lambda: _by_means(15.5))),
    Claim(OPEN_DATA, "Hours of frost in all of them together [h]", YEARS,
          lambda: column("real_years_DERIVED", "frost_h").sum(), 800.0, "6 %", lambda: _column(2).sum(),
          Naive("months with a mean under 0 °C", _frosty_months)),
    Claim(OPEN_DATA, "Mean of their coldest weeks [°C]", YEARS,
          lambda: column("real_years_DERIVED", "coldest_week_c").mean(), 0.8, "one spell a year, by chance",
          lambda: _column(3).mean(), Naive("the coldest month's mean",
          lambda: np.mean([min(_months(row, "mean_c")) for row in ROWS]))),
    Claim(OPEN_DATA, "Hours that frost a machine, in all of them together [h]",
          f"{YEARS}: −5 to 5 °C, over 85 % of humidity", lambda: column("real_years_DERIVED", "damp_cold_h").sum(),
          2000.0, "10 %: vapour is spread evenly over a month", lambda: _column(4).sum()),
)  # fmt: skip
