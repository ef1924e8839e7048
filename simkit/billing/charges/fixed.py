"""Versions of a tariff and a time axis in; what is due by days and months, whatever is used, out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from simkit.arrays import Floats
from simkit.billing.bill import Kind
from simkit.billing.charges.hours import Span, by_month, dates_within
from simkit.clock import TimeAxis
from simkit.tariff.tariff import Tariff


class Fixed(NamedTuple):
    """One line of a bill that doesn't go with energy.

    Attributes
    ----------
    label, kind, unit
        As on the bill.
    quantities
        Days, months or times in each month, (12,).
    price
        Price of one before the tax that is added, negative for what is taken off [currency/unit].
    tax
        Tax that is added to it [-].
    """

    label: str
    kind: Kind
    unit: str
    quantities: Floats
    price: float
    tax: float


def fixed_of(versions: Sequence[Tariff], spans: Sequence[Span], axis: TimeAxis) -> tuple[Fixed, ...]:
    """Lines by day and month of all versions; lines of one name, price and tax are one.

    Days are local civil dates: a day of 23 or 25 hours is one day.
    """
    found: dict[tuple[str, Kind, str, float, float], Floats] = {}
    for terms, span in zip(versions, spans, strict=True):
        for line in _of_version(terms, span, axis):
            key = (line.label, line.kind, line.unit, line.price, line.tax)
            found[key] = found.get(key, np.zeros(12)) + line.quantities
    labels = [label for label, *_ in found]
    return tuple(
        Fixed(label if labels.count(label) == 1 else f"{label} at {abs(price):g}", kind, unit, quantities, price, tax)
        for (label, kind, unit, price, tax), quantities in found.items()
    )


def _of_version(terms: Tariff, span: Span, axis: TimeAxis) -> Iterator[Fixed]:
    tax = 0.0 if terms.prices_include_tax else terms.tax
    inside = dates_within(axis, span)
    days = by_month(axis, inside)
    if terms.standing_per_day:
        yield Fixed("Standing charge", "standing", "days", days, terms.standing_per_day, tax)
    for levy in terms.levy or ():
        if levy.per_day is not None:
            yield Fixed(levy.name, "levy", "days", days, levy.per_day, tax if levy.taxed else 0.0)
    for rebate in terms.rebate or ():
        due = tax if rebate.taxed else 0.0
        if rebate.per_day is not None:
            yield Fixed(rebate.name, "rebate", "days", days, -rebate.per_day, due)
        if rebate.per_month is not None:
            whole = by_month(axis, np.ones(len(axis.dates), dtype=bool))
            yield Fixed(rebate.name, "rebate", "months", days / whole, -rebate.per_month, due)
        if rebate.once is not None:
            day = inside & (axis.dates == np.datetime64(str(rebate.date), "D"))
            if day.any():
                yield Fixed(rebate.name, "rebate", "once", by_month(axis, day), -rebate.once, due)
