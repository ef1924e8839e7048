"""Two options with ledgers, and their years, in; the offers line by line, what is promised, and what to ask, out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from simkit.answered import Answered
from simkit.case.case import Case
from simkit.case.money.ledger import COSTS, SUPPORTS, Item
from simkit.errors import CaseError, Fault, perhaps
from simkit.notation import Notation
from simkit.year.simulate import simulate
from simkit.year.sizing import ENOUGH, LARGE
from simkit.year.year import Year

OVER = 0.05  # own: a promise further above the simulated figure is asked about
COOLER_K = 2.0  # own: design flows nearer to each other are one


class Line(NamedTuple):
    """One line of two ledgers: what each asks for it, signed; None where it is left out [currency]."""

    label: str
    kind: str
    cheap: float | None
    expensive: float | None


@dataclass(frozen=True, eq=False)
class Offer:
    """One offer, and the year that it comes to."""

    year: Year

    @property
    def name(self) -> str:
        """Name of the option."""
        return self.year.case.name

    @property
    def lines(self) -> tuple[Item, ...]:
        """Lines of its ledger that are part of the price, or support it."""
        ledger = self.year.case.ledger
        return tuple(line for line in (ledger.lines if ledger else ()) if line.kind in (*COSTS, *SUPPORTS))

    @property
    def net(self) -> float:
        """What it costs less what supports it [currency]."""
        return sum(signed(line) for line in self.lines)

    @property
    def promised(self) -> tuple[float, str] | None:
        """What is promised, and at which boundary; None where nothing is."""
        machine = self.year.case.heat_pump
        if (
            self.year.case.heat_source == "boiler"
            or machine is None
            or machine.promised_spf is None
            or machine.promised_boundary is None
        ):
            return None
        return machine.promised_spf, machine.promised_boundary

    @property
    def simulated(self) -> float | None:
        """The simulated year at the boundary of the promise, H4 where nothing is promised; None where not known."""
        found = getattr(self.year.spf, self.promised[1] if self.promised else "h4")
        return None if found is None else float(found)


def signed(line: Item) -> float:
    """A line as it counts in the price: what supports it is negative [currency]."""
    return -line.gross if line.kind in SUPPORTS else line.gross


@dataclass(frozen=True, eq=False, repr=False)
class Offers(Answered):
    """Two offers for one home, side by side.

    Attributes
    ----------
    cheap, expensive
        The one that costs less at once, supports taken off, and the other.
    """

    answered_by = "simkit.answers.money.offers:offers_answer"
    cheap: Offer
    expensive: Offer

    @property
    def both(self) -> tuple[Offer, Offer]:
        """The two, the cheaper first."""
        return self.cheap, self.expensive

    @property
    def lines(self) -> tuple[Line, ...]:
        """The ledgers line by line; lines of one label belong together, and the last ones left of a kind."""
        return tuple(_matched(self.cheap.lines, self.expensive.lines))

    def questions(self, notation: Notation) -> list[tuple[str, str]]:
        """Whom to ask what: name of the offer, and the question."""
        found = []
        for one, other in (self.both, self.both[::-1]):
            asked = [*self._left_out(one, notation), *_of_machine(one, notation), *_of_flow(one, other, notation)]
            asked += [*_of_promise(one, notation), *_of_terms(one), ROOM_BY_ROOM]
            found += [(one.name, question) for question in asked]
        return found

    def _left_out(self, one: Offer, notation: Notation) -> Iterator[str]:
        """What the other holds and this one does not."""
        for line in self.lines:
            mine, other = (line.cheap, line.expensive) if one is self.cheap else (line.expensive, line.cheap)
            if mine is None and other is not None:
                amount = notation.money(abs(other))
                if line.kind in SUPPORTS:
                    yield f"Does “{line.label}” ({amount} in the other offer) not apply to yours, and why?"
                else:
                    held = f"“{line.label}” ({amount} in the other offer)"
                    yield f"Is {held} in your price, or who does it, and for how much?"


ROOM_BY_ROOM = "Was the heat loss worked out room by room (EN 12831), and may I see it?"


def offers(case: Case, names: tuple[str, ...] = ()) -> Offers:
    """Set two offers side by side.

    Parameters
    ----------
    case
        A home with options that have ledgers.
    names
        Names of two options; none takes the cheapest and the most expensive of those that have a ledger, the first of
        the case where two cost the same. The baseline is no offer where two others have a ledger.

    Returns
    -------
    Offers
        The cheaper one first.

    Raises
    ------
    CaseError
        Where there are no two options with a ledger, or a name is not one of theirs.
    """
    cases = {option.name: option for _, _, option in case.options() if option.ledger is not None}
    chosen = [cases[name] for name in names if name in cases]
    if missing := [name for name in names if name not in cases]:
        remedy = perhaps(missing[0], cases, f"Options with a ledger: {', '.join(cases) or 'none'}")
        raise CaseError(Fault(case.label, f'offer "{missing[0]}"', "is no option that has a ledger", remedy))
    if not names:
        others = [one for name, one in cases.items() if name != case.baseline]
        chosen = others if len(others) > 1 else list(cases.values())
    if len(chosen) < 2 or len(names) not in (0, 2) or len(set(names)) < len(names):
        remedy = "Name two different options, each with a [option.ledger] of its own"
        count = ("no offer", "one offer")[len(chosen)] if len(chosen) < 2 else f"{len(chosen)} offers"
        raise CaseError(Fault(case.label, count, "can't be set side by side", remedy))
    ordered = sorted((Offer(simulate(one)) for one in chosen), key=lambda one: one.net)
    return Offers(ordered[0], ordered[-1])


def _matched(cheap: tuple[Item, ...], expensive: tuple[Item, ...]) -> Iterator[Line]:
    """Lines that belong together, those of the cheaper offer first."""
    left = {line.label: line for line in expensive}
    alone = []
    for line in cheap:
        other = left.pop(line.label, None)
        if other is not None:
            yield Line(line.label, line.kind, signed(line), signed(other))
        else:
            alone.append(line)
    for line in alone:
        alike = [one for one in left.values() if one.kind == line.kind]
        only = len(alike) == 1 and sum(one.kind == line.kind for one in alone) == 1
        if only:
            left.pop(alike[0].label)
        label = f"{line.label} / {alike[0].label}" if only else line.label
        yield Line(label, line.kind, signed(line), signed(alike[0]) if only else None)
    yield from (Line(line.label, line.kind, None, signed(line)) for line in left.values())


def _of_machine(one: Offer, notation: Notation) -> Iterator[str]:
    """A machine that is too small, or far too large."""
    if one.year.design_kw is None:
        return
    load, made = one.year.design_kw
    held = f"{notation.number(made, 1)} kW of the {notation.number(load, 1)} kW needed on the design day"
    if made < ENOUGH * load:
        yield f"The machine makes {held}: what heats then, and what does that cost?"
    elif made > LARGE * load:
        yield f"The machine makes {held}: what is its least output, and would a smaller one do?"


def _of_flow(one: Offer, other: Offer, notation: Notation) -> Iterator[str]:
    """A design flow hotter than the other's."""
    mine, its = (offer.year.case.controls.design_flow_c for offer in (one, other))
    if one.year.case.heat_source == "boiler" or other.year.case.heat_source == "boiler":
        return
    if mine is not None and its is not None and mine - its >= COOLER_K:
        flows = f"{notation.number(mine)} °C on the coldest day, and the other offer {notation.number(its)} °C"
        yield f"You send water of {flows}: which rooms need it so hot, and what would larger emitters there cost?"


def _of_promise(one: Offer, notation: Notation) -> Iterator[str]:
    """A promise that is missing, at another flow, or above what the year comes to."""
    machine = one.year.case.heat_pump
    if machine is None or one.year.case.heat_source == "boiler":
        return
    if one.promised is None:
        yield "Which SPF do you promise, at which boundary and flow temperature, and what follows if it is missed?"
        return
    spf, boundary = one.promised
    flow, promised_for = one.year.case.controls.design_flow_c, machine.promised_flow_c
    stated = f"An SPF of {notation.number(spf, 2)} ({boundary.upper()})"
    if promised_for is None:
        yield f"{stated} is promised without a flow temperature: for which one?"
    elif flow is not None and flow - promised_for >= COOLER_K:
        flows = f"{notation.number(promised_for)} °C, and the offer sends {notation.number(flow)} °C on the coldest day"
        yield f"{stated} is promised for {flows}: what is it there?"
    if one.simulated is None:
        yield "Which share of its electricity does the fan take? Without it the promise can't be compared."
    elif spf > (1.0 + OVER) * one.simulated:
        made = notation.number(one.simulated, 2)
        yield f"{stated} is promised, and the simulated year comes to {made}: on what does it rest?"


def _of_terms(one: Offer) -> Iterator[str]:
    """Terms that the offer doesn't state."""
    ledger = one.year.case.ledger
    if ledger is not None and ledger.valid_until is None:
        yield "Until when does the offer hold?"
    if ledger is not None and ledger.walking_away is None:
        yield "What does it cost to cancel once it is ordered, and does the deposit come back?"
