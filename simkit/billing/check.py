"""A bill typed in and our own for the same days in; the difference, and what it comes from in words and money, out.

The difference is taken apart in the order in which a reader would look: do its lines add up; are its prices with or
without tax; how many days; how many kilowatt-hours, and was the meter read at all; do the bands fit a meter that is an
hour off; which prices differ. What none of that explains is left over, and said to be.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from simkit.arrays import Floats
from simkit.billing.bill import PARTITIONS
from simkit.billing.matching import Matched, Pair, matched
from simkit.billing.period import PeriodBill, charge_period
from simkit.clock import TimeAxis
from simkit.errors import CaseError, Fault
from simkit.notation import Notation, usual_locale
from simkit.tariff.tariff import Tariff
from simkit.tariff.typed_bill import TypedBill

CLOCK_MENDS = 0.8  # own: another clock is named where it takes away four fifths of what bands differ by
BANDS_ALIKE = 0.01  # own: bands that differ by less than 1 % of all energy are alike
CENT = 0.005
# cause of a difference in all kilowatt-hours, and what is said of it: of a reading that was taken, of an estimated one
ENERGY_WHY = (
    ("energy", ""),
    ("estimate", ": its reading was estimated, and the next one that is read will put it right"),
)


@dataclass(frozen=True)
class Cause:
    """One reason for the difference.

    Attributes
    ----------
    name
        "sum", "tax", "days", "standing", "clock", "bands", "estimate", "energy", "price", "line" or "left over".
    amount
        What it adds to the typed bill over ours [currency].
    words
        One sentence.
    """

    name: str
    amount: float
    words: str


@dataclass(frozen=True)
class BillCheck:
    """A typed bill held against ours.

    Attributes
    ----------
    typed, ours
        The two bills.
    difference
        Typed total less ours [currency].
    causes
        What it comes from, the largest first; amounts add up to the difference.
    notation
        How its numbers are written.
    """

    typed: TypedBill
    ours: PeriodBill
    difference: float
    causes: tuple[Cause, ...]
    notation: Notation

    @property
    def sentence(self) -> str:
        """The difference and its largest cause."""
        amount = self.notation.amount
        if abs(self.difference) <= CENT * (len(self.typed.line) + 1):
            return f"The bill matches: {amount(self.typed.total)} against {amount(self.ours.total)}."
        side = "more" if self.difference > 0 else "less"
        why = f" {self.causes[0].words}" if self.causes else ""
        return f"The bill asks for {amount(abs(self.difference))} {side} than the tariff gives.{why}"

    def __repr__(self) -> str:
        rows = [self.sentence]
        rows += [f"{self.notation.amount(cause.amount):>12}  {cause.words}" for cause in self.causes]
        return "\n".join(rows)


def check_bill(
    typed: TypedBill, tariff: Tariff, axis: TimeAxis, import_kwh: Floats, export_kwh: Floats | None = None, *,
    country: str | None = None, notation: Notation | None = None,
) -> BillCheck:  # fmt: skip
    """Hold a typed bill against the tariff on a load, and name the difference.

    Parameters
    ----------
    typed
        The bill as it is printed.
    tariff
        The tariff that should have been charged.
    axis
        Time axis of the load; its year holds the days of the bill.
    import_kwh, export_kwh
        The home's load, metered or simulated, (steps,) [kWh].
    country
        Country of the home, asked of tariffs that price public holidays.
    notation
        How numbers are written, such as ``case.notation``; left out, in English as the country uses it.

    Returns
    -------
    BillCheck
        Both bills, the difference and its causes, whose amounts add up to it.
    """
    if typed.currency != tariff.currency:
        why = f'is not the currency of the tariff, "{tariff.currency}"'
        remedy = "Take the tariff that the bill is for: prices are never converted"
        raise CaseError(Fault(typed.name, f'currency = "{typed.currency}"', why, remedy))
    notation = notation or Notation(usual_locale(country or ""), tariff.currency)
    first, last = typed.first_date, typed.last_date
    ours = charge_period(tariff, axis, import_kwh, export_kwh, first=first, last=last, country=country)
    found = matched(typed, ours, tariff)
    clocks = [
        (name, charge_period(other, axis, import_kwh, export_kwh, first=first, last=last, country=country))
        for name, other in _clocks(tariff)
    ]
    lines = sum(line.amount for line in typed.line)
    words = f"Its lines add up to {notation.amount(lines)}, and it asks for {notation.amount(typed.total)}."
    asked = (
        Cause("sum", typed.total - lines, words),
        *_pairs(typed, found, notation),
        *_energy(typed, found, clocks, notation),
        *_lines(found),
    )
    causes = [cause for cause in (*asked, *_tax(typed, tariff, found, notation)) if abs(cause.amount) > CENT]
    left = typed.total - ours.total - sum(cause.amount for cause in causes)
    if abs(left) > CENT * (len(typed.line) + 1):
        causes.append(Cause("left over", left, f"{notation.amount(left)} is left that none of this explains."))
    causes.sort(key=lambda cause: -abs(cause.amount))
    return BillCheck(typed, ours, round(typed.total - ours.total, 6), tuple(causes), notation)


def _clocks(tariff: Tariff) -> list[tuple[str, Tariff]]:
    """The tariff as meters with another clock would charge it."""
    late = tariff.meter_offset_minutes or 0
    other = "utc" if tariff.clock == "local" else "local"
    name = "never changes with the clock on the wall" if other == "utc" else "changes with the clock on the wall"
    found = [(f"a meter that {name}", tariff.model_copy(update={"clock": other}))]
    for shift, words in ((60, "an hour late"), (-60, "an hour early")):
        if abs(late + shift) <= 720:
            found.append((f"a meter that is {words}", tariff.model_copy(update={"meter_offset_minutes": late + shift})))
    return found


def _energy(
    typed: TypedBill, found: Matched, clocks: Sequence[tuple[str, PeriodBill]], notation: Notation
) -> Iterator[Cause]:
    """Kilowatt-hours: how many in all, and how they fall into bands."""
    bands = [pair for pair in found.pairs if pair.ours.kind in PARTITIONS]
    theirs, ours = (sum(getattr(pair, name) for pair in bands) for name in ("quantity", "our_quantity"))
    if not bands or theirs <= 0 or ours <= 0:
        return
    scale = theirs / ours
    with_energy = [pair for pair in found.pairs if pair.ours.unit == "kWh" and pair.ours.kind != "export"]
    more = sum((scale - 1.0) * pair.our_quantity * pair.our_price for pair in with_energy)
    name, why = ENERGY_WHY[typed.read == "estimate"]
    told = f"It charges {notation.number(theirs)} kWh, this load used {notation.number(ours)} kWh in those days{why}."
    yield Cause(name, more, told)
    clock, quantities = _fitting_clock(bands, clocks, theirs, scale)
    if clock:
        moved = sum((quantities[pair.ours.label] - scale * pair.our_quantity) * pair.our_price for pair in bands)
        yield Cause("clock", moved, f"Its bands fit {clock}: some hours are priced in another band.")
    split = sum((pair.quantity - quantities[pair.ours.label]) * pair.our_price for pair in bands)
    yield Cause("bands", split, "Its kilowatt-hours fall into the bands in another way than this load does.")


def _fitting_clock(
    bands: Sequence[Pair], clocks: Sequence[tuple[str, PeriodBill]], theirs: float, scale: float
) -> tuple[str, dict[str, float]]:
    """The clock by which ours would fall into bands as theirs do, if one mends most of it; and the energy by band."""
    as_is = {pair.ours.label: scale * pair.our_quantity for pair in bands}
    off = sum(abs(pair.quantity - as_is[pair.ours.label]) for pair in bands)
    if off < BANDS_ALIKE * theirs:
        return "", as_is
    best, name, quantities = (1.0 - CLOCK_MENDS) * off, "", as_is
    for words, bill in clocks:
        used = {line.label: line.quantity for line in bill.lines if line.kind in PARTITIONS}
        total = sum(used.get(pair.ours.label, 0.0) for pair in bands)
        each = {pair.ours.label: used.get(pair.ours.label, 0.0) * theirs / total if total else 0.0 for pair in bands}
        left = sum(abs(pair.quantity - each[pair.ours.label]) for pair in bands)
        if left < best:
            best, name, quantities = left, words, each
    return name, quantities


def _pairs(typed: TypedBill, found: Matched, notation: Notation) -> Iterator[Cause]:
    """What goes by days (standing charges and levies by day), and prices of one, all with tax."""
    for pair in found.pairs:
        more = (pair.quantity - pair.our_quantity) * pair.our_price
        by_price = pair.quantity * (pair.price - pair.our_price)
        if pair.ours.unit == "days":
            stretch = f"{notation.date(typed.first_date)} to {notation.date(typed.last_date)}"
            counted, ours = notation.brief(pair.quantity), notation.brief(pair.our_quantity)
            words = f"It counts {counted} days of {pair.theirs.label}; {stretch} are {ours}."
            yield Cause("days", more, words)
        elif pair.ours.kind not in PARTITIONS and pair.ours.unit != "kWh":
            by_price += more
        name = "standing" if pair.ours.kind == "standing" else "price"
        one, our = notation.money(pair.price, 4), notation.money(pair.our_price, 4)
        words = f"{pair.theirs.label}: {one} for one with tax, where the tariff gives {our}."
        yield Cause(name, by_price, words)


def _lines(found: Matched) -> Iterator[Cause]:
    """Lines that only one of the two bills has."""
    for line, amount in found.only_theirs:
        yield Cause("line", amount, f"{line.label} stands on the bill, and the tariff has no such line.")
    for ours, amount in found.only_ours:
        yield Cause("line", -amount, f"{ours.label} is in the tariff, and the bill has no such line.")


def _tax(typed: TypedBill, tariff: Tariff, found: Matched, notation: Notation) -> Iterator[Cause]:
    """The tax that is printed against what their lines ask for at our rate."""
    printed = sum(line.amount for line in typed.line if line.kind == "tax")
    rate, added = notation.brief_share(tariff.versions[-1].tax), notation.amount(printed)
    if not printed:
        words = f"No tax of {rate} is added to its prices, which are without."
    elif not found.tax:
        words = f"It adds {added} of tax, and its prices hold the tax of {rate} already."
    else:
        words = f"It adds {added} of tax, where {rate} of its lines would be {notation.amount(found.tax)}."
    yield Cause("tax", printed - found.tax, words)
