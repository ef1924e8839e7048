"""Days metered and expected in; a lasting departure, its size, how sure it is, and how often notices err, out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.arrays import Floats

if TYPE_CHECKING:
    from simkit.meter.account.account import Account

LEAST_DAYS = 10  # days after which a drift is sought
SEEN_AT = 3.3  # own: of all change dates tried, one in a hundred reaches this by chance (tested on invented homes)
GROWS = "it grows with the heating, as after other settings, or with a fault of the machine"
ALIKE = "it is alike on mild and cold days, as with more people, more hot water or a heater left on"
# Measured by tests/bench/meter.py: accounts of three months after a fit on forty days, the change two months old.
HOMES, FALSE_NOTICES, NOTICED_SHARE, NOTICED = 60, 1, 0.15, 48
RATES = (
    f"Of {HOMES} invented homes left alone, {FALSE_NOTICES} had such a notice within three months; a change of "
    f"{100 * NOTICED_SHARE:.0f} % of the heat pump's electricity was noticed in {NOTICED} within two."
)


@dataclass(frozen=True)
class Drift:
    """A lasting departure from what is expected.

    Attributes
    ----------
    since
        Day from which on it is seen best.
    kwh_per_day, low, high
        Its size and 90 % interval [kWh].
    confidence
        How sure it is that it is no chance [-].
    kind
        What it looks like, in words.
    """

    since: pd.Timestamp
    kwh_per_day: float
    low: float
    high: float
    confidence: float
    kind: str


def drift_of(account: Account, days: pd.DataFrame, expected: Floats) -> Drift | None:
    """Look for the date after which days differ most from what is expected, against chance and the fit's doubt.

    Parameters
    ----------
    account
        The account: the scatter of its days and the end of what it was fitted to.
    days
        Days that were read whole: metered_kwh, expected_kwh, heat_kwh.
    expected
        The same days in samples of the fitted home, (samples, days) [kWh].
    """
    zone = account.case.site.zone
    later = pd.DatetimeIndex(days.index).tz_localize(zone) >= account.fitted_until.tz_convert(zone)
    days, expected = days[later], expected[:, later]
    n = len(days)
    if n < LEAST_DAYS:
        return None
    residual = (days["metered_kwh"] - days["expected_kwh"]).to_numpy()
    apart = np.abs(np.subtract.outer(np.arange(n), np.arange(n)))
    covariance = account.day_sd_kwh**2 * account.likeness**apart + np.cov(expected.T)
    root = np.linalg.inv(np.linalg.cholesky(covariance))
    heat = days["heat_kwh"].to_numpy()
    heating = heat / max(float(heat.mean()), 1e-9)
    tried = [_change(root, residual, k, shape) for k in range(n - LEAST_DAYS + 1) for shape in (np.ones(n), heating)]
    best = int(np.argmax([abs(size) / error for size, error in tried]))
    k, grows, (size, error) = best // 2, best % 2 == 1, tried[best]
    seen = abs(size) / error
    if seen < SEEN_AT:
        return None
    from scipy.stats import norm

    chance = min(1.0, 2.0 * float(norm.sf(seen)) * max(n / LEAST_DAYS, 1.0))
    return Drift(
        days.index[k], size, size - 1.645 * error, size + 1.645 * error, 1.0 - chance, GROWS if grows else ALIKE
    )


def _change(root: Floats, residual: Floats, k: int, shape: Floats) -> tuple[float, float]:
    """A change at day k, the same on all days or growing with the heating: its size on a mean day and its error [kWh].

    By generalised least squares: days before the change tell of the home as well, so that what the fit left in doubt
    (the sun of a spring that it never saw) is not counted against a change that the days show plainly.
    """
    after = np.where(np.arange(len(shape)) >= k, shape, 0.0)
    step = root @ after
    square, mean = max(float(step @ step), 1e-12), float(after[k:].mean())
    return float(step @ (root @ residual)) / square * mean, mean / square**0.5
