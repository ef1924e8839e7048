"""A tariff and a time axis in; everything of a bill and of a price signal that doesn't depend on the load, out.

What control sees and what is charged stand on the same shares of each step in each band, so that for a tariff without
tiers, demand charge and netting they agree. Laid tariffs are memoised: a slider and a search charge one tariff often.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from simkit.arrays import Floats, read_only
from simkit.billing.bill import Kind, Part
from simkit.billing.charges.energy_lines import KwhRows, Rows
from simkit.billing.charges.fixed import fixed_of
from simkit.billing.charges.granted import granted_shares
from simkit.billing.charges.hours import Span, share_of, span_of
from simkit.billing.charges.netting import Netting, netting_of
from simkit.billing.charges.peaks import Peak, peaks_of
from simkit.billing.charges.refusals import approximations, granted_note, require_end, require_one_price
from simkit.billing.charges.tiers import Tiers, tiers_of
from simkit.clock import TimeAxis
from simkit.kept.memory import memo
from simkit.readers.prices import prices_on, stamp_of
from simkit.tariff.tariff import Band, Export, Tariff

ENERGY: tuple[Kind, ...] = ("energy", "market")


@dataclass(frozen=True, eq=False)
class Charged:
    """One tariff laid on one time axis.

    Attributes
    ----------
    import_per_kwh, export_per_kwh
        What a kWh costs and earns in each step, tax included, (steps,) [currency/kWh].
    bought, sold
        Lines that go with bought and with sold energy; `sold` is None where export earns nothing.
    tiers, peaks, netting, fixed
        The other parts, where the tariff has them.
    split
        Number of steps in which the price changes.
    approximate
        Why the price that control sees is not quite what is charged, one phrase each.
    notes
        What was assumed.
    """

    import_per_kwh: Floats
    export_per_kwh: Floats
    bought: KwhRows
    sold: KwhRows | None
    tiers: Tiers | None
    peaks: tuple[Peak, ...]
    netting: Netting | None
    fixed: tuple[Part, ...]
    split: int
    approximate: tuple[str, ...]
    notes: tuple[str, ...]


class _Made(NamedTuple):
    """Versions of a tariff with their dates and the share of each step in them."""

    terms: Tariff
    span: Span
    share: Floats
    tax: float


def laid(tariff: Tariff, axis: TimeAxis, country: str | None = None, *, granted: bool = False) -> Charged:
    """Lay a tariff on a time axis (memoised until a file of prices changes).

    Parameters
    ----------
    tariff, axis
        The tariff and the time axis.
    country
        Country of the home, asked of tariffs that price public holidays.
    granted
        Whether the cheap half-hours that the supplier may choose are counted, as a scenario.
    """
    stamps = tuple(stamp_of(file) for file in tariff.files)
    return _laid(tariff, axis, country if tariff.holidays_as else None, granted, stamps)


@memo
def _laid(
    tariff: Tariff, axis: TimeAxis, country: str | None, granted: bool, _stamps: tuple[tuple[int, int], ...]
) -> Charged:
    versions = tariff.versions
    require_end(tariff, versions[-1], axis)
    spans = [span_of(terms, versions) for terms in versions]
    made = [
        _Made(terms, span, share_of(None, terms, axis, span=span), 0.0 if terms.prices_include_tax else terms.tax)
        for terms, span in zip(versions, spans, strict=True)
    ]
    rows = Rows(axis)
    notes: list[str] = []
    bands = _bands(made, rows, axis, country)
    for terms, _, share, tax in made:
        if terms.series is not None:
            read = prices_on(axis, terms.series, currency=terms.currency)
            rows.add(terms.series.name, "market", share, price=0.0, tax=tax, money=share * read.per_kwh)
            notes += read.notes
    price, split = _energy_price(made, bands, axis)
    given = np.zeros(axis.steps)
    if granted and tariff.granted:
        given = granted_shares(tariff.granted, axis)
        rows.scale(1.0 - given, ENERGY)
        rows.add("Granted half-hours", "energy", given, price=tariff.granted.price_per_kwh, tax=made[0].tax)
        price = price * (1.0 - given) + given * tariff.granted.price_per_kwh * (1.0 + made[0].tax)
    price = price + _by_kwh(made, rows, axis, price)
    sold, paid, told = _sold(made, axis, country)
    return Charged(
        read_only(price), read_only(paid), rows.made(), sold, tiers_of(versions, spans, axis),
        peaks_of(versions, spans, axis, country), netting_of(tariff, axis, [share for _, share in bands]),
        fixed_of(versions, spans, axis), split, approximations(tariff),
        tuple(dict.fromkeys((*notes, *told, *granted_note(tariff, granted)))),
    )  # fmt: skip


def _bands(made: Sequence[_Made], rows: Rows, axis: TimeAxis, country: str | None) -> list[tuple[Band, Floats]]:
    """Add the bands of all versions to the rows; each band with its share of each step."""
    found: list[tuple[Band, Floats]] = []
    covered, wanted = np.zeros(axis.steps), np.zeros(axis.steps)
    for terms, span, share, tax in made:
        for band in terms.band:
            mine = share_of(band, terms, axis, span=span, country=country)
            rows.add(band.name, "energy", mine, price=band.price_per_kwh, tax=tax)
            covered += mine
            found.append((band, mine))
        if terms.band:
            wanted += share
    require_one_price(made[0].terms, axis, covered - wanted)
    return found


def _energy_price(made: Sequence[_Made], bands: Sequence[tuple[Band, Floats]], axis: TimeAxis) -> tuple[Floats, int]:
    """Price of bands and files with tax, (steps,), and the number of steps in which a band's price changes."""
    price = np.zeros(axis.steps)
    numbers = iter(bands)
    for terms, _, share, tax in made:
        for _ in terms.band:
            band, mine = next(numbers)
            price += mine * (band.price_per_kwh * (1.0 + tax))
        if terms.series is not None:
            market = prices_on(axis, terms.series, currency=terms.currency).per_kwh
            price += share * market * (1.0 + tax)
    return price, _split(bands, axis)


def _split(bands: Sequence[tuple[Band, Floats]], axis: TimeAxis) -> int:
    """Number of steps in which the price of a band changes (two bands of one price make no change)."""
    cut = np.zeros(axis.steps, dtype=bool)
    for _, share in bands:
        cut |= share != np.round(share)
    steps = np.flatnonzero(cut)
    if not len(steps):
        return 0
    present = np.array([share[steps] > 0 for _, share in bands])
    prices = np.array([band.price_per_kwh for band, _ in bands])[:, None]
    highest = np.where(present, prices, -np.inf).max(axis=0)
    return int((highest > np.where(present, prices, np.inf).min(axis=0)).sum())


def _by_kwh(made: Sequence[_Made], rows: Rows, axis: TimeAxis, energy: Floats) -> Floats:
    """Add levies by kWh and rebates by share to the rows; what they and the dearest tier add to the price."""
    more = np.zeros(axis.steps)
    for terms, _, share, tax in made:
        for levy in terms.levy or ():
            if levy.per_kwh is not None:
                due = tax if levy.taxed else 0.0
                rows.add(levy.name, "levy", share, price=levy.per_kwh, tax=due)
                more = more + share * (levy.per_kwh * (1.0 + due))
        for rebate in terms.rebate or ():
            if rebate.share is not None:
                due = tax if rebate.taxed else 0.0
                before = share * energy / (1.0 + tax)
                rows.add(rebate.name, "rebate", before, price=-rebate.share, tax=due, unit=terms.currency)
                more = more - before * (rebate.share * (1.0 + due))
        for tier in (terms.tier or ())[-1:]:
            more = more + share * (tier.price_per_kwh * (1.0 + tax))
    return more


def _sold(made: Sequence[_Made], axis: TimeAxis, country: str | None) -> tuple[KwhRows | None, Floats, tuple[str, ...]]:
    """Lines of what export earns, its price in each step (steps,), and what was found in files."""
    rows, paid = Rows(axis), np.zeros(axis.steps)
    notes: tuple[str, ...] = ()
    if not any(part.terms.export for part in made):
        return None, paid, ()
    for terms, span, share, _ in made:
        export: Export | None = terms.export
        if export is None:
            continue
        for band in export.band or ():
            mine = share_of(band, terms, axis, span=span, country=country)
            rows.add(band.name, "export", mine, price=-band.price_per_kwh, tax=0.0)
            paid = paid + mine * band.price_per_kwh
        if export.price_per_kwh is not None:
            rows.add("Exported energy", "export", share, price=-export.price_per_kwh, tax=0.0)
            paid = paid + share * export.price_per_kwh
        if export.series is not None:
            read = prices_on(axis, export.series, currency=terms.currency)
            rows.add(export.series.name, "export", share, price=0.0, tax=0.0, money=-share * read.per_kwh)
            paid, notes = paid + share * read.per_kwh, (*notes, *read.notes)
    return rows.made(), paid, notes
