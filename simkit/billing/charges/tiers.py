"""Tiers of a tariff's versions and a time axis in; energy by tier and month, for one home or many, out.

The use of a whole billing month decides how much of it falls into each tier. Where the terms change inside a billing
month, each part of it has its thresholds cut to its share of the days. A billing month that lies in two calendar months
has its tiers shared out over them by use. The billing month over the turn of the year is joined from its two ends, as
if the years were alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats, Ints
from simkit.billing.bill import NO_QUANTITIES, Part
from simkit.billing.charges.hours import Span, billing_months, dates_within, runs
from simkit.clock import TimeAxis
from simkit.notation import at_price
from simkit.tariff.tariff import Tariff


@dataclass(frozen=True, eq=False)
class Tiers:
    """Tiers laid on a time axis.

    Attributes
    ----------
    lines
        The lines of the bill.
    starts
        First step of each part of the year with one version, billing month and calendar month, (parts,).
    month, segment
        Calendar month, 0 to 11, and segment (version and billing month) of each part, (parts,).
    low, high
        Bounds of each line in each segment, equal where it has none there, (lines, segments) [kWh].
    """

    lines: tuple[Part, ...]
    starts: Ints
    month: Ints
    segment: Ints
    low: Floats
    high: Floats

    def month_kwh(self, kwh: Floats) -> Floats:
        """Energy by line and month: (steps,) gives (lines, 12), (steps, lanes) gives (lines, 12, lanes) [kWh]."""
        lanes = kwh[:, None] if kwh.ndim == 1 else kwh
        parts = np.add.reduceat(lanes, self.starts, axis=0)
        whole = _gathered(parts, self.segment, self.low.shape[1])
        each = whole[self.segment]
        share = np.divide(parts, each, out=np.zeros_like(parts), where=each > 0)
        low, high = self.low[:, :, None], self.high[:, :, None]
        tiers = np.maximum(np.minimum(whole, high) - low, 0.0)
        found = np.zeros((len(self.lines), 12, lanes.shape[1]))
        for number in range(len(self.lines)):
            found[number] = _gathered(tiers[number][self.segment] * share, self.month, 12)
        return found[:, :, 0] if kwh.ndim == 1 else found


def tiers_of(versions: Sequence[Tariff], spans: Sequence[Span], axis: TimeAxis) -> Tiers | None:
    """Lay the tiers of a tariff's versions on a time axis; None where no version has any."""
    if not any(version.tier for version in versions):
        return None
    billing = billing_months(axis, versions[0].billing_day)
    holds = np.array([dates_within(axis, span) for span in spans])
    version = np.argmax(holds, axis=0)
    keys, segment = np.unique(version * 12 + billing, return_inverse=True)
    share = np.bincount(segment) / np.bincount(billing, minlength=12)[keys % 12]
    day, month = axis.day, axis.month - 1
    starts = runs(segment[day], month)
    bounds: dict[tuple[str, float, float], tuple[Floats, Floats]] = {}
    for number, terms in enumerate(versions):
        mine = keys // 12 == number
        tax = 0.0 if terms.prices_include_tax else terms.tax
        below = 0.0
        for tier in terms.tier or ():
            line = (tier.name, tier.price_per_kwh, tax)
            low, high = bounds.setdefault(line, (np.zeros(len(keys)), np.zeros(len(keys))))
            end = np.inf if tier.up_to_kwh is None else tier.up_to_kwh
            low[mine], high[mine] = below * share[mine], end * share[mine]
            below = end
    names = [name for name, *_ in bounds]
    lines = tuple(
        Part(name if names.count(name) == 1 else at_price(name, price), "tier", "kWh", NO_QUANTITIES, price, due)
        for name, price, due in bounds
    )
    low, high = (np.array(side) for side in zip(*bounds.values(), strict=True))
    return Tiers(lines, starts, month[starts], segment[day][starts], low, high)


def _gathered(values: Floats, place: Ints, count: int) -> Floats:
    """Add rows up by their place: (parts, lanes) to (count, lanes)."""
    found = np.zeros((count, values.shape[1]))
    np.add.at(found, place, values)
    return found
