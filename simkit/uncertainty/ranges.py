"""Samples of a figure in; the range that is said of it out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats


@dataclass(frozen=True)
class Range:
    """What ten, fifty and ninety of a hundred samples stay under."""

    low: float
    middle: float
    high: float

    @classmethod
    def of(cls, samples: Floats) -> Range:
        """Read the range off samples, (n,); NaN where there are none."""
        known = samples[np.isfinite(samples)]
        if not len(known):
            return cls(float("nan"), float("nan"), float("nan"))
        return cls(*np.quantile(known, (0.1, 0.5, 0.9)).tolist())
