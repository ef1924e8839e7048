"""Years with figures of our choice, for sentences that must say exactly what the figures say."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from simkit.uncertainty.ranges import Range
from simkit.year.compare import Comparison


def stub_year(name: str, cost: float, spread: Any = (0.0,), *, heated_by: str = "heat_pump", short: float = 0.0) -> Any:
    """A year of that cost, sampled at cost + spread, whose rooms miss `short` K·h."""
    samples = cost + np.asarray(spread, dtype=np.float64)
    return SimpleNamespace(
        case=SimpleNamespace(name=name, currency="EUR", heat_source=heated_by),
        bill=SimpleNamespace(total=cost),
        samples=SimpleNamespace(total=samples),
        range=lambda: Range.of(samples),
        comfort=SimpleNamespace(degree_hours_below=short, held=short <= 100.0),
    )


def stub_comparison(*years: Any) -> Comparison:
    """The first is the baseline."""
    return Comparison(tuple(years), years[0].case.name)
