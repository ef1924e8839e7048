"""A stretch in; the same in steps several times as long, out: near enough to say what stored energy is worth.

The rooms' response to a longer step is that of its parts one after the other; everything else is their mean. Nothing
of it is a bound: it only makes prices, and any prices keep the bound a bound.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from simkit.arrays import Floats
from simkit.decide.optimum.least_cost_of_heat import Pieces
from simkit.decide.optimum.least_prices import LeastPrices, PeakTerm, TierTerm
from simkit.decide.optimum.stretch import CarNeed, Stretch
from simkit.physics.records import Home

AT_ONCE = ("water_forced", "water_target_c", "immersion_allowed")  # what counts wherever it is so in a part of the step
INPUTS = ("o", "qa", "qf")
NODES = ("a", "f")


def coarse(whole: Stretch, times: int) -> Stretch:
    """Make steps so many times as long; their number must be a multiple of it."""

    def mean(values: Floats) -> Floats:
        return np.asarray(values.reshape(*values.shape[:-1], -1, times).mean(axis=-1))

    series = {
        name: values.reshape(-1, times).max(axis=1) if name in AT_ONCE else mean(values)
        for name, values in whole.series.items()
    }
    pieces = Pieces(mean(whole.pieces.width_kw), mean(whole.pieces.slope), mean(whole.pieces.per_cool_k))
    return replace(
        whole, home=_slower(whole.home, times), series=series, pieces=pieces, per_charge=mean(whole.per_charge),
        most_kw=mean(whole.most_kw), least_kw=mean(whole.least_kw), prices=_prices(whole.prices, times),
        hours=whole.hours * times, car=None if whole.car is None else _car(whole.car, times),
    )  # fmt: skip


def _slower(home: Home, times: int) -> Home:
    """The home's response to a step so many times as long in which nothing from outside changes."""

    def matrix(kind: str, rows: tuple[str, ...], columns: tuple[str, ...]) -> Floats:
        return np.array([[getattr(home, f"{kind}_{row}{column}") for column in columns] for row in rows])

    one, into = matrix("end", NODES, NODES), matrix("end", NODES, INPUTS)
    seen, seen_into = matrix("mean", NODES, NODES), matrix("mean", NODES, INPUTS)
    power, summed, mean_state, mean_into = np.eye(2), np.zeros((2, 2)), np.zeros((2, 2)), np.zeros((2, 3))
    for _ in range(times):
        mean_state, mean_into = mean_state + seen @ power / times, mean_into + (seen @ summed @ into) / times
        power, summed = one @ power, np.eye(2) + one @ summed
    found = {"end": (power, summed @ into), "mean": (mean_state, seen_into + mean_into)}
    changes = {
        f"{kind}_{row}{column}": float(values[i, j])
        for kind, both in found.items()
        for values, columns in zip(both, (NODES, INPUTS), strict=True)
        for i, row in enumerate(NODES)
        for j, column in enumerate(columns)
    }
    return home._replace(**changes, cylinder_decay=1.0 - (1.0 - home.cylinder_decay) ** times)


def _prices(prices: LeastPrices, times: int) -> LeastPrices:
    def parts(values: np.ndarray) -> np.ndarray:
        return values.reshape(-1, times)

    peaks = []
    for peak in prices.peaks:
        counted, month = np.any(parts(peak.interval) >= 0, axis=1), parts(peak.month)[:, 0]
        interval = np.where(counted, np.arange(len(month)), -1)
        peaks.append(PeakTerm(interval, np.ones(len(month)), month, parts(peak.per_kw).sum(axis=1), peak.floor_kw))
    tiers = tuple(TierTerm(parts(tier.segment)[:, 0], tier.width_kwh, tier.per_kwh) for tier in prices.tiers)
    bought, sold = (parts(values).mean(axis=1) for values in (prices.import_per_kwh, prices.export_per_kwh))
    return LeastPrices(bought, sold, tuple(peaks), tiers, prices.notes)


def _car(car: CarNeed, times: int) -> CarNeed:
    most, taken = (values.reshape(-1, times) for values in (car.most_kw, car.taken_kwh))
    return CarNeed(most.mean(axis=1), taken.sum(axis=1), car.held_kwh[::times])
