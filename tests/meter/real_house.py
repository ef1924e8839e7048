"""A real house's hourly heat in; what fits on six weeks of it predict of the rest, beside a plain line, out.

Data: one single-family house in Sønderborg, Denmark, 2010-12-15 to 2011-03-01, from the R package onlineforecast 0.9.3
(Peder Bacher, Hjörleifur G. Bergsteinsson; GPL-3; Bacher et al. 2013, doi 10.1016/j.enbuild.2013.04.022). It is never
copied in: who has it names its folder in SIMKIT_OPEN_DATA.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
from scipy import stats

from meter.homes import flagship
from simkit.case.build import Case, vary
from simkit.meter.fitting.fitted import predicted
from simkit.meter.fitting.fitting import fit
from simkit.meter.fitting.weather_then import from_temperatures
from simkit.meter.reading.reading import readings_from

FILE = "meter/soenderborg_single_family_heat_2010-2011.csv"
ZONE, WEEKS = "Europe/Copenhagen", 6
# What an owner there would say, nothing of it fitted: usual months of the place (from memory), a loss by its size.
MEANS_C = [1.0, 1.0, 2.8, 6.6, 11.4, 14.8, 17.0, 17.0, 13.8, 9.8, 5.6, 2.4]


def house(loss_w_per_k: float = 220.0) -> Case:
    """The house as its owner would describe it; the heat meter is that of a machine large enough."""
    base = flagship()
    assert base.heat_pump is not None
    points = [point.model_copy(update={"capacity_kw": 2.2 * point.capacity_kw}) for point in base.heat_pump.point]
    return vary(
        base,
        {
            "site.zone": ZONE, "site.country": "DK", "site.latitude_deg": 54.9, "site.longitude_deg": 9.8,
            "site.year": 2011, "site.design_outdoor_c": -12.0, "weather.mean_c": MEANS_C,
            "home.loss.fuel_amount": None, "home.loss.fuel_unit": None, "home.loss.w_per_k": loss_w_per_k,
            "heat_pump.point": points, "heat_pump.backup_kw": 6.0,
        },
    )  # fmt: skip


def hours_of(folder: str) -> pd.DataFrame:
    """Heat [kWh] and outdoor temperature [°C] of its hours, by their start in UTC."""
    frame = pd.read_csv(Path(folder) / FILE).iloc[:, :3]
    frame.columns = ["end", "heat_kwh", "outdoor_c"]
    frame["end"] = pd.to_datetime(frame["end"], utc=True)
    return frame.set_index(frame["end"] - pd.Timedelta(hours=1))


def pooled(hours: pd.DataFrame, *, every: int, draws: int = 4000, loss_w_per_k: float = 220.0) -> pd.DataFrame:
    """Fit any six weeks, moved by `every` days, and predict the rest: one row for each window.

    Columns: days, and of the fit and of a straight line on temperature each: inside (share of days in the 80 % range),
    total_inside, error [kWh, mean of days], total_error [share], width [kWh, mean of days].
    """
    case, weather = house(loss_w_per_k), from_temperatures(house(loss_w_per_k), hours["outdoor_c"], 60)
    local = hours.index.tz_convert(ZONE).tz_localize(None)
    daily = hours.groupby(local.normalize()).agg({"heat_kwh": ["sum", "count"], "outdoor_c": "mean"})
    daily.columns = ["heat_kwh", "count", "outdoor_c"]
    daily = daily.iloc[:-1]
    daily.loc[daily["count"] < 24, "heat_kwh"] = np.nan
    end = daily.index[-1] + pd.Timedelta(days=1)
    rows = []
    for start in daily.index[: len(daily) - 7 * WEEKS + 1 : every]:
        stop = start + pd.Timedelta(weeks=WEEKS)
        part = hours.loc[(local >= start) & (local < stop), ["end", "heat_kwh"]]
        found = fit(case, readings_from(part, zone=ZONE, name="six weeks"), weather=weather, draws=draws)
        spans = [(a, b) for a, b in ((daily.index[0], start), (stop, end)) if a < b]
        # homes are drawn alike for both spans, so that their sums are of one home
        samples = np.concatenate([predicted(found, str(a.date()), str(b.date()))[0] for a, b in spans], axis=1)
        rest = daily[(daily.index < start) | (daily.index >= stop)]
        known = rest["heat_kwh"].notna().to_numpy()
        true = rest["heat_kwh"].to_numpy()[known]
        fitted_days = daily[(daily.index >= start) & (daily.index < stop)].dropna()
        ranges = np.quantile(samples[:, known], (0.1, 0.5, 0.9), axis=0)
        total = np.quantile(samples[:, known].sum(axis=1), (0.1, 0.5, 0.9))
        of_line, line_total = _line(fitted_days, rest["outdoor_c"].to_numpy()[known])
        rows.append({"days": len(true), **_told(true, ranges, total, ""), **_told(true, of_line, line_total, "line_")})
    return pd.DataFrame(rows)


def _line(fitted_days: pd.DataFrame, outdoor_c: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Low, middle and high of days and of their sum, by least squares of heat on temperature and its own 80 % range."""
    x, y = fitted_days["outdoor_c"].to_numpy(), fitted_days["heat_kwh"].to_numpy()
    design, new = np.column_stack([np.ones_like(x), x]), np.column_stack([np.ones_like(outdoor_c), outdoor_c])
    found, *_ = np.linalg.lstsq(design, y, rcond=None)
    sd = (((y - design @ found) ** 2).sum() / (len(y) - 2)) ** 0.5
    normal = np.linalg.inv(design.T @ design)
    reach = float(stats.t.ppf(0.9, len(y) - 2)) * sd
    middle, sums = new @ found, new.sum(axis=0)
    wide = reach * np.sqrt(1.0 + np.einsum("ij,jk,ik->i", new, normal, new))
    of_sum = reach * (len(new) + sums @ normal @ sums) ** 0.5
    return np.stack([middle - wide, middle, middle + wide]), middle.sum() + np.array([-of_sum, 0.0, of_sum])


def _told(true: np.ndarray, ranges: np.ndarray, total: np.ndarray, prefix: str) -> dict[str, float]:
    return {
        f"{prefix}inside": float(np.mean((ranges[0] <= true) & (true <= ranges[2]))),
        f"{prefix}total_inside": float(total[0] <= true.sum() <= total[2]),
        f"{prefix}error": float(np.mean(np.abs(ranges[1] - true))),
        f"{prefix}total_error": float(total[1] / true.sum() - 1.0),
        f"{prefix}width": float(np.mean(ranges[2] - ranges[0])),
    }
