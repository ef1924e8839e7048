"""Daily energy and outdoor temperature in; base, slope and change-point of the energy signature out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy import stats

from simkit.arrays import Floats
from simkit.errors import DataError, Fault
from simkit.meter.account.metrics import Metrics, metrics_of
from simkit.uncertainty.ranges import Range

LEAST_DAYS = 10
LEVEL = 0.90
LEAST_BEYOND = 0.1  # share of days that must be warmer than the change-point for a base to be seen
FINENESS_C = 0.1


@dataclass(frozen=True, eq=False)
class Signature:
    """Energy of a day = base + slope × max(0, change-point − outdoor temperature).

    Attributes
    ----------
    base_kwh, slope_kwh_per_k, change_c
        Base of a day [kWh], slope [kWh/(d·K)] and change-point [°C], each with its 90 % interval.
    changes
        Whether the days show the change-point; without it the three can't be told apart and the line is straight.
    sd_kwh
        Scatter of days about it [kWh].
    autocorrelation
        Of the scatter from day to day; the intervals are widened for it.
    metrics
        Bias and scatter as guidelines state them.
    days
        Outdoor temperature [°C] and measured and predicted energy of each day [kWh].
    """

    base_kwh: Range
    slope_kwh_per_k: Range
    change_c: Range
    changes: bool
    sd_kwh: float
    autocorrelation: float
    metrics: Metrics
    days: pd.DataFrame

    def predicted_kwh(self, outdoor_c: Floats) -> Floats:
        """Energy of days of a temperature [°C], (n,) [kWh]."""
        return self.base_kwh.middle + self.slope_kwh_per_k.middle * np.maximum(self.change_c.middle - outdoor_c, 0.0)


def energy_signature(daily_kwh: pd.Series, outdoor_c: pd.Series) -> Signature:
    """Fit the plain change-point regression that practitioners know.

    Parameters
    ----------
    daily_kwh
        Energy of whole days, by date [kWh]; NaN where a day was not read.
    outdoor_c
        Mean outdoor temperature of days, by date [°C].

    Returns
    -------
    Signature
        Least squares over base, slope and change-point; 90 % intervals from the F-profile of the change-point and the
        t-distribution, with degrees of freedom lowered for the likeness of neighbouring days, n(1 − ρ)/(1 + ρ).

    Raises
    ------
    DataError
        Where there are fewer than ten days, or their temperatures hardly differ.
    """
    days = pd.DataFrame({"outdoor_c": outdoor_c, "measured_kwh": daily_kwh}).dropna()
    if len(days) < LEAST_DAYS or float(days["outdoor_c"].max() - days["outdoor_c"].min()) < 3.0:
        given = (
            f"{len(days)} days from {days['outdoor_c'].min():.1f} to {days['outdoor_c'].max():.1f} °C"
            if len(days)
            else "no days"
        )
        remedy = "Read on for some weeks, or take days of other weather in"
        raise DataError(Fault("signature", given, "are too few or too alike: ten days and 3 K are needed", remedy))
    x, y = days["outdoor_c"].to_numpy(), days["measured_kwh"].to_numpy()
    grid = np.arange(np.quantile(x, 0.1), x.max() + FINENESS_C, FINENESS_C)
    squares = np.array([_line(x, y, c)[1] for c in grid])
    best = int(np.argmin(squares))
    change = float(grid[best])
    (base, slope), square = _line(x, y, change)
    changes = bool(np.mean(x > change) >= LEAST_BEYOND) and slope > 0
    if not changes:
        change = float(x.max())
        (base, slope), square = _line(x, y, change)
    residual = y - base - slope * np.maximum(change - x, 0.0)
    rho = float(np.clip(_likeness(residual), 0.0, 0.9))
    effective = max(len(x) * (1.0 - rho) / (1.0 + rho), 5.0)
    freedom = max(effective - (3 if changes else 2), 2.0)
    variance = square / max(len(x) - 3, 1)
    around = _around(grid, squares, square, freedom) if changes else (-np.inf, np.inf)
    errors = _errors(x, change, slope if changes else None, variance * len(x) / effective)
    t = float(stats.t.ppf(0.5 + LEVEL / 2.0, freedom))
    days["predicted_kwh"] = y - residual
    wide = t * errors[0] if changes else np.inf
    return Signature(
        Range(float(base - wide), float(base), float(base + wide)),
        Range(float(slope - t * errors[1]), float(slope), float(slope + t * errors[1])),
        Range(around[0], change, around[1]), changes, variance**0.5, rho, metrics_of(y, y - residual), days,
    )  # fmt: skip


def _line(x: Floats, y: Floats, change: float) -> tuple[tuple[float, float], float]:
    """Least squares of base and slope for a change-point: the two, and the sum of squares left."""
    cold = np.maximum(change - x, 0.0)
    design = np.column_stack([np.ones_like(x), cold])
    found, *_ = np.linalg.lstsq(design, y, rcond=None)
    return (float(found[0]), float(found[1])), float(((y - design @ found) ** 2).sum())


def _likeness(residual: Floats) -> float:
    """Correlation of neighbouring days' residuals."""
    return float((residual[1:] * residual[:-1]).sum() / max(float((residual**2).sum()), 1e-12))


def _around(grid: Floats, squares: Floats, least: float, freedom: float) -> tuple[float, float]:
    """Change-points whose sum of squares is not worse than F allows."""
    limit = least * (1.0 + float(stats.f.ppf(LEVEL, 1, freedom)) / freedom)
    inside = np.flatnonzero(squares <= limit)
    low = -np.inf if inside[0] == 0 else float(grid[inside[0]])
    return low, np.inf if inside[-1] == len(grid) - 1 else float(grid[inside[-1]])


def _errors(x: Floats, change: float, slope: float | None, variance: float) -> tuple[float, float]:
    """Standard errors of base and slope; the change-point's own uncertainty counts where it was fitted."""
    cold = np.maximum(change - x, 0.0)
    columns = [np.ones_like(x), cold]
    if slope is not None:
        columns.append(slope * (cold > 0))
    normal = np.column_stack(columns)
    covariance = np.linalg.pinv(normal.T @ normal) * variance
    return float(covariance[0, 0] ** 0.5), float(covariance[1, 1] ** 0.5)
