"""Fit on some weeks, predict the rest, count: the machinery on a few homes; the hundred stand in tests/bench."""

from __future__ import annotations

import pytest

from meter.homes import flagship
from simkit.errors import CaseError
from simkit.meter.fitting.backtest import backtest


def test_ranges_of_a_few_homes_hold_most_of_the_truth() -> None:
    made = backtest(flagship(), weeks=6, start="2025-01-10", end="2025-05-01", homes=4, draws=2000)
    assert len(made.rest) == 4
    assert set(made.months["month"]) == {"2025-02", "2025-03", "2025-04"}
    assert made.month_coverage >= 0.5  # own: 80 % of twelve; fewer than half would happen once in a hundred
    assert abs(made.rest["middle"] / made.rest["true"] - 1).max() < 0.12
    assert "(80 % would be right)" in made.sentences()[0]


def test_weeks_must_leave_something_to_predict() -> None:
    with pytest.raises(CaseError, match="leave nothing to predict before 2025-02-01"):
        backtest(flagship(), weeks=6, start="2025-01-10", end="2025-02-01")
