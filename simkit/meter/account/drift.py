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
TELLS = 2.0
# Measured by tests/bench/meter.py: accounts of three months after a fit on forty days, the change two months old.
HOMES, FALSE_NOTICES, NOTICED_SHARE, NOTICED = 66, 0, 0.15, 55
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
    grown = (1.0 + account.likeness) / (1.0 - account.likeness)
    dates = range(n - LEAST_DAYS + 1)
    size = np.array([residual[k:].mean() for k in dates])
    doubt = np.array([expected[:, k:].mean(axis=1).std() for k in dates])
    error = (account.day_sd_kwh**2 * grown / (n - np.array(dates)) + doubt**2) ** 0.5
    seen = float((np.abs(size) / error).max())
    if seen < SEEN_AT:
        return None
    from scipy.stats import norm

    chance = min(1.0, 2.0 * float(norm.sf(seen)) * max(n / LEAST_DAYS, 1.0))
    heat = days["heat_kwh"].to_numpy()
    k = min(dates, key=lambda k: _left(residual, heat, k))
    low, high = size[k] - 1.645 * error[k], size[k] + 1.645 * error[k]
    kind = _kind(residual[k:], heat[k:])
    return Drift(days.index[k], float(size[k]), float(low), float(high), 1.0 - chance, kind)


def _left(residual: Floats, heat: Floats, k: int) -> float:
    """Sum of squares left by a change at day k, alike on all days or grown with the heating, whichever is less.

    The date on which a change is surest is not that of the change: what the heating takes is doubted most on cold days,
    so that a fault of the machine in March would be seen best, and dated, in May.
    """
    after = np.arange(len(residual)) >= k
    left = []
    for grown in (after.astype(np.float64), after * heat):
        design = np.column_stack([np.ones_like(heat), grown])
        found, *_ = np.linalg.lstsq(design, residual, rcond=None)
        left.append(float(((residual - design @ found) ** 2).sum()))
    return min(left)


def _kind(residual: Floats, heat: Floats) -> str:
    """Whether a drift grows with the heating or is the same every day."""
    design = np.column_stack([np.ones_like(heat), heat - heat.mean()])
    found, *_ = np.linalg.lstsq(design, residual, rcond=None)
    left = residual - design @ found
    error = (
        float((left**2).sum()) / max(len(heat) - 2, 1) / max(float(((heat - heat.mean()) ** 2).sum()), 1e-9)
    ) ** 0.5
    if found[1] * found[0] > 0 and abs(found[1]) > TELLS * error:
        return "it grows with the heating, as after other settings, or with a fault of the machine"
    return "it is alike on mild and cold days, as with more people, more hot water or a heater left on"
