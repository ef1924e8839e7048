"""What the user says of single rooms in, validated `Room` tables out: their loss, their warmth, what heats them.

Rooms are optional. Where a case has them, the emitters of the house are those of its rooms, and the room that needs the
hottest water limits the house. A room may have several emitters; what could replace them replaces them all.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Literal

from simkit.case.shipped import default_table
from simkit.errors import Fault
from simkit.physics.constants import RATED_EXCESS_K
from simkit.physics.emitters import exponent_between, relative_output
from simkit.schema.section import Section, Way, doubled, number, said, text

COOL_EXCESS_K = 20.0  # own: mean water of 40 °C, as on a mild day
EmitterKind = Literal["radiators", "underfloor", "fan convectors"]


class Emitter(Section):
    """One of several emitters of a room."""

    kind: EmitterKind = said("What it is", example="underfloor")
    rated_kw: float = number(0.05, 60, "kW", "Output at rated_at_k above the room", example=0.8)
    rated_at_k: float | None = number(
        5,
        75,
        "K",
        "Excess of the mean water over the room that rated_kw holds at: 50 by EN 442",
        example=50,
        absent=True,
    )
    exponent: float | None = number(
        1.0, 1.6, "", "Exponent of the output in the excess temperature; that of its kind when left out", example=1.1,
        absent=True,
    )  # fmt: skip

    @property
    def bend(self) -> float:
        """Exponent [-], stated or that of its kind."""
        return kind_bend(self.kind) if self.exponent is None else self.exponent

    def clashes(self) -> Iterator[Fault]:
        """Yield an output of which nobody knows at which water it holds."""
        yield from _unrated(self.rated_kw, self.rated_at_k)


class Candidate(Section):
    """Something that could take the place of all that heats a room."""

    name: str = text("What it is", example="double panel 600 × 1200")
    rated_kw: float = number(0.05, 60, "kW", "Output at rated_at_k above the room", example=1.9)
    rated_at_k: float | None = number(
        5,
        75,
        "K",
        "Excess of the mean water over the room that rated_kw holds at: 50 by EN 442",
        example=50,
        absent=True,
    )
    price: float = number(0, 1e6, "currency", "Price, fitted", example=420)
    exponent: float | None = number(
        1.0, 1.6, "", "Exponent of the output in the excess temperature; that of the room when left out", example=1.3,
        absent=True,
    )  # fmt: skip

    def clashes(self) -> Iterator[Fault]:
        """Yield an output of which nobody knows at which water it holds."""
        yield from _unrated(self.rated_kw, self.rated_at_k)

    def at_50_kw(self, room_bend: float) -> float:
        """Output at 50 K above the room [kW], the exponent of the room where it has none of its own."""
        return at_50_kw(self.rated_kw, self.rated_at_k, room_bend if self.exponent is None else self.exponent)


class Room(Section):
    """One room with its loss and its emitter."""

    merged_by_name: ClassVar[bool] = True
    choices: ClassVar[tuple[tuple[Way, ...], ...]] = (
        (Way("loss_kw"), Way("area_m2", needs=("loss_w_per_m2",))),
        (Way("rated_kw", takes=("rated_at_k", "exponent")), Way("emitter")),
    )

    name: str = text("What the room is called", example="bath")
    loss_kw: float | None = number(
        0.02, 60, "kW", "Heat loss of the room on the design day, at its needed temperature", example=0.9, absent=True
    )
    area_m2: float | None = number(0.5, 1000, "m²", "Floor area, for a loss by area", example=14, absent=True)
    loss_w_per_m2: float | None = number(
        5, 400, "W/m²", "Heat loss on the design day by floor area", example=55, absent=True
    )
    needed_c: float | None = number(
        10, 28, "°C", "Temperature needed in it; that of [comfort] when left out", example=21, absent=True
    )
    kind: EmitterKind = said("What heats it", example="radiators")
    rated_kw: float | None = number(0.05, 60, "kW", "Output at rated_at_k above the room", example=1.4, absent=True)
    rated_at_k: float | None = number(
        5,
        75,
        "K",
        "Excess of the mean water over the room that rated_kw holds at: 50 by EN 442",
        example=50,
        absent=True,
    )
    exponent: float | None = number(
        1.0, 1.6, "", "Exponent of the output in the excess temperature; that of its kind when left out", example=1.3,
        absent=True,
    )  # fmt: skip
    emitter: tuple[Emitter, ...] | None = said(
        "What heats it, where it has several, in place of rated_kw",
        example=[
            {"kind": "radiators", "rated_kw": 0.6, "rated_at_k": 50},
            {"kind": "underfloor", "rated_kw": 0.9, "rated_at_k": 50},
        ],
        absent=True,
    )
    exchange_w_per_k: float | None = number(
        0, 2000, "W/K", "Heat it exchanges with the rest of the home per kelvin, through inner walls and doors",
        example=15, absent=True,
    )  # fmt: skip
    candidate: tuple[Candidate, ...] | None = said(
        "What could take the place of its emitter", example=[{"name": "bigger", "rated_kw": 1.9, "price": 420}],
        absent=True,
    )  # fmt: skip

    @property
    def design_loss_kw(self) -> float:
        """Heat loss on the design day [kW], said outright or by floor area."""
        if self.loss_kw is not None:
            return self.loss_kw
        return float(self.area_m2 or 0.0) * float(self.loss_w_per_m2 or 0.0) / 1000.0

    @property
    def bend(self) -> float:
        """Exponent of what heats the room [-], stated or that of its kind; of several the one they have together.

        Of several it is the exponent that gives their sum at 50 K and at 20 K: in between, and down to 10 K, the sum of
        radiators and underfloor is met within 1 % (tested); weighted by their outputs it would be 2.5 % off at 10 K.
        """
        if self.emitter:
            return exponent_between(RATED_EXCESS_K, self.at_50_kw, COOL_EXCESS_K, self._output_kw(COOL_EXCESS_K))
        return kind_bend(self.kind) if self.exponent is None else self.exponent

    @property
    def at_50_kw(self) -> float:
        """Output at 50 K above the room [kW]."""
        return self._output_kw(RATED_EXCESS_K)

    def _output_kw(self, excess_k: float) -> float:
        """Output at an excess of the mean water over the room [kW]."""
        alone = (self.rated_kw or 0.0, self.rated_at_k, 1.0 if self.emitter else self.bend)
        each = [(e.rated_kw, e.rated_at_k, e.bend) for e in self.emitter] if self.emitter else [alone]
        return sum(at_50_kw(kw, at, bend) * relative_output(excess_k, bend) for kw, at, bend in each)

    def clashes(self) -> Iterator[Fault]:
        """Yield an output without its condition, and candidates that share a name."""
        if self.rated_kw is not None:
            yield from _unrated(self.rated_kw, self.rated_at_k)
        names = (candidate.name for candidate in self.candidate or ())
        yield from doubled(names, 'candidate "{}"', "Give every candidate a name of its own")


class RoomList(Section):
    """The rooms of a home."""

    room: tuple[Room, ...] = said("The rooms", example=[{"name": "bath"}], min_length=1)

    def clashes(self) -> Iterator[Fault]:
        """Yield rooms that share a name: options change a room by its name."""
        remedy = "Give every room a name of its own: options find rooms by it"
        yield from doubled((room.name for room in self.room), 'name = "{}"', remedy, "[[room]]")


def kind_bend(kind: EmitterKind) -> float:
    """Exponent of a kind of emitter [-]."""
    return float(default_table()["by_kind"]["emitters"][kind]["exponent"])


def _unrated(rated_kw: float, rated_at_k: float | None) -> Iterator[Fault]:
    """Yield an output without the excess it holds at: at 30 K a radiator gives half of what it gives at 50 K."""
    if rated_at_k is None:
        yield Fault(
            "",
            f"rated_kw = {rated_kw:g}",
            "has no rating condition, and a radiator gives twice as much at 50 K above the room as at 30 K",
            "Add rated_at_k = 50 for an output by EN 442 (75/65/20 °C), or the excess that its sheet names: "
            "30 for 55/45/20 °C",
        )


def at_50_kw(rated_kw: float, rated_at_k: float | None, bend: float) -> float:
    """Bring an output rated at another excess to the 50 K of EN 442 [kW]: × (50/excess)^exponent."""
    return rated_kw if rated_at_k is None else rated_kw / relative_output(rated_at_k, bend)
