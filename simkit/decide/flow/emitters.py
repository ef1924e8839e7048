"""A case whose rooms have candidates in; the cheapest set of emitters for each design flow, and what it saves, out.

A flow is reached when no room needs more than it, so that the cheapest set takes for each room, by itself, the cheapest
choice that needs no more. Flows at which any choice changes are the only ones that need looking at.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import ceil

import numpy as np
import pandas as pd

from simkit.answered import Answered
from simkit.arrays import Floats
from simkit.assemble.heat_loss import loss_w_per_k
from simkit.assemble.rooms import EXPONENT, RATED, design_flow_c, highest_flow_c, room_set
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.errors import CaseError, Fault
from simkit.kernel.room_pass import room_flows_c
from simkit.physics.constants import RATED_EXCESS_K
from simkit.uncertainty.ranges import Range
from simkit.year.simulate import simulate
from simkit.year.year import Year

PRICE_SD = 0.12  # own: quotes for the same radiator, fitted, differ by about so much
LEAST_SAVED_K = 0.5  # own: a step that brings the flow down by less is not worth a step of its own
NEVER_YEARS = float("inf")
LIFE_YEARS = 15.0  # own: a short life for a radiator, a long time for a household to wait


@dataclass(frozen=True)
class Choice:
    """What stands in a room: its own emitter (`candidate` None, at no price) or a candidate.

    Attributes
    ----------
    flow_needed_c
        Flow that the room then needs on the design day [°C].
    """

    room: str
    candidate: str | None
    rated_kw: float
    exponent: float
    price: float
    flow_needed_c: float


def choices_by_room(case: Case, loss_w_per_k_: float) -> tuple[tuple[Choice, ...], ...]:
    """Every choice of every room with the flow it needs on the design day, own emitters first."""
    rooms = room_set(case, loss_w_per_k_)
    outdoor = np.array([rooms.design_outdoor_c])
    found = []
    for room, row in zip(case.room or (), rooms.table, strict=True):
        options: list[tuple[str | None, float, float, float]] = [(None, room.at_50_kw, room.bend, 0.0)]
        for c in room.candidate or ():
            options.append((c.name, c.at_50_kw(room.bend), room.bend if c.exponent is None else c.exponent, c.price))
        rows = np.tile(row, (len(options), 1))
        rows[:, RATED], rows[:, EXPONENT] = [o[1] for o in options], [o[2] for o in options]
        flows = room_flows_c(outdoor, rows, rooms.middle_c)[:, 0].tolist()
        found.append(tuple(Choice(room.name, *o, flow) for o, flow in zip(options, flows, strict=True)))
    return tuple(found)


def cheapest_set(choices: tuple[tuple[Choice, ...], ...], flow_c: float) -> tuple[Choice, ...] | None:
    """The cheapest choice of each room that needs no more than `flow_c`; None where a room has none.

    Of two at one price the one that needs the cooler water is taken.
    """
    found = []
    for room in choices:
        fits = [choice for choice in room if choice.flow_needed_c <= flow_c + 1e-9]
        if not fits:
            return None
        found.append(min(fits, key=lambda choice: (choice.price, choice.flow_needed_c)))
    return tuple(found)


def cheapest_sets(choices: tuple[tuple[Choice, ...], ...]) -> list[tuple[float, tuple[Choice, ...]]]:
    """Every cheapest set, hottest first, with the flow it needs [°C]."""
    flows = sorted({choice.flow_needed_c for room in choices for choice in room}, reverse=True)
    found: list[tuple[float, tuple[Choice, ...]]] = []
    for flow in flows:
        chosen = cheapest_set(choices, flow)
        if chosen is None:
            break
        needed = max(choice.flow_needed_c for choice in chosen)
        if not found or needed < found[-1][0] - 1e-9:
            found.append((needed, chosen))
    return found


@dataclass(frozen=True, eq=False, repr=False)
class Rung:
    """One step of the ladder: a set of emitters with its simulated year."""

    flow_c: float
    chosen: tuple[Choice, ...]
    year: Year

    @property
    def changed(self) -> tuple[str, ...]:
        """Rooms whose emitter is replaced, with what replaces it."""
        return tuple(f"{c.room}: {c.candidate}" for c in self.chosen if c.candidate is not None)

    @property
    def price(self) -> float:
        """Price of the set, fitted [currency]."""
        return sum(choice.price for choice in self.chosen)


@dataclass(frozen=True, eq=False, repr=False)
class EmitterLadder(Answered):
    """Cheapest sets of emitters from the present flow downwards.

    Attributes
    ----------
    today
        The year as the case stands.
    rungs
        Sets, hottest first; the first is often the present emitters with the curve turned down, at no price.
    """

    today: Year
    rungs: tuple[Rung, ...]
    answered_by = "simkit.answers.rooms:ladder_answer"

    @cached_property
    def price_factors(self) -> Floats:
        """What each sample's prices of emitters are multiplied with, (samples,) [-]; drawn apart from all else."""
        rng = np.random.default_rng(self.today.case.uncertainty.seed)
        return np.exp(PRICE_SD * rng.standard_normal(self.today.case.uncertainty.lanes))

    def saving(self, rung: Rung) -> float:
        """What a rung saves a year against today [currency]."""
        return self.today.bill.total - rung.year.bill.total

    def saving_samples(self, rung: Rung) -> Floats:
        """The same in each sample, (samples,) [currency]: both years meet the same weather, prices and installation."""
        return self.today.samples.total - rung.year.samples.total

    def payback_samples(self, rung: Rung) -> Floats:
        """Years in which a rung's price is saved, by sample, (samples,) [a]; infinite where nothing is saved."""
        saved = self.saving_samples(rung)
        price = rung.price * self.price_factors
        years = np.full(len(saved), NEVER_YEARS if rung.price > 0 else 0.0)
        return np.divide(price, saved, out=years, where=saved > 0)

    def table(self, *, ranges: bool = True) -> pd.DataFrame:
        """One row by rung: flow, rooms, price, saving and payback with ranges, comfort, share of the whole saving."""
        whole = max((self.saving(rung) for rung in self.rungs), default=0.0)
        rows = []
        for rung in self.rungs:
            rooms = rung.year.rooms
            saving = self.saving(rung)
            row: dict[str, object] = {
                "design_flow_c": rung.flow_c, "rooms": len(rung.changed),
                "changed": "; ".join(rung.changed) or "curve only", "price": rung.price, "saving": saving,
            }  # fmt: skip
            if ranges:
                saved = Range.of(self.saving_samples(rung))
                low, middle, high = quantiles(self.payback_samples(rung))
                row |= {"saving_low": saved.low, "saving_high": saved.high}
                row |= {"payback_low": low, "payback": middle, "payback_high": high}
            row |= {
                "share_of_saving": saving / whole if whole > 0 else 0.0,
                "spf_h4": rung.year.spf.h4,
                "coldest_room_c": rooms.coldest_room_c,
                "short_k": float((rooms.table["needed_c"] - rooms.table["design_c"]).max()),
                "below_kh": rung.year.comfort.degree_hours_below,
                "limiting": rooms.limiting,
            }
            rows.append(row)
        return pd.DataFrame(rows)

    def best(self, *, life_years: float = LIFE_YEARS) -> Rung | None:
        """The rung that saves most once its price is spread over its life [a]; None where none is worth its price.

        Of those as comfortable as needed; where none is, of those that are no less comfortable than today.
        """
        held = [rung for rung in self.rungs if rung.year.comfort.held]
        among = held or [rung for rung in self.rungs if rung.year.comfort.no_worse_than(self.today.comfort)]
        worth = [(self.saving(rung) - rung.price / life_years, k) for k, rung in enumerate(among)]
        gain, place = max(worth, default=(0.0, 0))
        return among[place] if gain > 0.0 else None


def quantiles(samples: Floats) -> tuple[float, float, float]:
    """What ten, fifty and ninety of a hundred samples stay under; infinite samples count as the longest."""
    ordered = np.sort(samples)
    places = [round(q * (len(ordered) - 1)) for q in (0.1, 0.5, 0.9)]
    low, middle, high = (float(ordered[place]) for place in places)
    return low, middle, high


def emitter_ladder(case: Case, *, lowest_c: float = 30.0) -> EmitterLadder:
    """Climb down from the present flow by the cheapest sets of emitters.

    Parameters
    ----------
    case
        A home with rooms, some of which have candidates.
    lowest_c
        Flow below which no further set is looked at [°C].

    Returns
    -------
    EmitterLadder
        Every rung is a simulated year with the curve led through what its limiting room needs, to a tenth of a kelvin
        up: that is what is set on the controller, in every sample the same.

    Raises
    ------
    CaseError
        Where no room has a candidate.
    """
    if not any(room.candidate for room in case.room or ()):
        remedy = "Add candidate = [{ name = ..., rated_kw = ..., price = ... }] to a [[room]]"
        raise CaseError(Fault(f"{case.label}: [[room]]", "candidate", "is given for no room", remedy))
    loss = loss_w_per_k(case)
    present = design_flow_c(case, loss)
    rungs: list[Rung] = []
    for flow, chosen in cheapest_sets(choices_by_room(case, loss)):
        above = rungs[-1].flow_c if rungs else present + LEAST_SAVED_K
        free = not any(choice.price for choice in chosen)
        if (
            flow > highest_flow_c(case)
            or flow < lowest_c
            or (flow > above - LEAST_SAVED_K and not (free and not rungs))
        ):
            continue
        if free and flow > present - LEAST_SAVED_K:
            continue
        set_to = ceil(flow * 10.0 - 1e-6) / 10.0
        rungs.append(Rung(set_to, chosen, simulate(with_emitters(case, chosen, set_to))))
    return EmitterLadder(simulate(case), tuple(rungs))


def with_emitters(case: Case, chosen: tuple[Choice, ...], flow_c: float) -> Case:
    """The case with a set of emitters and its curve led through a design flow [°C]."""
    changes: dict[str, object] = {
        "controls.design_flow_c": flow_c, "controls.design_flow_from_rooms": False, "controls.slope": None,
        "controls.shift_k": None,
    }  # fmt: skip
    for place, choice in enumerate(chosen):
        if choice.candidate is not None:
            changes |= {f"room.{place}.rated_kw": choice.rated_kw, f"room.{place}.exponent": choice.exponent}
            changes |= {f"room.{place}.rated_at_k": RATED_EXCESS_K, f"room.{place}.emitter": None}
    return vary(case, changes)
