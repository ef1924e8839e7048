"""A case's rooms and the loss of the house in; the rooms as numbers, the house's rating and its limiting flow out.

The rooms' losses are brought to the loss of the house, by one factor, so that both say the same: the house's loss is
stated or found from what was burnt, and a survey of single rooms is often a third away from it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from simkit.arrays import Floats
from simkit.case.case import Case
from simkit.case.home.rooms import Room
from simkit.errors import CaseError, Fault
from simkit.kept.memory import memo
from simkit.kernel.room_pass import room_flows_c
from simkit.physics.emitters import relative_output

NEEDED, LOSS, EXCHANGE, RATED, EXPONENT, PER_WATER = range(6)
EXCHANGE_SHARE = 0.5  # own: inner walls and doors pass half as much per kelvin as a usual room loses to the outside
SURVEY_OFF = 2.0  # own: rooms that say more than twice, or less than half, what the house burnt are wrong


@dataclass(frozen=True, eq=False)
class RoomSet:
    """The rooms of a house as numbers.

    Attributes
    ----------
    names
        Their names.
    table
        Shape (rooms, 6): needed [°C], loss and exchange [kW/K], rated [kW], exponent [-], per water [K/kW].
    design_outdoor_c, water_difference_k
        Of the design day [°C, K].
    scale
        Factor by which the stated losses were multiplied to add up to the loss of the house [-].
    """

    names: tuple[str, ...]
    table: Floats
    design_outdoor_c: float
    water_difference_k: float
    scale: float

    @property
    def middle_c(self) -> float:
        """Temperature of the middle of the home while every room is as warm as needed [°C]."""
        weights = self.table[:, EXCHANGE]
        return float(np.average(self.table[:, NEEDED], weights=weights if weights.sum() > 0 else None))

    @property
    def rated_kw(self) -> float:
        """Output of all emitters 50 K above their rooms [kW]."""
        return float(self.table[:, RATED].sum())

    def flows_c(self, outdoor_c: Floats) -> Floats:
        """Flow that each room needs, (rooms, n) [°C]."""
        return room_flows_c(np.atleast_1d(np.asarray(outdoor_c, dtype=np.float64)), self.table, self.middle_c)

    @property
    def design_flows_c(self) -> Floats:
        """Flow that each room needs on the design day, (rooms,) [°C]."""
        return self.flows_c(np.array([self.design_outdoor_c]))[:, 0]

    @property
    def design_flow_c(self) -> float:
        """Flow that the limiting room needs on the design day [°C]."""
        return float(self.design_flows_c.max())

    @property
    def limiting(self) -> str:
        """Name of the room that needs the hottest water on the design day."""
        return self.names[int(self.design_flows_c.argmax())]


def room_set(case: Case, loss_w_per_k: float) -> RoomSet:
    """The rooms of a case, their losses brought to the loss of the house [W/K]."""
    return _room_set(
        case.room or (), case.comfort.warmest_c, case.site.design_outdoor_c, case.emitters.water_difference_k,
        loss_w_per_k,
    )  # fmt: skip


@memo
def _room_set(
    rooms: tuple[Room, ...], warmest_c: float, outdoor_c: float, water_difference_k: float, loss_w_per_k: float
) -> RoomSet:
    needed = np.array([warmest_c if room.needed_c is None else room.needed_c for room in rooms])
    stated = np.array([room.design_loss_kw for room in rooms]) / (needed - outdoor_c)
    scale = loss_w_per_k / 1000.0 / float(stated.sum())
    loss = stated * scale
    exchange = np.array(
        [
            EXCHANGE_SHARE * u if room.exchange_w_per_k is None else room.exchange_w_per_k / 1000.0
            for room, u in zip(rooms, stated, strict=True)
        ]
    )
    per_water = water_difference_k / (loss * (needed - outdoor_c))
    rated, bend = np.array([room.at_50_kw for room in rooms]), np.array([room.bend for room in rooms])
    table = np.ascontiguousarray(np.column_stack([needed, loss, exchange, rated, bend, per_water]))
    return RoomSet(tuple(room.name for room in rooms), table, outdoor_c, water_difference_k, scale)


def rooms_bend(case: Case) -> float:
    """Exponent of all emitters together [-]: of the rooms, by rating; of [emitters] with a boiler or without rooms."""
    if not case.room or case.heat_source == "boiler":
        return case.emitters.exponent
    rated = np.array([room.at_50_kw for room in case.room])
    return float(np.average([room.bend for room in case.room], weights=rated))


def least_rating_kw(rooms: RoomSet, design_load_kw: float, design_room_c: float, bend: float) -> float:
    """Rating of a house whose least flow is that of the limiting room [kW].

    A controller that sends the least flow that will do must serve the limiting room; the house, taken as one room,
    needs the same flow on the design day with this rating: design load ÷ ((flow − ½ difference − room)/50)^n.
    """
    excess = max(rooms.design_flow_c - 0.5 * rooms.water_difference_k - design_room_c, 1.0)
    return design_load_kw / relative_output(excess, bend)


def design_flow_c(case: Case, loss_w_per_k: float) -> float:
    """Flow on the design day [°C]: stated, or what the limiting room needs, as far as it can be made."""
    if not (case.room and case.controls.design_flow_from_rooms):
        return case.controls.design_flow_c
    return min(room_set(case, loss_w_per_k).design_flow_c, highest_flow_c(case))


def highest_flow_c(case: Case) -> float:
    """Hottest water that can reach the emitters [°C]: of machine and controller, mixing taken off."""
    machine = case.heat_pump
    made = machine.highest_flow_c - case.controls.mixing_penalty_k if machine else case.controls.ceiling_c
    return min(made, case.controls.ceiling_c)


def check_rooms(case: Case, loss_w_per_k: float) -> None:
    """Refuse rooms that contradict the house, or that need hotter water than the machine makes.

    Raises
    ------
    CaseError
        Naming both figures.
    """
    if not case.room or case.heat_source == "boiler":
        return
    rooms = room_set(case, loss_w_per_k)
    faults = []
    if not 1.0 / SURVEY_OFF <= rooms.scale <= SURVEY_OFF:
        faults.append(
            Fault(
                f"{case.label}: [[room]]", f"the losses of the rooms, {loss_w_per_k / rooms.scale:.0f} W/K together,",
                f"are far from the {loss_w_per_k:.0f} W/K of the house",
                "Look for a missing room, or for a loss that is not for the design day",
            )
        )  # fmt: skip
    most = highest_flow_c(case)
    if case.controls.design_flow_from_rooms and rooms.design_flow_c > most + 1e-9:
        faults.append(
            Fault(
                f"{case.label}: [[room]]",
                f'"{rooms.limiting}"',
                f"needs water at {rooms.design_flow_c:.1f} °C on the design day, "
                f"above the {most:g} °C that can be sent",
                "Give it a bigger emitter, a lower needed_c, or set design_flow_c and leave design_flow_from_rooms out",
            )
        )  # fmt: skip
    if faults:
        raise CaseError(faults)


def room_notes(case: Case, loss_w_per_k: float) -> tuple[str, ...]:
    """What was assumed of the rooms of a case, one sentence each; nothing where it has none or keeps its boiler."""
    if not case.room or case.heat_source == "boiler":
        return ()
    rooms, number = room_set(case, loss_w_per_k), case.notation.number
    stated = float(rooms.table[:, LOSS].sum() / rooms.scale)
    notes = ["The emitters of the house are those of its rooms; what [emitters] says of their size plays no part."]
    if abs(rooms.scale - 1.0) > 0.005:
        notes.append(
            f"The rooms' losses add up to {number(1000.0 * stated)} W/K and the house loses "
            f"{number(1000.0 * stated * rooms.scale)} W/K: each room was multiplied by {number(rooms.scale, 2)}."
        )
    if any(room.exchange_w_per_k is None for room in case.room or ()):
        notes.append(
            "A room exchanges half as much heat with the rest of the home per kelvin as it loses to the outside (own)."
        )
    notes.append("Temperatures of single rooms are steady ones without sun, people and appliances.")
    notes.append(
        "The house gets what its single rooms can take: where one falls short, the bill leaves out what it lacks, and "
        "holds what its neighbours give it through walls and doors."
    )
    return tuple(notes)
