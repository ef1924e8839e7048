"""Versions of a tariff and a time axis in; what is due by days and months, whatever is used, out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from simkit.arrays import Floats
from simkit.billing.bill import Kind, Part
from simkit.billing.charges.hours import Span, by_month, dates_within
from simkit.clock import TimeAxis
from simkit.notation import at_price
from simkit.tariff.tariff import Tariff


def fixed_of(versions: Sequence[Tariff], spans: Sequence[Span], axis: TimeAxis) -> tuple[Part, ...]:
    """Lines by day and month of all versions, quantities (12,); lines of one name, price and tax are one.

    Days are local civil dates: a day of 23 or 25 hours is one day.
    """
    found: dict[tuple[str, Kind, str, float, float], Floats] = {}
    for terms, span in zip(versions, spans, strict=True):
        for line in _of_version(terms, span, axis):
            key = (line.label, line.kind, line.unit, line.price, line.tax)
            found[key] = found.get(key, np.zeros(12)) + line.quantities
    labels = [label for label, *_ in found]
    return tuple(
        Part(label if labels.count(label) == 1 else at_price(label, abs(price)), kind, unit, quantities, price, tax)
        for (label, kind, unit, price, tax), quantities in found.items()
    )


def _of_version(terms: Tariff, span: Span, axis: TimeAxis) -> Iterator[Part]:
    tax = 0.0 if terms.prices_include_tax else terms.tax
    inside = dates_within(axis, span)
    days = by_month(axis, inside)
    if terms.standing_per_day:
        yield Part("Standing charge", "standing", "days", days, terms.standing_per_day, tax)
    for levy in terms.levy or ():
        if levy.per_day is not None:
            yield Part(levy.name, "levy", "days", days, levy.per_day, tax if levy.taxed else 0.0)
    for rebate in terms.rebate or ():
        due = tax if rebate.taxed else 0.0
        if rebate.per_day is not None:
            yield Part(rebate.name, "rebate", "days", days, -rebate.per_day, due)
        if rebate.per_month is not None:
            whole = by_month(axis, np.ones(len(axis.dates), dtype=bool))
            yield Part(rebate.name, "rebate", "months", days / whole, -rebate.per_month, due)
        if rebate.once is not None:
            day = inside & (axis.dates == np.datetime64(str(rebate.date), "D"))
            if day.any():
                yield Part(rebate.name, "rebate", "once", by_month(axis, day), -rebate.once, due)
