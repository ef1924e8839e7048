"""Samples of a figure in; the range that is said of it out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats


@dataclass(frozen=True)
class Range:
    """What ten, fifty and ninety of a hundred samples stay under; it holds the estimate it is said of."""

    low: float
    middle: float
    high: float

    @property
    def negative(self) -> Range:
        """The range of what is spent where this one is of what is saved, and the other way round."""
        return Range(-self.high, -self.middle, -self.low)

    def shifted(self, by: float) -> Range:
        """The range of what is more by a known amount."""
        return Range(self.low + by, self.middle + by, self.high + by)

    @classmethod
    def of(cls, samples: Floats, estimate: float | None = None) -> Range:
        """Read the range off samples, (n,); NaN where there are none.

        Where nearly nothing is uncertain the usual year can lie just beyond the few sampled ones: the range then goes
        as far as the estimate.
        """
        known = samples[np.isfinite(samples)]
        if not len(known):
            return cls(float("nan"), float("nan"), float("nan"))
        low, middle, high = np.quantile(known, (0.1, 0.5, 0.9)).tolist()
        ends = (low, high) if estimate is None else (min(low, estimate), max(high, estimate))
        return cls(ends[0], middle, ends[1])
