"""Amounts by line and month in, a Bill out: rounded by one stated rule, so that its lines add up to its total exactly.

Rounding rule: each line of each month is rounded to the smallest unit of its currency (the cent; the whole yen), half
away from zero; a line's year is the sum of its months, and the total is the sum of the lines.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from html import escape
from typing import Literal

import numpy as np

from simkit.arrays import Floats, Ints
from simkit.errors import CaseError, Fault
from simkit.notation import PLAIN, Notation, currency_digits, in_notation

Kind = Literal["energy", "market", "tier", "levy", "demand", "standing", "rebate", "tax", "export", "fuel", "stove"]
ROUNDING = "Each line of each month is rounded to the smallest unit of the currency, half away from zero."
# An amount that is a tie in decimals is rarely one in binary: 2.675 is a little less. Within a millionth of a cent of
# the tie it counts as one; sums over a year of steps are good to far better than that.
TIE = 1e-6
PARTITIONS: tuple[Kind, ...] = (
    "energy",
    "tier",
    "market",
)  # lines that share out every kWh bought, the first that are there
QUARTERS = ("Jan to Mar", "Apr to Jun", "Jul to Sep", "Oct to Dec")


def rounded(amounts: Floats, currency: str) -> Ints:
    """Round amounts to whole cents, half away from zero.

    Parameters
    ----------
    amounts
        Amounts of any shape [currency], below 1e9 in size.
    currency
        ISO 4217 code, which says how small the smallest unit is.

    Returns
    -------
    ndarray of int
        Amounts in the smallest unit (cents), same shape.
    """
    scaled = np.asarray(amounts) * 10.0 ** currency_digits(currency)
    return np.asarray(np.copysign(np.floor(np.abs(scaled) + (0.5 + TIE)), scaled), dtype=np.int64)


def in_units(cents: Ints, currency: str) -> Floats:
    """Turn whole cents back into the currency, each the nearest float to its decimal amount."""
    return np.asarray(cents / 10.0 ** currency_digits(currency))


NO_QUANTITIES = np.zeros(12)  # of a line whose quantities follow with the load


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


@dataclass(frozen=True, eq=False)
class BillLine:
    """One line of a bill.

    Parameters
    ----------
    label
        What it is for.
    quantity, unit
        How much of what in the year.
    amount
        What it comes to in the year [currency]; negative for what is earned.
    months
        The same by month, (12,) [currency].
    kind
        "energy" (by band), "market" (by a file of prices), "tier", "levy", "demand", "standing", "rebate", "tax",
        "export", "fuel" or "stove" (what is burnt beside the heating).
    quantities
        The quantity by month, (12,) [unit].
    price
        Price of one unit with tax [currency/unit], the mean where each step has its own; 0 for the line of a tax.
    tax
        Tax on this line that stands in a line of its own [-].
    """

    label: str
    quantity: float
    unit: str
    amount: float
    months: Floats
    kind: Kind
    quantities: Floats
    price: float = 0.0
    tax: float = 0.0


@dataclass(frozen=True)
class BandUse:
    """How much of the year's bought energy fell into one band.

    Parameters
    ----------
    name
        The band, as on the bill.
    kwh
        Energy bought in it [kWh].
    share
        Its share of all energy bought, 0 to 1 [-].
    price_per_kwh
        Its price with tax [currency/kWh].
    """

    name: str
    kwh: float
    share: float
    price_per_kwh: float


@dataclass(frozen=True, eq=False, repr=False)
class Bill:
    """A year's bill, line by line, rounded as the module says.

    Parameters
    ----------
    currency
        ISO 4217 code.
    lines
        The lines, of which the total is the sum.
    months
        Sums of the lines by month, (12,) [currency].
    total
        Sum of the year [currency].
    notes
        Rules and assumptions that the reader should know.
    notation
        How its numbers are written where it is shown, such as ``case.notation``.
    """

    currency: str
    lines: tuple[BillLine, ...]
    months: Floats = field(default_factory=lambda: np.zeros(12))
    total: float = 0.0
    notes: tuple[str, ...] = ()
    notation: Notation = PLAIN

    @classmethod
    def of(cls, currency: str, lines: Iterable[BillLine], notes: Iterable[str] = ()) -> Bill:
        """Make a bill of lines, adding them up in whole cents; notes said twice are kept once."""
        lines = tuple(lines)
        cents = np.zeros(12, dtype=np.int64)
        for line in lines:
            cents += rounded(line.months, currency)
        months = in_units(cents, currency)
        total = float(in_units(cents.sum(), currency))
        return cls(currency, lines, months, total, tuple(dict.fromkeys(notes)))

    @property
    def quarters(self) -> Floats:
        """Sums by calendar quarter, (4,) [currency]."""
        return in_units(rounded(self.months, self.currency).reshape(4, 3).sum(axis=1), self.currency)

    @property
    def bands(self) -> tuple[BandUse, ...]:
        """Bought electricity by band; of a tariff without bands, by tier or as a whole."""
        for kind in PARTITIONS:
            energy = [line for line in self.lines if line.kind == kind]
            bought = sum(line.quantity for line in energy)
            if energy:
                return tuple(
                    BandUse(line.label, line.quantity, line.quantity / bought if bought else 0.0, line.price)
                    for line in energy
                )
        return ()

    @property
    def fixed_amount(self) -> float:
        """What is due by day, month and peak, with its tax, whatever is used when [currency]."""
        return sum(
            line.amount * (1.0 + line.tax)
            for line in self.lines
            if line.kind in ("standing", "demand")
            or (line.kind in ("levy", "rebate") and not _goes_with_energy(line, self.currency))
        )

    @property
    def mean_price_per_kwh(self) -> float:
        """Mean price of bought electricity, weighted by the load, with tax, without what is due by day or by kW.

        NaN where nothing was bought [currency/kWh].
        """
        bought = sum(band.kwh for band in self.bands)
        paid = sum(line.quantity * line.price for line in self.lines if _goes_with_energy(line, self.currency))
        return paid / bought if bought else float("nan")

    def __add__(self, other: Bill) -> Bill:
        """Join two bills of one currency, lines of both after each other."""
        if not isinstance(other, Bill):
            return NotImplemented
        if self.currency != other.currency:
            why = "can't be added up"
            given = f"a bill in {self.currency} and one in {other.currency}"
            raise CaseError(Fault("", given, why, "Give the tariff and the fuel in one currency"))
        return Bill.of(self.currency, self.lines + other.lines, self.notes + other.notes)

    def money(self, amount: float) -> str:
        """Word an amount with the digits of the currency: "1,234.50"."""
        return self.notation.number(amount, currency_digits(self.currency))

    def _row(self, line: BillLine) -> tuple[str, str]:
        return in_notation(line.label, self.notation), f"{self.notation.number(line.quantity, 1)} {line.unit}"

    def __repr__(self) -> str:
        shown = [(*self._row(line), self.money(line.amount)) for line in self.lines]
        wide = max([len(label) for label, *_ in shown] + [len("Total")])
        rows = [f"{'':{wide}}  {'quantity':>20}  {self.currency:>12}"]
        rows += [f"{label:{wide}}  {quantity:>20}  {amount:>12}" for label, quantity, amount in shown]
        rows.append(f"{'Total':{wide}}  {'':>20}  {self.money(self.total):>12}")
        rows.append(", ".join(f"{name} {self.money(x)}" for name, x in zip(QUARTERS, self.quarters, strict=True)))
        return "\n".join(rows + [in_notation(note, self.notation) for note in self.notes])

    def _repr_html_(self) -> str:
        head = "".join(f"<th scope='col'>{name}</th>" for name in ("", "Quantity", *QUARTERS, f"Year, {self.currency}"))
        body = []
        for line in self.lines:
            quarters = rounded(line.months, self.currency).reshape(4, 3).sum(axis=1)
            label, quantity = self._row(line)
            amounts = (*in_units(quarters, self.currency), line.amount)
            body.append(_html_row(label, [quantity, *(self.money(x) for x in amounts)]))
        body.append(_html_row("Total", ["", *(self.money(x) for x in (*self.quarters, self.total))]))
        notes = "".join(f"<p>{escape(in_notation(note, self.notation))}</p>" for note in self.notes)
        return f"<table><thead><tr>{head}</tr></thead><tbody>{''.join(body)}</tbody></table>{notes}"


def _goes_with_energy(line: BillLine, currency: str) -> bool:
    """Whether a line is due for each kWh: bands, prices of a file, tiers, levies by kWh, a share taken off those."""
    if line.kind in PARTITIONS:
        return True
    return (line.kind == "levy" and line.unit == "kWh") or (line.kind == "rebate" and line.unit == currency)


def _html_row(label: str, cells: Iterable[str]) -> str:
    tds = "".join(f"<td style='text-align:right'>{escape(cell)}</td>" for cell in cells)
    return f"<tr><th scope='row' style='text-align:left'>{escape(label)}</th>{tds}</tr>"
