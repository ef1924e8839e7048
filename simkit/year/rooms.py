"""A simulated year of a home with rooms in; each room's flow, temperature and hours short, and the limiting room, out.

Temperatures are steady ones, without gains, from the flow and the weather of the year's own steps. Each room exchanges
heat with one middle of the home at the mean of all rooms; a room whose emitter is more than enough is throttled to its
needed temperature. A room is short in a step where over the last 24 hours (rooms store about a day) its emitter could
give so much less, at the flows that were commanded, than its losses at the needed temperature ask for, that it falls
further below than the tolerance of the needed comfort. Sun, people and appliances are credited to each room in the same
part as the house's heating fell short of its losses because of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from simkit.answered import Answered
from simkit.arrays import Bools, Floats
from simkit.assemble.rooms import (
    EXCHANGE,
    LOSS,
    NEEDED,
    RATED,
    RoomSet,
    design_flow_c,
    highest_flow_c,
    room_notes,
    room_set,
    rooms_bend,
)
from simkit.case.case import Case
from simkit.errors import CaseError, Fault
from simkit.kernel.prepare import curve
from simkit.kernel.room_pass import most_heat_kw, steady_rooms_c
from simkit.physics.emitters import compensated_flow_c

if TYPE_CHECKING:
    from simkit.year.year import Year


@dataclass(frozen=True, eq=False, repr=False)
class Rooms(Answered):
    """The rooms of a year.

    Attributes
    ----------
    design_flow_c
        Flow of the year's curve on the design day [°C].
    coldest_c, coldest_flow_c
        Outdoor and flow temperature of the coldest step in which the rooms were heated [°C].
    table
        One row by room: `needed_c`, `loss_w_per_k`, `rated_kw`, `flow_needed_c` on the design day, `design_c` and
        `coldest_c` it settles at on the design day and in the coldest heated step, `short_share` of the heated time,
        `throttled_share` (how much of its emitter is not needed on the design day).
    limiting
        Name of the room that needs the hottest water.
    year
        The year.
    notes
        What was assumed.
    """

    design_flow_c: float
    coldest_c: float
    coldest_flow_c: float
    table: pd.DataFrame
    limiting: str
    rooms: RoomSet
    year: Year
    notes: tuple[str, ...]
    answered_by = "simkit.answers.rooms:rooms_answer"

    @property
    def case(self) -> Case:
        """The home."""
        return self.year.case

    def sent_c(self, outdoor_c: Floats) -> pd.Series:
        """Flow that the controller sends at these outdoor temperatures with the rooms as warm as needed [°C]."""
        outdoor, controls = np.asarray(outdoor_c, dtype=np.float64), self.case.controls
        if controls.flow == "least":
            found = self.rooms.flows_c(outdoor).max(axis=0)
        elif controls.flow == "fixed":
            found = np.full(len(outdoor), self.design_flow_c)
        else:
            room, difference = self.case.comfort.warmest_c, self.case.emitters.water_difference_k
            bend = 1.0 if controls.straight or controls.slope is not None else rooms_bend(self.case)
            share, shape = curve(outdoor, controls.curve_zero_c(room), self.case.site.design_outdoor_c, bend)
            excess = self.design_flow_c - 0.5 * difference - room
            rows = zip(share.tolist(), shape.tolist(), strict=True)
            found = np.array([compensated_flow_c(s, b, room, excess, difference) for s, b in rows])
        held = np.clip(found, controls.floor_c, highest_flow_c(self.case))
        return pd.Series(held, index=pd.Index(outdoor, name="outdoor_c"), name="flow_c")

    def flows(self, outdoor_c: Floats) -> pd.DataFrame:
        """Flow each room needs at these outdoor temperatures, one column by room [°C]."""
        found = self.rooms.flows_c(outdoor_c)
        return pd.DataFrame(found.T, index=pd.Index(np.asarray(outdoor_c), name="outdoor_c"), columns=self.rooms.names)

    @property
    def next_flow_c(self) -> float:
        """Flow that would do if the limiting room were mended [°C]."""
        flows = np.sort(self.table["flow_needed_c"].to_numpy())
        return float(flows[-2] if len(flows) > 1 else flows[-1])

    @property
    def coldest_room_c(self) -> float:
        """Coldest room on the design day [°C]."""
        return float(self.table["design_c"].min())

    def __repr__(self) -> str:
        notation = self.case.notation
        needs = notation.number(self.table.at[self.limiting, "flow_needed_c"], 1)
        return f"{self.limiting} needs {needs} °C\n{notation.frame(self.table)}"


def rooms_of(year: Year) -> Rooms:
    """Look at the rooms of a simulated year.

    Raises
    ------
    CaseError
        Where the case has no rooms.
    """
    case = year.case
    if not case.room:
        remedy = "Add a [[room]] for each room with its loss and its emitter"
        raise CaseError(Fault(case.label, "rooms", "are not described in this case", remedy))
    rooms = room_set(case, year.loss_w_per_k)
    flow = design_flow_c(case, year.loss_w_per_k)
    design = np.array([case.site.design_outdoor_c])
    hourly = year.hourly
    heated = (hourly["space_heat_kw"] > 1e-6) & (hourly["flow_c"] > 0)
    coldest = hourly["outdoor_c"].where(heated).idxmin() if heated.any() else hourly["outdoor_c"].idxmin()
    at = hourly.loc[coldest, ["outdoor_c", "flow_c"]].to_numpy(dtype=np.float64)
    needed = rooms.design_flows_c
    most = most_heat_kw(np.array([flow]), rooms.table)[:, 0]
    load = rooms.table[:, LOSS] * (rooms.table[:, NEEDED] - design[0])
    load = load + rooms.table[:, EXCHANGE] * (rooms.table[:, NEEDED] - rooms.middle_c)
    table = pd.DataFrame(
        {
            "needed_c": rooms.table[:, NEEDED],
            "loss_w_per_k": 1000.0 * rooms.table[:, LOSS],
            "rated_kw": rooms.table[:, RATED],
            "flow_needed_c": needed,
            "design_c": steady_rooms_c(np.array([flow]), design, rooms.table)[:, 0],
            "coldest_c": steady_rooms_c(at[1:], at[:1], rooms.table)[:, 0],
            "short_share": _short_share(hourly, rooms, heated.to_numpy(), year.axis.hours, case.comfort.tolerance_k),
            "throttled_share": np.clip(1.0 - load / np.maximum(most, 1e-9), 0.0, 1.0),
        },
        index=pd.Index(rooms.names, name="room"),
    )
    return Rooms(
        flow,
        float(at[0]),
        float(at[1]),
        table,
        rooms.limiting,
        rooms,
        year,
        room_notes(case, year.loss_w_per_k),
    )


def _short_share(hourly: pd.DataFrame, rooms: RoomSet, heated: Bools, hours: float, tolerance_k: float) -> Floats:
    """Share of the heated time in which each room is short, (rooms,): see the module."""
    if not heated.any():
        return np.zeros(len(rooms.names))
    outdoor, air = hourly["outdoor_c"].to_numpy(), hourly["air_c"].to_numpy()
    needed = rooms.table[:, NEEDED, None] + (hourly["needed_c"] - hourly["needed_c"].max()).to_numpy()
    load = rooms.table[:, LOSS, None] * np.maximum(needed - outdoor, 0.0)
    load = load + rooms.table[:, EXCHANGE, None] * (rooms.table[:, NEEDED, None] - rooms.middle_c)
    given = np.zeros_like(load)
    most = most_heat_kw(hourly["flow_c"].to_numpy()[heated], rooms.table)  # the law is not asked where nothing is given
    given[:, heated] = most * (1.0 - hourly["water_share"].to_numpy()[heated])
    day = max(1, round(24.0 / hours))
    lost = rooms.table[:, LOSS].sum() * np.maximum(air - outdoor, 0.0)
    without_gains = _over(hourly["space_heat_kw"].to_numpy()[None], day) / np.maximum(_over(lost[None], day), 1e-9)
    missing = (_over(np.maximum(load, 0.0), day) * np.minimum(without_gains, 1.0) - _over(given, day)) / day
    short = missing > tolerance_k * (rooms.table[:, LOSS] + rooms.table[:, EXCHANGE])[:, None]
    found: Floats = short[:, heated].mean(axis=1)
    return found


def _over(values: Floats, steps: int) -> Floats:
    """Sum over the last `steps` steps, the first looking back to the end of the year, (rooms, steps)."""
    sums = np.cumsum(np.concatenate([values[:, -steps:], values], axis=1), axis=1)
    found: Floats = sums[:, steps:] - sums[:, :-steps]
    return found
