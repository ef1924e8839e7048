"""A tariff laid on a year and its netting in; prices by step, peaks and tiers that no bill undercuts, out.

What a bill charges by kilowatt-hours of a step goes over as it is. The rest is replaced by what lies under it for every
course of import and export, convex, so that a linear programme can hold it:

- a charge on peaks by the peak itself, priced per billing month with what rolling means and dates make of it;
- tiers by a convex curve of each billing month's use, each tier at no more than any tier above it;
- netting over a group of steps by one price for both ways, between the group's highest export and lowest import price:
  p·max(x, 0) − e·max(−x, 0) ≥ λ·x for every net use x where e ≤ λ ≤ p. Tiers then count as the cheapest of them, and
  peaks as their floor, since both are charged on what netting leaves.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats, Ints
from simkit.billing.charges.netting import Netting
from simkit.billing.charges.on_axis import Charged, laid
from simkit.billing.charges.peaks import Peak
from simkit.billing.charges.tiers import Tiers
from simkit.clock import TimeAxis
from simkit.tariff.tariff import Tariff


@dataclass(frozen=True, eq=False)
class PeakTerm:
    """A charge on the highest mean import of each billing month.

    Attributes
    ----------
    interval, share
        Interval of each step, −1 where it doesn't count, and the step's share of its length, (steps,).
    month
        Billing month of each step, 0 to 11, (steps,).
    per_kw
        What a step of it carries of a kilowatt of its month's peak, (steps,) [currency/kW]: summed over the steps of a
        month, the whole price. A stretch of the year prices its own peak with the sum of its steps; since no stretch's
        peak is above its month's, that stays under the bill however the year is cut.
    floor_kw
        Peak that is charged in any case, and stands among what is fixed.
    """

    interval: Ints
    share: Floats
    month: Ints
    per_kw: Floats
    floor_kw: float


@dataclass(frozen=True, eq=False)
class TierTerm:
    """Tiers of use by billing month, each more expensive than the one before.

    Attributes
    ----------
    segment
        Billing month, with its terms, of each step, (steps,).
    width_kwh, per_kwh
        Width of each tier in each segment, and its price, rising along the tiers, (tiers, segments).
    """

    segment: Ints
    width_kwh: Floats
    per_kwh: Floats


@dataclass(frozen=True, eq=False)
class LeastPrices:
    """What energy costs at least.

    Attributes
    ----------
    import_per_kwh, export_per_kwh
        By step, (steps,) [currency/kWh].
    peaks, tiers
        What a price by step doesn't hold.
    notes
        Where the bill may lie above, one sentence each.
    """

    import_per_kwh: Floats
    export_per_kwh: Floats
    peaks: tuple[PeakTerm, ...] = ()
    tiers: tuple[TierTerm, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def month(self) -> Ints | None:
        """Billing month of each step, where anything is charged by it, (steps,)."""
        if self.peaks:
            return self.peaks[0].month
        return self.tiers[0].segment if self.tiers else None

    @property
    def least_tier(self) -> Floats:
        """What the cheapest tier adds to the price of a step, (steps,) [currency/kWh]."""
        found = np.zeros(len(self.import_per_kwh))
        for tier in self.tiers:
            found = found + tier.per_kwh[0, tier.segment]
        return found

    def part(self, at: Ints) -> LeastPrices:
        """These steps of it."""
        peaks = tuple(
            PeakTerm(peak.interval[at], peak.share[at], peak.month[at], peak.per_kw[at], peak.floor_kw)
            for peak in self.peaks
        )
        tiers = tuple(TierTerm(tier.segment[at], tier.width_kwh, tier.per_kwh) for tier in self.tiers)
        return LeastPrices(self.import_per_kwh[at], self.export_per_kwh[at], peaks, tiers, self.notes)

    def cost(self, import_kw: Floats, export_kw: Floats, hours: float) -> float:
        """What a year of import and export costs at these prices, (steps,) each [currency]."""
        bought = import_kw * hours
        total = float(bought @ self.import_per_kwh - export_kw * hours @ self.export_per_kwh)
        for peak in self.peaks:
            count = int(peak.interval.max(initial=-1)) + 1
            inside = peak.interval >= 0
            mean = np.bincount(peak.interval[inside], (import_kw * peak.share)[inside], minlength=count)
            of = np.zeros(count, dtype=np.int64)
            of[peak.interval[inside]] = peak.month[inside]
            for month in range(12):
                highest = float(mean[of == month].max(initial=peak.floor_kw))
                total += (highest - peak.floor_kw) * float(peak.per_kw[peak.month == month].sum())
        for tier in self.tiers:
            left = np.bincount(tier.segment, bought, minlength=tier.width_kwh.shape[1])
            for width, price in zip(tier.width_kwh, tier.per_kwh, strict=True):
                taken = np.minimum(left, width)
                total, left = total + float(taken @ price), left - taken
        return total


def least_prices(
    tariff: Tariff, axis: TimeAxis, import_kw: Floats, export_kw: Floats, *, country: str | None = None
) -> LeastPrices:
    """Find prices that no bill of a year undercuts.

    Parameters
    ----------
    tariff, axis, country
        As for `simkit.billing.charge.charge`.
    import_kw, export_kw
        A year that is near the best one, (steps,) each [kW]: where netting leaves a choice of valid prices, it says
        which comes nearest. Any year keeps them valid.
    """
    terms = laid(tariff, axis, country)
    bought, sold, notes = terms.import_per_kwh, terms.export_per_kwh, []
    tiers: tuple[TierTerm, ...] = ()
    if terms.tiers is not None:
        term, last = _tiers(terms.tiers, axis.steps)
        bought = bought - last
        if terms.netting is None:
            tiers = (term,)
        else:
            bought = bought + term.per_kwh[0, term.segment]
            notes.append(
                "The lowest conceivable cost takes the cheapest tier: tiers are charged on what netting leaves."
            )
        if (np.diff(_lines(terms.tiers)[1], axis=0) < 0).any():
            notes.append(
                "The lowest conceivable cost takes tiers that get cheaper with use at the lower price at once."
            )
    peaks: tuple[PeakTerm, ...] = ()
    if terms.peaks and terms.netting is None:
        peaks = tuple(_peak(peak, axis) for peak in terms.peaks)
    elif terms.peaks:
        notes.append("The lowest conceivable cost takes peak power at its floor: it is charged on what netting leaves.")
    if terms.netting is not None:
        bought, sold = _netted(terms.netting, bought, sold, import_kw, export_kw)
        notes.append(
            f"Netting by the {tariff.netting} counts in the lowest conceivable cost as one price for both ways in each "
            "period; the bill may lie above that where prices change inside a period."
        )
    return LeastPrices(bought, sold, peaks, tiers, tuple(notes))


def rounding_of(charged: Charged, lines: int, digits: int) -> float:
    """Most that rounding each of so many lines in each month takes off a year's bill, tax on rounded lines included."""
    taxes = [line.tax for line in charged.bought.lines]
    taxes += [line.line.tax for line in charged.peaks] + [line.tax for line in charged.fixed]
    taxes += [line.tax for line in charged.tiers.lines] if charged.tiers is not None else []
    return 0.5 * 10.0**-digits * 12 * lines * (1.0 + max(taxes, default=0.0))


def _peak(peak: Peak, axis: TimeAxis) -> PeakTerm:
    """Weight of each billing month's peak in the bill, spread over the month's steps."""
    length = np.diff(np.append(peak.starts, axis.steps))
    interval = np.repeat(np.arange(len(peak.starts)), length)
    month = np.asarray(peak.billing[interval])
    rolled = np.mean([np.roll(np.eye(12), back, axis=0) for back in range(peak.rolling)], axis=0)
    whole = peak.shares.sum(axis=0) @ rolled * peak.line.price * (1.0 + peak.line.tax)
    per_kw = whole[month] / np.bincount(month, minlength=12)[month]
    counted = np.where(peak.counts[interval], interval, -1)
    return PeakTerm(counted, axis.hours / peak.hours[interval], month, per_kw, peak.floor_kw)


def _lines(tiers: Tiers) -> tuple[Floats, Floats]:
    """Width and price with tax of the tiers of each segment, in their order, (tiers, segments) each.

    A segment with fewer tiers than others ends in tiers of no width at its last price.
    """
    count = tiers.low.shape[1]
    price = np.array([line.price * (1.0 + line.tax) for line in tiers.lines])
    width, per_kwh = np.zeros((len(price), count)), np.zeros((len(price), count))
    for s in range(count):
        there = np.flatnonzero(tiers.high[:, s] > tiers.low[:, s])
        order = there[np.argsort(tiers.low[there, s])]
        width[: len(order), s] = tiers.high[order, s] - tiers.low[order, s]
        if len(order):
            per_kwh[: len(order), s], per_kwh[len(order) :, s] = price[order], price[order[-1]]
        else:  # a version without tiers
            width[0, s] = np.inf
    return width, per_kwh


def _tiers(tiers: Tiers, steps: int) -> tuple[TierTerm, Floats]:
    """Convex tiers, and the price of the last one, which the price by step holds, (steps,)."""
    width, per_kwh = _lines(tiers)
    segment = np.repeat(tiers.segment, np.diff(np.append(tiers.starts, steps)))
    rising = np.minimum.accumulate(per_kwh[::-1], axis=0)[::-1]
    return TierTerm(segment, width, rising), per_kwh[-1][segment]


def _netted(
    netting: Netting, bought: Floats, sold: Floats, import_kw: Floats, export_kw: Floats
) -> tuple[Floats, Floats]:
    """One price for both ways in each group, from the side on which the given year lies.

    Where export earns more than import costs, setting off only adds to the bill: the group's lowest import and highest
    export price hold without it.
    """
    groups = int(netting.group.max()) + 1
    low, high = np.full(groups, np.inf), np.full(groups, -np.inf)
    np.minimum.at(low, netting.group, bought)
    np.maximum.at(high, netting.group, sold)
    used = np.bincount(netting.group, import_kw - export_kw, minlength=groups)
    one = np.where(used >= 0, low, high)
    plain = high > low
    return np.where(plain, low, one)[netting.group], np.where(plain, high, one)[netting.group]
