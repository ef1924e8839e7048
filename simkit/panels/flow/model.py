"""A home in; a flow and emitters to try, the year and the rooms that they make out. No widgets."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import ceil

import numpy as np

from simkit.answers.answer import Answer
from simkit.answers.setting import emitters_answer
from simkit.assemble.rooms import check_rooms, highest_flow_c, room_set
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.case.home.rooms import Candidate
from simkit.panels.fields import Choice, Field, Number
from simkit.panels.flow_and_times.model import Trial
from simkit.panels.settings import Values
from simkit.physics.constants import RATED_EXCESS_K
from simkit.year.rooms import Rooms
from simkit.year.simulate import simulate
from simkit.year.year import Year

KEPT, BY_HAND, BY_ROOMS = "", "hand", "rooms"


class FlowTrial(Trial):
    """A design flow, where heating ends, and emitters room by room, that are tried on a home.

    Parameters
    ----------
    start
        A case, or a home form, whose changes are then followed; rooms with candidates can be given another emitter.
    folder
        Where a file is written; None for that of the form, or the current one.

    Attributes
    ----------
    rooms
        The rooms of the year with the settings; None where the home has none.
    """

    file = "my_flow.toml"
    rooms: Rooms | None = None

    @property
    def before(self) -> Year:
        """The year of the case as it was."""
        return self.beside.case

    @property
    def groups(self) -> Mapping[str, tuple[str, ...]]:
        """The curve, and the emitters of the rooms."""
        curve = tuple(name for name in ("flow_c", "curve", "limit_c") if name in self.fields)
        rooms = tuple(name for name in self.fields if name not in curve)
        return {"The curve": curve} | ({"The emitters": rooms} if rooms else {})

    def _fields(self) -> dict[str, Field]:
        return _fields(self._base)

    def _first(self) -> Values:
        controls = self._base.controls
        led = BY_ROOMS if controls.design_flow_from_rooms else BY_HAND
        flow = self.before.rooms.design_flow_c if led == BY_ROOMS else controls.design_flow_c
        kept: Values = dict.fromkeys(_fields(self._base), KEPT)
        first = {"flow_c": _half_degrees(flow) if led == BY_ROOMS else flow, "limit_c": controls.heating_limit_c}
        return kept | first | ({"curve": led} if "curve" in kept else {})

    def _take(self, wanted: Values) -> None:
        """A flow that is set on the slider is no longer led by the rooms."""
        before = self.values["flow_c"]
        super()._take(wanted)
        led = "curve" in self.values and "curve" not in wanted
        if led and "flow_c" in wanted and self.values["flow_c"] != before:
            self.values["curve"] = BY_HAND

    def _work_out(self) -> None:
        base = self._base
        if not self.differs(*self.values):
            self.case, self.year = base, self.before
        else:
            limit = {"controls.heating_limit_c": self.values["limit_c"]} if self.differs("limit_c") else {}
            case = vary(base, self._emitters() | limit)
            flow = self._led_flow_c(case) if self.values.get("curve") == BY_ROOMS else self.values["flow_c"]
            case = vary(case, {"controls.design_flow_c": flow})
            self.year = simulate(case)
            self.case = case  # not before: what is refused is not saved either
        self.rooms = self.year.rooms if base.room else None
        if self.rooms is not None and self.values["curve"] == BY_ROOMS:
            self.values["flow_c"] = _half_degrees(self.rooms.design_flow_c)

    def _emitters(self) -> dict[str, object]:
        """What the chosen emitters change in the case, its curve led by a stated design flow."""
        if not self._base.room:
            return {}
        changes: dict[str, object] = {f"controls.{key}": None for key in ("slope", "shift_k")}
        changes["controls.design_flow_from_rooms"] = False
        for place, room in enumerate(self._base.room or ()):
            chosen = self.chosen(room.name)
            if chosen is not None:
                changes[f"room.{place}.rated_kw"] = chosen.at_50_kw(room.bend)
                changes |= {f"room.{place}.rated_at_k": RATED_EXCESS_K, f"room.{place}.emitter": None}
                if chosen.exponent is not None:
                    changes[f"room.{place}.exponent"] = chosen.exponent
        return changes

    def _led_flow_c(self, case: Case) -> float:
        """What the limiting room needs, a tenth of a kelvin up: set so in every sample, as on the controller."""
        check_rooms(vary(case, {"controls.design_flow_from_rooms": True}), self.before.loss_w_per_k)
        return ceil(room_set(case, self.before.loss_w_per_k).design_flow_c * 10.0 - 1e-6) / 10.0

    def chosen(self, room: str) -> Candidate | None:
        """What takes the place of a room's emitter; None where it stays."""
        named = self.values.get(room, KEPT)
        candidates = next((one.candidate or () for one in self._base.room or () if one.name == room), ())
        return next((one for one in candidates if one.name == named), None)

    @property
    def price(self) -> float:
        """Price of all emitters that are tried, fitted [currency]."""
        return sum(one.price for one in (self.chosen(room.name) for room in self._base.room or ()) if one is not None)

    @property
    def saving(self) -> float:
        """What the settings save a year against the case [currency]."""
        return self.before.bill.total - self.year.bill.total

    def answer(self, *, ranged: bool = False) -> Answer:
        """The year, and the rooms where there are some, with the flow and the emitters that are tried."""
        said = super().answer(ranged=ranged)
        return said if self.rooms is None else replace(said, pictures=(self._picture(), *said.pictures))

    def _said(self, *, ranged: bool = False, whole: bool = True) -> Answer:
        if self.rooms is None:
            return super()._said(ranged=ranged, whole=whole)
        return emitters_answer(self.year, self.before, self.price, ranged=ranged, whole=whole)


def _half_degrees(flow_c: float) -> float:
    """A flow as the slider can show it [°C]."""
    return round(2.0 * flow_c) / 2.0


def _fields(case: Case) -> dict[str, Field]:
    """The flow, who leads the curve, and one choice for each room that has candidates."""
    hottest, written = highest_flow_c(case), case.notation
    coolest = float(np.ceil(max(case.controls.warmest_c, case.comfort.warmest_c)) + 4.0)
    fields: list[Field] = [
        Number("flow_c", "Flow on the design day", "°C", coolest, hottest, 0.5, "no hotter water can be sent", 45),
        Number("limit_c", "No heating above", "°C outdoors", 8.0, 22.0, 0.5, "mean of the day", 16),
    ]
    if case.room:
        options = ((BY_HAND, "the slider"), (BY_ROOMS, "the room that needs most"))
        fields.insert(1, Choice("curve", "The curve is led by", options))
    for room in case.room or ():
        if room.candidate:
            kept = (KEPT, f"as it is, {written.brief(room.at_50_kw)} kW")
            others = (
                (c.name, f"{c.name}, {written.brief(c.at_50_kw(room.bend))} kW, {written.money(c.price)}")
                for c in room.candidate
            )
            fields.append(Choice(room.name, room.name[:1].upper() + room.name[1:], (kept, *others)))
    return {one.name: one for one in fields}
