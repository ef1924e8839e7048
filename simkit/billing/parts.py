"""A laid tariff and energies by step in; the lines of a bill before they are rounded, for one home or for many, out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats, Ints
from simkit.billing.bill import BillLine, Kind, in_units, rounded
from simkit.billing.charges.energy_lines import Following, KwhRows
from simkit.billing.charges.on_axis import Charged


@dataclass(frozen=True)
class Part:
    """One line before it is rounded: quantities by month, (12,) or (12, lanes), and the signed price of one.

    `money` stands for quantities × price where each step has a price of its own; `tax` is what is added to the line.
    """

    label: str
    kind: Kind
    unit: str
    quantities: Floats
    price: float
    tax: float = 0.0
    money: Floats | None = None

    @property
    def amounts(self) -> Floats:
        """What the line comes to in each month before rounding [currency]."""
        return self.quantities * self.price if self.money is None else self.money

    def cents(self, currency: str) -> Ints:
        """What the line comes to in each month, rounded [smallest unit of the currency]."""
        return rounded(self.amounts, currency)


def parts_of(
    currency: str, terms: Charged, import_kwh: Floats, export_kwh: Floats | None, following: Sequence[Following] = ()
) -> list[Part]:
    """Lines of an electricity bill, for one home or for many."""
    if terms.netting is not None and export_kwh is not None:
        import_kwh, export_kwh = terms.netting.left_over(import_kwh, export_kwh)
    parts = _by_kwh(terms.bought, terms.bought.month_sums(import_kwh, following))
    if terms.tiers is not None:
        for tier, kwh in zip(terms.tiers.lines, terms.tiers.month_kwh(import_kwh), strict=True):
            parts.append(Part(tier.label, "tier", "kWh", kwh, tier.price, tier.tax))
    parts.sort(key=lambda part: part.kind in ("levy", "rebate"))
    for peak in terms.peaks:
        parts.append(Part(peak.line.label, "demand", "kW", peak.month_kw(import_kwh), peak.line.price, peak.line.tax))
    for line in terms.fixed:
        quantities = each_lane(line.quantities, import_kwh)
        parts.append(Part(line.label, line.kind, line.unit, quantities, line.price, line.tax))
    parts += _taxes(parts, currency)
    if terms.sold is not None and export_kwh is not None:
        parts += _by_kwh(terms.sold, terms.sold.month_sums(export_kwh))
    return parts


def _by_kwh(rows: KwhRows, sums: Floats) -> list[Part]:
    """Lines that go with energy, from the sums of their rows."""
    return [
        Part(line.label, line.kind, line.unit, sums[line.row], line.price, line.tax,
              None if line.money_row < 0 else sums[line.money_row])
        for line in rows.lines
    ]  # fmt: skip


def _taxes(parts: Sequence[Part], currency: str) -> list[Part]:
    """A line for each tax that is added, taken on the rounded lines of its month."""
    found = []
    for tax in dict.fromkeys(part.tax for part in parts if part.tax):
        net = in_units(np.sum([part.cents(currency) for part in parts if part.tax == tax], axis=0), currency)
        found.append(Part(f"Tax at {tax * 100:g} %", "tax", currency, net, tax))
    return found


def line_of(part: Part, currency: str) -> BillLine:
    """Round a line of one home by month."""
    cents = part.cents(currency)
    quantity = float(part.quantities.sum())
    price = 0.0 if part.kind == "tax" else part.price
    if part.money is not None:
        price = float(part.money.sum()) / quantity if quantity else 0.0
    return BillLine(
        label=part.label,
        quantity=quantity,
        unit=part.unit,
        amount=float(in_units(cents.sum(), currency)),
        months=in_units(cents, currency),
        kind=part.kind,
        quantities=part.quantities,
        price=price * (1.0 + part.tax),
        tax=part.tax,
    )


def each_lane(months: Floats, kwh: Floats) -> Floats:
    """Repeat figures by month for each lane of `kwh`: (12,) stays or becomes (12, lanes)."""
    return months if kwh.ndim == 1 else np.broadcast_to(months[:, None], (12, kwh.shape[1]))
