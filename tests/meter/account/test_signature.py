"""The energy signature against independent regressions, its intervals against their promise."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy import optimize, stats

from simkit.errors import DataError
from simkit.meter.account.signature import energy_signature


def _days(seed: int, count: int = 90, warm: float = 20.0, noise: float = 2.0) -> tuple[pd.Series, pd.Series]:
    rng = np.random.default_rng(seed)
    dates = pd.date_range("2025-02-01", periods=count)
    outdoor = np.linspace(2.0, warm, count) + rng.normal(0, 2.5, count)
    use = 9.0 + 1.6 * np.maximum(15.0 - outdoor, 0.0) + rng.normal(0, noise, count)
    return pd.Series(use, dates), pd.Series(outdoor, dates)


def test_it_agrees_with_scipys_least_squares() -> None:
    use, outdoor = _days(1)
    found = energy_signature(use, outdoor)
    expected, _ = optimize.curve_fit(
        lambda x, base, slope, change: base + slope * np.maximum(change - x, 0.0), outdoor.to_numpy(), use.to_numpy(),
        p0=(8.0, 1.0, 14.0),
    )  # fmt: skip
    made = (found.base_kwh.middle, found.slope_kwh_per_k.middle, found.change_c.middle)
    apart = np.abs(np.array(made) - expected)
    assert np.all(apart < (0.1, 0.02, 0.06))  # the change-point is sought in steps of 0.1 K
    assert found.changes


def test_without_warm_days_it_is_the_straight_line_of_linregress() -> None:
    use, outdoor = _days(2, warm=10.0)
    found = energy_signature(use, outdoor)
    line = stats.linregress(outdoor.to_numpy(), use.to_numpy())
    assert not found.changes
    assert found.slope_kwh_per_k.middle == pytest.approx(-line.slope, rel=1e-9)


def test_its_ninety_per_cent_intervals_hold_the_truth_about_that_often() -> None:
    inside = np.zeros(3)
    for seed in range(120):
        found = energy_signature(*_days(100 + seed))
        pairs = zip((found.base_kwh, found.slope_kwh_per_k, found.change_c), (9.0, 1.6, 15.0), strict=True)
        inside += [part.low <= true <= part.high for part, true in pairs]
    assert np.all(inside / 120 > 0.82)  # own: 90 % less three standard errors of 120 trials
    assert np.all(inside / 120 < 0.98)


def test_too_few_or_too_even_days_are_refused() -> None:
    use, outdoor = _days(3)
    with pytest.raises(DataError) as refused:
        energy_signature(use.iloc[:5], outdoor.iloc[:5])
    assert str(refused.value).endswith(
        "are too few or too alike: ten days and 3 K are needed. Read on for some weeks, or take days of other weather in."
    )
