"""A tariff, a year of energies and two dates in; the bill of that stretch of days out, each line rounded once.

A bill of a quarter is rounded line by line over its own days, not month by month as a year is.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

import numpy as np

from simkit.arrays import Floats
from simkit.billing.bill import BillLine, Part, in_units, rounded
from simkit.billing.charge import line_of, parts_of, taxes_on
from simkit.billing.charges.fixed import fixed_of
from simkit.billing.charges.hours import Span, billing_months, dates_within, span_of
from simkit.billing.charges.on_axis import Charged, laid
from simkit.billing.charges.peaks import peaks_of
from simkit.clock import TimeAxis
from simkit.errors import CaseError, Fault
from simkit.tariff.tariff import Tariff


@dataclass(frozen=True)
class PeriodBill:
    """The bill of a stretch of days.

    Attributes
    ----------
    currency
        ISO 4217 code.
    lines
        Its lines, of which the total is the sum.
    total
        Sum [currency].
    days
        Local civil days that are charged.
    notes
        What was assumed.
    """

    currency: str
    lines: tuple[BillLine, ...]
    total: float
    days: int
    notes: tuple[str, ...]


def charge_period(
    tariff: Tariff, axis: TimeAxis, import_kwh: Floats, export_kwh: Floats | None = None, *,
    first: dt.date, last: dt.date, country: str | None = None,
) -> PeriodBill:  # fmt: skip
    """Charge the days from `first` to `last`, both counted.

    Parameters
    ----------
    tariff, axis, import_kwh, export_kwh, country
        As for `charge`, energies of the whole year, (steps,) [kWh].
    first, last
        Local civil dates inside the year.

    Returns
    -------
    PeriodBill
        Lines rounded once each, half away from zero; tax on the rounded lines.
    """
    period: Span = (str(first), str(last))
    inside = dates_within(axis, period)
    if not inside.any() or last < first or first.year != axis.year or last.year != axis.year:
        why = f"is no stretch of days of {axis.year}, the year that was run"
        raise CaseError(Fault("", f"{first} to {last}", why, "Choose days of that year, or run another [site] year"))
    terms = _within(tariff, axis, country, period)
    mine = inside[axis.day]
    sold = None if export_kwh is None else export_kwh * mine
    parts = parts_of(tariff.currency, terms, import_kwh * mine, sold)
    whole = [_whole(part) for part in parts if part.kind != "tax"]
    lines = [line_of(part, tariff.currency) for part in (*whole, *taxes_on(whole, tariff.currency))]
    lines = [line for line in lines if line.quantity or line.amount]
    total = float(in_units(rounded(np.array([line.amount for line in lines]), tariff.currency).sum(), tariff.currency))
    return PeriodBill(tariff.currency, tuple(lines), total, int(inside.sum()), _notes(tariff, axis, inside))


def _within(tariff: Tariff, axis: TimeAxis, country: str | None, period: Span) -> Charged:
    """The laid tariff, with what goes by days counted inside the period only."""
    versions = tariff.versions
    whole = [span_of(terms, versions) for terms in versions]
    spans = [(max(filter(None, (a, period[0]))), min(filter(None, (b, period[1])))) for a, b in whole]
    return replace(
        laid(tariff, axis, country),
        fixed=fixed_of(versions, spans, axis),
        peaks=peaks_of(versions, spans, axis, country),
    )


def _whole(part: Part) -> Part:
    """A line over all its months at once, so that it is rounded once."""
    money = None if part.money is None else part.money.sum(keepdims=True)
    return replace(part, quantities=part.quantities.sum(keepdims=True), money=money)


def _notes(tariff: Tariff, axis: TimeAxis, inside: np.ndarray) -> tuple[str, ...]:
    """Say where the days cut a billing month whose use or peak as a whole decides."""
    if not any(terms.tier or terms.demand for terms in tariff.versions):
        return ()
    billing = billing_months(axis, tariff.billing_day)
    cut = [month for month in range(12) if 0 < inside[billing == month].mean() < 1]
    if not cut:
        return ()
    months = "billing month" if len(cut) == 1 else "billing months"
    return (
        f'The days cut {len(cut)} {months} of tariff "{tariff.name}": tiers are taken on the part that is charged, '
        "peaks on the whole month.",
    )
