"""What an option's offer holds in, a validated `Ledger` out: quote, grants, deposit, credit, what is spent anyway.

Amounts are positive; the kind of a line says whether it costs, supports, or only moves the day of payment.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from typing import ClassVar, Literal

from simkit.errors import Fault, perhaps
from simkit.schema.section import Section, Way, doubled, number, said, text

Kind = Literal[
    "quote", "enabling", "site_extra", "tax", "removal", "disconnection", "grant", "discount", "rebate", "cashback",
    "deposit", "would_have_spent",
]  # fmt: skip
COSTS = ("quote", "enabling", "site_extra", "tax", "removal", "disconnection")
SUPPORTS = ("grant", "discount", "rebate", "cashback")
KIND_WORDS: Mapping[str, str] = {
    "quote": "Quote", "enabling": "Enabling works", "site_extra": "Extra for this site", "tax": "Tax",
    "removal": "Removal of the old plant", "disconnection": "Disconnection fee", "grant": "Grant",
    "discount": "Discount", "rebate": "Rebate", "cashback": "Cashback", "deposit": "Deposit, part of the price",
    "would_have_spent": "Would have been spent anyway",
}  # fmt: skip
MONTHS_A_YEAR = 12


class Item(Section):
    """One line of a ledger."""

    choices: ClassVar[tuple[tuple[Way, ...], ...]] = ((Way("amount"), Way("share")),)

    label: str = text("What the line is for", example="outdoor unit, fitted")
    amount: float | None = number(
        0, 1e8, "currency", "Amount, always positive: its kind says which way it goes", example=9800, absent=True
    )
    share: float | None = number(
        0,
        1,
        "share",
        "In place of the amount: share of the line it is against, or of the price",
        example=0.1,
        absent=True,
    )
    date: dt.date = said("Day on which it is due", example=dt.date(2026, 3, 1))
    kind: Kind = said("What kind of line it is", example="quote")
    vat: float | None = number(
        0, 0.5, "share", "Tax to be added to the amount; left out where the amount holds it", example=0.09, absent=True
    )
    against: str | None = text(
        "Label of the line that a grant, discount, rebate or cashback is for",
        example="outdoor unit, fitted",
        absent=True,
    )
    life_years: float | None = number(0.5, 100, "years", "How long what was bought lasts", example=20, absent=True)
    replacement: float | None = number(
        0, 1e8, "currency", "Cost of replacing it at the end of its life, at today's prices", example=6000, absent=True
    )
    paid: bool = said("Whether it is spent already, whatever is decided now", example=False)
    refundable: bool | None = said("Whether a deposit comes back if the order is cancelled", example=True, absent=True)
    source: str | None = text("Where the amount comes from", example="written quote", absent=True)

    @property
    def gross(self) -> float:
        """Amount with its tax [currency]; 0 of a share, which `Ledger.lines` turns into an amount."""
        return (self.amount or 0.0) * (1.0 + (self.vat or 0.0))

    def clashes(self) -> Iterator[Fault]:
        """Yield keys that make no sense with the kind."""
        if self.share is not None and self.kind not in (*SUPPORTS, "deposit"):
            allowed = f'is a share of other lines, and kind is "{self.kind}"'
            yield Fault("", f"share = {self.share:g}", allowed, "Write amount, or mend the kind")
        if self.refundable is not None and self.kind != "deposit":
            allowed = f'belongs to a deposit, and kind is "{self.kind}"'
            yield Fault("", f"refundable = {str(self.refundable).lower()}", allowed, "Take it out, or mend the kind")
        if self.against is not None and self.kind not in SUPPORTS:
            allowed = f'belongs to a grant, a discount, a rebate or cashback, and kind is "{self.kind}"'
            yield Fault("", f'against = "{self.against}"', allowed, "Take it out, or mend the kind")
        if self.replacement is not None and self.life_years is None:
            allowed = "needs life_years, the age at which it falls due"
            yield Fault("", f"replacement = {self.replacement:g}", allowed, "Add a line such as: life_years = 20")


class Credit(Section):
    """Money borrowed for an option, repaid by the month."""

    choices: ClassVar[tuple[tuple[Way, ...], ...]] = ((Way("years"), Way("payment_per_month")),)

    amount: float = number(0.01, 1e8, "currency", "What is borrowed", example=6000)
    rate_per_year: float = number(
        0, 0.5, "share", "Interest a year, charged by the month as a twelfth of it", example=0.06
    )
    first_payment: dt.date = said("Day of the first payment", example=dt.date(2026, 4, 1))
    years: float | None = number(0.25, 40, "years", "How long it is repaid", example=5, absent=True)
    payment_per_month: float | None = number(0.01, 1e7, "currency", "What is repaid a month", example=120, absent=True)

    def clashes(self) -> Iterator[Fault]:
        """Yield a credit whose payments don't even cover its interest."""
        interest = self.amount * self.rate_per_year / MONTHS_A_YEAR
        if self.payment_per_month is not None and self.payment_per_month <= interest:
            yield Fault(
                "",
                f"payment_per_month = {self.payment_per_month:g}",
                f"never repays the credit: its interest alone is {interest:.2f} a month",
                f"Write more than {interest:.2f}, or give years instead",
            )


class Ledger(Section):
    """Everything that is paid, received or spared once because of an option."""

    item: tuple[Item, ...] = said("The lines", example=[{"label": "outdoor unit, fitted"}], min_length=1)
    credit: Credit | None = said("Money borrowed for it", example={"amount": 6000.0}, absent=True)
    valid_until: dt.date | None = said(
        "Last day on which the offer can be accepted", example=dt.date(2026, 2, 28), absent=True
    )
    cancelling: float | None = number(
        0, 1e8, "currency", "What cancelling costs once it is ordered", example=250, absent=True
    )

    @property
    def lines(self) -> tuple[Item, ...]:
        """The lines, each share of others as the amount that it comes to."""
        costs = {line.label: line.gross for line in self.item if line.kind in COSTS}

        def amount(line: Item) -> float:
            return (line.share or 0.0) * (sum(costs.values()) if line.against is None else costs.get(line.against, 0.0))

        return tuple(
            line if line.share is None else line.model_copy(update={"amount": amount(line), "vat": None})
            for line in self.item
        )

    def by_kind(self, *kinds: str) -> float:
        """Sum of the lines of some kinds, each with its tax [currency]."""
        return sum(line.gross for line in self.lines if line.kind in kinds)

    @property
    def price(self) -> float:
        """What everything costs before supports [currency]."""
        return self.by_kind(*COSTS)

    @property
    def supports(self) -> float:
        """Grants, discounts, rebates and cashback [currency]."""
        return self.by_kind(*SUPPORTS)

    @property
    def walking_away(self) -> float | None:
        """What is lost if it is ordered and then cancelled [currency]; None where the offer says nothing of it.

        The fee, and every deposit that isn't said to come back.
        """
        deposits = [line for line in self.lines if line.kind == "deposit"]
        if self.cancelling is None and all(line.refundable is None for line in deposits):
            return None
        return (self.cancelling or 0.0) + sum(line.gross for line in deposits if not line.refundable)

    def clashes(self) -> Iterator[Fault]:
        """Yield supports above what they are for, and deposits and credits above the price, or out of order in time."""
        yield from self._supports_above()
        yield from doubled((line.label for line in self.item), 'item "{}"', "Give every line a label of its own")
        net, dates = self.price - self.supports, [line.date for line in self.item if line.kind in COSTS]
        deposits = [line for line in self.lines if line.kind == "deposit"]
        if sum(line.gross for line in deposits) > max(net, 0.0) + 0.005:
            given = f"deposits of {sum(line.gross for line in deposits):g}"
            yield Fault("", given, f"are above the price of {net:g} that they are part of", "Write what was paid ahead")
        for line in deposits:
            if dates and line.date > max(dates):
                allowed = f"is after the last day on which anything is due, {max(dates)}"
                yield Fault("", f'"{line.label}": date = {line.date}', allowed, "A deposit comes first: mend the dates")
        if self.credit is not None:
            yield from self._credit_faults(self.credit, net, dates)

    def _supports_above(self) -> Iterator[Fault]:
        costs = {line.label: line.gross for line in self.item if line.kind in COSTS}
        taken: dict[str, float] = {}
        for line in self.lines:
            if line.against is None:
                continue
            if line.against not in costs:
                remedy = perhaps(line.against, costs, f"Lines that cost are: {', '.join(costs) or 'none'}")
                yield Fault("", f'"{line.label}": against = "{line.against}"', "is no line that costs", remedy)
                continue
            taken[line.against] = taken.get(line.against, 0.0) + line.gross
            if taken[line.against] > costs[line.against] + 0.005:
                yield Fault(
                    "",
                    f'"{line.label}": amount = {line.amount:g}',
                    f'brings the supports of "{line.against}" to {taken[line.against]:g}, above its '
                    f"{costs[line.against]:g}, and nobody is paid for more than it costs",
                    "Write what is really granted, or name the line it is for",
                )
        if not taken and self.supports > self.price + 0.005:
            allowed = f"are above everything that costs, {self.price:g}, and nobody is paid for more than it costs"
            yield Fault("", f"supports of {self.supports:g}", allowed, "Write what is really granted")

    @staticmethod
    def _credit_faults(credit: Credit, net: float, dates: list[dt.date]) -> Iterator[Fault]:
        if credit.amount > net + 0.005:
            given = f"credit: amount = {credit.amount:g}"
            yield Fault(
                "", given, f"is above the {net:g} that is left to pay", "Write what is borrowed for this option"
            )
        if dates and credit.first_payment < min(dates):
            given = f"credit: first_payment = {credit.first_payment}"
            yield Fault("", given, f"is before anything is bought, {min(dates)}", "Mend the dates: buying comes first")
