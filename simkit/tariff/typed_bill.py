"""A bill typed in by its owner as a table in, a validated `TypedBill` out, to be held against ours."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from typing import Any, Literal

from simkit.errors import Fault, raise_all
from simkit.schema.messages import checked
from simkit.schema.section import Section, number, said, text

LineKind = Literal["energy", "standing", "levy", "demand", "rebate", "tax", "export", "other"]
OFF_BY = 0.011  # own: quantity × price may miss the printed amount by a cent of rounding


class TypedLine(Section):
    """One line as it is printed on the bill."""

    label: str = text("What the bill calls it", example="Night units")
    kind: LineKind = said("What it is for", example="energy")
    quantity: float | None = number(-1_000_000, 1_000_000, "", "How many kWh, days or kW", example=613.0, absent=True)
    price: float | None = number(-100_000, 100_000, "", "Printed price of one", example=0.1864, absent=True)
    amount: float = number(
        -1_000_000, 1_000_000, "currency", "What it comes to, negative for what is taken off or earned", example=114.26
    )

    def clashes(self) -> Iterator[Fault]:
        """Yield an amount that is not quantity × price."""
        if self.quantity is None or self.price is None:
            return
        product = self.quantity * self.price
        if abs(product - self.amount) > OFF_BY + 0.00006 * abs(self.quantity):
            why = f"is not quantity × price, which gives {product:.2f}"
            yield Fault("", f"amount = {self.amount:g}", why, "Look at the three again; leave price out if it changed")


class TypedBill(Section):
    """A bill as it is printed, for a stretch of days inside one calendar year."""

    name: str = text("What to call it", example="Bill of spring")
    currency: str = text("Currency by its ISO 4217 code", example="EUR")
    first_date: dt.date = said("First day that is charged", example=dt.date(2025, 3, 1))
    last_date: dt.date = said("Last day that is charged", example=dt.date(2025, 5, 31))
    days: int | None = number(1, 366, "days", "Days that the bill counts, if it says so", example=92, absent=True)
    read: Literal["meter", "estimate"] | None = said(
        "Whether its last reading was read off the meter or estimated", example="estimate", absent=True
    )
    line: tuple[TypedLine, ...] = said(
        "Its lines", example=[{"label": "Night units", "kind": "energy", "amount": 114.26}], min_length=1
    )
    total: float = number(-1_000_000, 1_000_000, "currency", "What it asks for, before any balance", example=412.33)

    def clashes(self) -> Iterator[Fault]:
        """Yield dates in the wrong order or in two years."""
        if self.last_date < self.first_date:
            why = f"is before first_date = {self.first_date}"
            yield Fault("", f"last_date = {self.last_date}", why, "Swap the two, or mend the year")
        elif self.last_date.year != self.first_date.year:
            why = "lie in two calendar years, and one year is simulated at a time"
            yield Fault(
                "", f"{self.first_date} to {self.last_date}", why, "Type in the part of one year, or a bill inside it"
            )


def typed_bill(table: Mapping[str, Any], *, label: str = "bill") -> TypedBill:
    """Check a bill that was typed in as a table; `label` is what messages call it."""
    bill, faults = checked(TypedBill, table)
    raise_all([Fault(f"{label}: {f.where}" if f.where else label, f.given, f.allowed, f.remedy) for f in faults])
    assert bill is not None  # no fault, so there is one
    return bill
