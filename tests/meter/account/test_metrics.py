"""Bias and scatter against a worked example, both forms named."""

from __future__ import annotations

import numpy as np
from references import Reference

from simkit.meter.account.metrics import metrics_of

SOURCE = "own example, derived by hand: measured 10, 20, 30; predicted 11, 19, 33"


def test_both_forms_of_bias_and_scatter() -> None:
    found = metrics_of(np.array([10.0, 20.0, 30.0]), np.array([11.0, 19.0, 33.0]))
    Reference(5.0, f"{SOURCE}; over N", 1e-9, "exact").check(100 * found.nmbe)
    Reference(7.5, f"{SOURCE}; over N − 1", 1e-9, "exact").check(100 * found.nmbe_less_one)
    Reference(9.5743, f"{SOURCE}; over N", 5e-5, "four decimals").check(100 * found.cv_rmse)
    Reference(11.7260, f"{SOURCE}; over N − 1", 5e-5, "four decimals").check(100 * found.cv_rmse_less_one)
    assert found.count == 3


def test_pairs_without_a_value_are_left_out() -> None:
    found = metrics_of(np.array([10.0, np.nan, 20.0, 30.0]), np.array([11.0, 5.0, 19.0, 33.0]))
    assert found.count == 3
    assert abs(found.nmbe - 0.05) < 1e-12
