"""Bias and scatter against a worked example, both forms named."""

from __future__ import annotations

import numpy as np

from simkit.meter.account.metrics import metrics_of


def test_pairs_without_a_value_are_left_out() -> None:
    found = metrics_of(np.array([10.0, np.nan, 20.0, 30.0]), np.array([11.0, 5.0, 19.0, 33.0]))
    assert found.count == 3
    assert abs(found.nmbe - 0.05) < 1e-12
