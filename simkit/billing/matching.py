"""Lines of a typed bill and of ours in; which belong together, both with tax, out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from statistics import median

from simkit.billing.bill import BillLine
from simkit.billing.period import PeriodBill
from simkit.tariff.tariff import Tariff
from simkit.tariff.typed_bill import TypedBill, TypedLine

SAME_PRICE = 0.002  # own: prices nearer than 0.2 % are the same, printed with other digits
UNTAXED = ("export", "rebate", "other")  # lines of theirs without a counterpart that are taken as they are printed
GROUPS = {
    "energy": ("energy", "market", "tier"), "standing": ("standing",), "levy": ("levy",), "demand": ("demand",),
    "rebate": ("rebate",), "export": ("export",), "other": (),
}  # fmt: skip


@dataclass(frozen=True)
class Pair:
    """One line of the typed bill and the one of ours that it belongs to; prices with tax.

    Attributes
    ----------
    theirs, ours
        The two lines.
    quantity, our_quantity
        How much, theirs as printed or as it follows from amount and price.
    price, our_price
        Price of one with tax [currency].
    """

    theirs: TypedLine
    ours: BillLine
    quantity: float
    our_quantity: float
    price: float
    our_price: float


@dataclass(frozen=True)
class Matched:
    """Every line of both bills in its place.

    Attributes
    ----------
    pairs
        Lines that belong together.
    only_theirs, only_ours
        Lines without a counterpart, tax lines left out; amounts with tax [currency].
    tax_told
        What their prices are against ours: "", "with tax" or "without tax".
    tax
        Tax that their lines ask for by our rate [currency]; 0 where it is in their prices.
    """

    pairs: tuple[Pair, ...]
    only_theirs: tuple[tuple[TypedLine, float], ...]
    only_ours: tuple[tuple[BillLine, float], ...]
    tax_told: str
    tax: float


def matched(typed: TypedBill, ours: PeriodBill, tariff: Tariff) -> Matched:
    """Find for each typed line the line of ours that it belongs to: one of its kind, by name and then by price."""
    couples: list[tuple[TypedLine, BillLine]] = []
    free = [line for line in ours.lines if line.kind != "tax"]
    single: list[TypedLine] = []
    for line in typed.line:
        if line.kind == "tax":
            continue
        able = [other for other in free if other.kind in GROUPS[line.kind]]
        if not able:
            single.append(line)
            continue
        best = max(able, key=lambda other: _likeness(line, other))
        free.remove(best)
        couples.append((line, best))
    told = _tax_told(couples, tariff)
    pairs = tuple(_pair(line, other, typed, _on_top(other, told, tariff)) for line, other in couples)
    due = [line.amount * _on_top(other, told, tariff) for line, other in couples]
    rate = (
        0.0 if told == "with tax" or (tariff.versions[-1].prices_include_tax and not told) else tariff.versions[-1].tax
    )
    alone = [(line, line.amount * (0.0 if line.kind in UNTAXED else rate)) for line in single]
    return Matched(
        pairs,
        tuple((line, line.amount + tax) for line, tax in alone),
        tuple((line, line.amount * (1.0 + line.tax)) for line in free),
        told,
        sum(due) + sum(tax for _, tax in alone),
    )


def _likeness(theirs: TypedLine, ours: BillLine) -> float:
    """How well two lines fit by name, and by price where one is printed."""
    name = SequenceMatcher(None, theirs.label.lower(), ours.label.lower()).ratio()
    price = _price(theirs)
    near = 0.0 if price is None or not ours.price else 1.0 - min(abs(price * (1.0 + ours.tax) / ours.price - 1.0), 1.0)
    return name + 2.0 * near


def _price(line: TypedLine) -> float | None:
    """Price of one: printed, or as it follows from amount and quantity."""
    return line.price if line.price is not None or not line.quantity else line.amount / line.quantity


def _tax_told(couples: Sequence[tuple[TypedLine, BillLine]], tariff: Tariff) -> str:
    """Whether their prices are on another footing than ours: "with tax", "without tax", or alike: ""."""
    tax = tariff.versions[-1].tax
    ratios = []
    for theirs, ours in couples:
        price = _price(theirs)
        if price and ours.price and ours.kind in ("energy", "standing", "market", "tier"):
            ratios.append(price * (1.0 + ours.tax) / ours.price)
    if not ratios or not tax:
        return ""
    ratio = median(ratios)
    if tariff.versions[-1].prices_include_tax:
        return "without tax" if abs(ratio * (1.0 + tax) - 1.0) < SAME_PRICE else ""
    return "with tax" if abs(ratio / (1.0 + tax) - 1.0) < SAME_PRICE else ""


def _on_top(ours: BillLine, told: str, tariff: Tariff) -> float:
    """Tax that comes on top of the line of theirs that belongs to one of ours [-]."""
    if told == "with tax" or ours.kind == "export":
        return 0.0
    return tariff.versions[-1].tax if told == "without tax" else ours.tax


def _pair(line: TypedLine, other: BillLine, typed: TypedBill, on_top: float) -> Pair:
    """Put two lines beside each other, prices with tax; a quantity that isn't printed follows from what is."""
    our_price = other.amount / other.quantity * (1.0 + other.tax) if other.quantity else other.price
    quantity = line.quantity
    if quantity is None and other.kind == "standing" and typed.days is not None:
        quantity = float(typed.days)
    if quantity is None:
        quantity = line.amount / line.price if line.price else other.quantity
    price = line.amount / quantity if quantity else 0.0
    return Pair(line, other, quantity, other.quantity, price * (1.0 + on_top), our_price)
