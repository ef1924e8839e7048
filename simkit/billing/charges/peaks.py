"""Demand charges of a tariff's versions and a time axis in; the kilowatts that are charged by month out.

The peak of a billing month is the highest mean import over the charge's own interval. A month's peak is at least the
floor; what is charged is the mean of the last so many months' peaks, those before the year taken from its own end, as
if the years were alike. Where terms change inside a billing month each price holds for its share of the days.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from simkit.arrays import Bools, Floats, Ints
from simkit.billing.bill import NO_QUANTITIES, Part
from simkit.billing.charges.hours import Span, billing_months, dates_within, interval_starts, share_of
from simkit.clock import TimeAxis
from simkit.errors import CaseError, Fault
from simkit.tariff.tariff import Demand, Tariff


@dataclass(frozen=True, eq=False)
class Peak:
    """One demand charge laid on a time axis.

    Attributes
    ----------
    line
        The line of the bill.
    starts, hours
        First step of each interval and its length [h], (intervals,).
    counts
        Whether an interval counts, (intervals,).
    billing
        Billing month of each interval, 0 to 11, (intervals,).
    rolling, floor_kw
        Months that are averaged; least peak of a month [kW].
    shares
        Share of each billing month's days that lies in a calendar month and in these terms, (12 months, 12 billing).
    """

    line: Part
    starts: Ints
    hours: Floats
    counts: Bools
    billing: Ints
    rolling: int
    floor_kw: float
    shares: Floats

    def month_peaks_kw(self, kwh: Floats) -> Floats:
        """Peak of each billing month, floor included, (12,) or (12, lanes) [kW]."""
        lanes = kwh[:, None] if kwh.ndim == 1 else kwh
        power = np.add.reduceat(lanes, self.starts, axis=0)[self.counts] / self.hours[self.counts, None]
        peaks = np.full((12, lanes.shape[1]), self.floor_kw)
        billing = self.billing[self.counts]
        for month in range(12):
            mine = power[billing == month]
            if len(mine):
                peaks[month] = np.maximum(mine.max(axis=0), self.floor_kw)
        return peaks[:, 0] if kwh.ndim == 1 else peaks

    def month_kw(self, kwh: Floats) -> Floats:
        """Kilowatts charged in each calendar month, (12,) or (12, lanes) [kW]."""
        peaks = self.month_peaks_kw(kwh)
        rolled = np.mean([np.roll(peaks, back, axis=0) for back in range(self.rolling)], axis=0)
        return np.asarray(self.shares @ rolled)


def peaks_of(
    versions: Sequence[Tariff], spans: Sequence[Span], axis: TimeAxis, country: str | None
) -> tuple[Peak, ...]:
    """Lay the demand charges of a tariff's versions on a time axis."""
    billing = billing_months(axis, versions[0].billing_day)
    months = axis.dates.astype("datetime64[M]").astype(np.int64) % 12
    days = np.bincount(billing, minlength=12)
    found: list[Peak] = []
    for terms, span in zip(versions, spans, strict=True):
        if terms.demand is None:
            continue
        inside = dates_within(axis, span)
        shares = np.zeros((12, 12))
        np.add.at(shares, (months[inside], billing[inside]), 1.0)
        found.append(_peak(terms, terms.demand, axis, country, billing=billing, shares=shares / days))
    return tuple(found)


def _peak(terms: Tariff, demand: Demand, axis: TimeAxis, country: str | None, *, billing: Ints, shares: Floats) -> Peak:
    starts = interval_starts(axis, demand.interval_minutes, utc=terms.clock == "utc")
    if starts is None:
        remedy = f"Set step_minutes = {demand.interval_minutes}"
        why = f"can't be found on steps of {axis.step_minutes} minutes, which hide them"
        where = f'tariff "{terms.name}": [demand]'
        raise CaseError(Fault(where, f"peaks of {demand.interval_minutes} minutes", why, remedy))
    length = np.diff(np.append(starts, axis.steps))
    counts = np.ones(len(starts), dtype=bool)
    if demand.within is not None:
        share = share_of(demand.within, terms, axis, span=(None, None), country=country)
        counts = np.add.reduceat(share, starts) / length >= 0.5
    tax = 0.0 if terms.prices_include_tax else terms.tax
    line = Part(demand.name, "demand", "kW", NO_QUANTITIES, demand.price_per_month, tax)
    month = billing[axis.day[starts]]
    return Peak(
        line, starts, length * axis.hours, counts, month, demand.rolling_months or 1, demand.floor_kw or 0.0, shares
    )
