"""Years with figures of our choice, for sentences that must say exactly what the figures say."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from simkit.notation import Notation
from simkit.uncertainty.ranges import Range
from simkit.year.comfort import YearComfort
from simkit.year.compare import Comparison

PLACE = SimpleNamespace(locale="en_IE", country="IE")


def stub_year(
    name: str, cost: float, spread: Any = (0.0,), *, heated_by: str = "heat_pump", cold_h: float = 0.0
) -> Any:
    """A year of that cost, sampled at cost + spread, whose rooms are under 18 °C for so many hours."""
    samples = cost + np.asarray(spread, dtype=np.float64)
    return SimpleNamespace(
        case=SimpleNamespace(
            name=name,
            currency="EUR",
            heat_source=heated_by,
            site=PLACE,
            base=None,
            notation=Notation("en_IE", "EUR"),
            household=SimpleNamespace(one=False),
        ),
        bill=SimpleNamespace(total=cost),
        samples=SimpleNamespace(total=samples),
        range=lambda: Range.of(samples),
        comfort=YearComfort(17.0, 9.0 * cold_h, cold_h, 0.0, 2.0 * cold_h, 5.0 * (cold_h > 0.0), 2.5, cold_h),
        sizing=None,
        design_kw=None,
        axis=SimpleNamespace(step_minutes=30),
        spf=SimpleNamespace(h4=None),
    )


def stub_comparison(*years: Any) -> Comparison:
    """The first is the baseline."""
    return Comparison(tuple(years), years[0].case.name)
