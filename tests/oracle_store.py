"""The emitters' own heat of the slow second version: a case, its rating and a step in; what is fed and given out.

Written from the docstrings; nothing of `simkit.physics` is imported.
"""

from __future__ import annotations

from math import exp

from simkit.case.build import Case

NOTHING = 1e-9


class Store:
    """Water, steel and screed, counted over the room by the mean water that keeps them as warm as they are."""

    def __init__(
        self, case: Case, rated: float, n: float, load: float, excess: float, hours: float, before: float
    ) -> None:
        kind, area = case.emitters, case.home.floor_area_m2
        kwh_per_k = 1.163e-3 * kind.water_l_per_kw * rated + 480.0 / 3.6e6 * kind.steel_kg_per_kw * rated
        kwh_per_k += 2000.0 * 1000.0 / 3.6e6 * kind.screed_mm * 1e-3 * area
        share = 1.0
        if kind.screed_mm > 0:
            outer = 0.5 * max(kind.screed_mm - 20.0, 0.0) * 1e-3 / 1.2 + kind.covering_m2k_per_w + 1.0 / 10.8
            share = min(outer * 1000.0 * load / excess / area, 0.95)
        # by the mean water: a buffer is as warm as that, a screed by its share only
        self.held = (kwh_per_k * share if kind.stores else 0.0) + 1.163e-3 * case.controls.buffer_l
        self.rated, self.n, self.hours, self.x = rated, n, hours, before
        self.settled = excess / load
        rho = (0.5 * kind.water_difference_k + (1.0 - share) * excess) / load
        rate = share * (1.0 / rho + n * load / (share * excess)) / self.held if self.held else 0.0
        self.fill = share * (1.0 - exp(-rate * hours)) / (rate * hours) / rho if self.held else 0.0

    def limit(self, steady: float, warm: float) -> float:
        """Most heat fed at a flow that gives `steady` for good, the store then `warm` [kW]."""
        return max(0.0, steady + self.fill * (warm - self.x))

    def give(self, fed: float) -> float:
        """Heat given in the step; the store is moved on."""
        h, c, n, x = self.hours, self.held, self.n, self.x
        if not c:
            return fed
        if fed < NOTHING and c * x / h < 0.05:
            self.x = 0.0
            return c * x / h
        way = max(0.6 * x + 0.4 * min(self.settled * fed, x + fed * h / c), NOTHING)
        per_k = self.rated / 50.0 * (way / 50.0) ** (n - 1.0)
        at_start = per_k * x * (n * x + (2.0 - n) * way) / ((2.0 - n) * x + n * way)
        slope = n * per_k
        goes_to = x + (fed - at_start) / slope
        kept = exp(-slope * h / c)
        self.x = goes_to + (x - goes_to) * kept
        mean = goes_to + (x - goes_to) * (1.0 - kept) * c / (slope * h)
        return at_start + slope * (mean - x)
