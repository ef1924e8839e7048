"""Daily energy, outdoor temperature and which days came after a change in; what the change did out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy import stats

from simkit.arrays import Bools, Floats
from simkit.errors import DataError, Fault
from simkit.meter.account.signature import energy_signature

LEAST_EACH = 7
LEVEL = 0.90
POWER = 0.80


@dataclass(frozen=True)
class ChangeEffect:
    """What a change did to a day's energy, at the same weather.

    Attributes
    ----------
    effect_kwh, low_kwh, high_kwh
        After less before, a day, at the mean weather of all the days, and its 90 % interval [kWh].
    share
        The same against the day before the change [-].
    smallest_kwh
        Smallest effect that these days would have shown four times in five [kWh].
    days_before, days_after
        Days used.
    sd_kwh, likeness
        Scatter of a day about the weather's line [kWh], and the correlation of neighbouring days.
    """

    effect_kwh: float
    low_kwh: float
    high_kwh: float
    share: float
    smallest_kwh: float
    days_before: int
    days_after: int
    sd_kwh: float
    likeness: float

    def days_needed(self, effect_kwh: float) -> int:
        """Days in all, half before and half after, that would show such an effect four times in five."""
        t = float(stats.norm.ppf(0.5 + LEVEL / 2.0) + stats.norm.ppf(POWER))
        grown = (1.0 + self.likeness) / (1.0 - self.likeness)
        return int(np.ceil(4.0 * grown * (t * self.sd_kwh / effect_kwh) ** 2))

    def sentences(self) -> tuple[str, ...]:
        """Say whether anything is seen, and how small an effect could have been."""
        seen = self.low_kwh > 0 or self.high_kwh < 0
        way = "more" if self.effect_kwh > 0 else "less"
        said = (
            f"After the change a day takes {abs(self.effect_kwh):.1f} kWh {way} at the same weather "
            f"({self.low_kwh:+.1f} to {self.high_kwh:+.1f}, {100 * self.share:+.0f} %)."
        )
        verdict = "That is more than chance." if seen else "That may be chance."
        return (
            said,
            f"{verdict} With {self.days_before} days before and {self.days_after} after, an effect of "
            f"{self.smallest_kwh:.1f} kWh a day or more would have been seen four times in five.",
        )


def change_effect(daily_kwh: pd.Series, outdoor_c: pd.Series, after: pd.Series) -> ChangeEffect:
    """Test a change, weather taken out.

    Parameters
    ----------
    daily_kwh, outdoor_c
        Energy [kWh] and mean outdoor temperature [°C] of days, by date.
    after
        Whether each day came after the change, by date; weeks in turn (switch-back) are as good, and better against
        whatever drifts meanwhile.

    Notes
    -----
    Energy = base + slope × cold + (a + b × cold) × after, cold by the change-point of all the days together;
    neighbouring days' likeness is taken out by quasi-differences (Cochrane and Orcutt 1949) where days follow each
    other. The effect is a + b × the mean cold of all days.
    """
    days = pd.DataFrame({"kwh": daily_kwh, "outdoor_c": outdoor_c, "after": after}).dropna()
    flag = days["after"].to_numpy().astype(bool)
    if min(int(flag.sum()), int((~flag).sum())) < LEAST_EACH:
        given = f"{int((~flag).sum())} days before and {int(flag.sum())} after"
        raise DataError(
            Fault(
                "before and after",
                given,
                f"are too few: {LEAST_EACH} of each are needed",
                "Read on, or take earlier days in",
            )
        )
    signature = energy_signature(days["kwh"], days["outdoor_c"])
    cold = np.maximum(signature.change_c.middle - days["outdoor_c"].to_numpy(), 0.0)
    warmth = cold - cold.mean()
    design = np.column_stack([np.ones(len(days)), warmth, flag, flag * warmth])
    y = days["kwh"].to_numpy()
    follows = np.concatenate([[False], np.diff(days.index.to_numpy()) == np.timedelta64(1, "D")])
    found, covariance, sd, rho = _regress(design, y, follows)
    freedom = max(len(y) * (1 - rho) / (1 + rho) - 4, 3.0)
    t = float(stats.t.ppf(0.5 + LEVEL / 2.0, freedom))
    effect, error = float(found[2]), float(covariance[2, 2] ** 0.5)
    seen_from = t + float(stats.t.ppf(POWER, freedom))
    return ChangeEffect(
        effect, effect - t * error, effect + t * error, effect / float(found[0]), seen_from * error,
        int((~flag).sum()), int(flag.sum()), sd, rho,
    )  # fmt: skip


def _regress(design: Floats, y: Floats, follows: Bools) -> tuple[Floats, Floats, float, float]:
    """Least squares with neighbouring days' likeness taken out: coefficients, covariance, scatter, likeness."""
    rho = 0.0
    for _ in range(4):
        kept = (1.0 - rho**2) ** 0.5
        a, b = design.copy() * kept, y * kept
        where = np.flatnonzero(follows)
        a[where], b[where] = design[where] - rho * design[where - 1], y[where] - rho * y[where - 1]
        found, *_ = np.linalg.lstsq(a, b, rcond=None)
        residual = y - design @ found
        pairs = float((residual[where] * residual[where - 1]).sum())
        whole = float((residual[where - 1] ** 2).sum())
        # a short series reads low; the prior of ten days at 0.3 steadies it, as in the fit
        rho = float(np.clip((pairs / max(whole, 1e-12) * len(where) + 4.0) / (len(where) + 10.0), 0.0, 0.8))
    left = b - a @ found
    variance = float((left**2).sum()) / max(len(y) - design.shape[1], 1)
    return found, np.linalg.pinv(a.T @ a) * variance, variance**0.5 / (1.0 - rho**2) ** 0.5, rho


def alternate_weeks(dates: pd.DatetimeIndex, *, settle_days: int = 1) -> pd.Series:
    """A switch-back plan: weeks in turn without and with the change; a week's first days settle and are left out.

    Returns
    -------
    Series
        By date: False, True, or missing while the home settles.
    """
    number = np.arange(len(dates))
    flags = pd.Series((number // 7 % 2).astype(object), index=dates).map(bool).astype(object)
    flags[number % 7 < settle_days] = None
    return flags
