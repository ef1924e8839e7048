"""Measured and predicted values in; mean bias and scatter in both forms that guidelines use out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats


@dataclass(frozen=True)
class Metrics:
    """How far predictions lie from measurements, as shares of the mean measured value.

    Attributes
    ----------
    nmbe, cv_rmse
        Normalised mean bias (predicted minus measured; positive predicts too much), and the coefficient of variation
        of the root mean square error, both divided by the number of values N.
    nmbe_less_one, cv_rmse_less_one
        The same divided by N − 1, as some guidelines have it.
    count
        Number of values.
    """

    nmbe: float
    cv_rmse: float
    nmbe_less_one: float
    cv_rmse_less_one: float
    count: int


def metrics_of(measured: Floats, predicted: Floats) -> Metrics:
    """Compare predictions with measurements.

    Parameters
    ----------
    measured, predicted
        Values in the same unit, (n,); pairs in which either is NaN are left out.

    Notes
    -----
    NMBE = Σ(p − m) / (N·mean(m)); CV(RMSE) = √(Σ(p − m)² / N) / mean(m); ASHRAE Guideline 14 and IPMVP differ in
    whether N or N less the number of parameters stands there, so that both forms are given and named.
    """
    good = np.isfinite(measured) & np.isfinite(predicted)
    error, mean, n = predicted[good] - measured[good], float(np.mean(measured[good])), int(good.sum())
    if n < 2 or mean == 0:
        nan = float("nan")
        return Metrics(nan, nan, nan, nan, n)
    bias, square = float(error.sum()) / mean, float((error**2).sum())
    return Metrics(bias / n, (square / n) ** 0.5 / mean, bias / (n - 1), (square / (n - 1)) ** 0.5 / mean, n)
