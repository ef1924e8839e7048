"""The rooms and the rest of a case in, what is wrong between them out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from simkit.errors import Fault

Parts = Mapping[str, Any]

ROOMS_MAY_DIFFER = 0.1  # own: survey figures are rounded
SLOPE_MAY_DIFFER_K = 0.05  # own: both are written to a tenth


def rooms_and_house(parts: Parts, _: frozenset[str]) -> Iterator[Fault]:
    """Yield rooms whose losses are not those of the house, where the house's loss is stated outright."""
    rooms, home, site, comfort = (parts.get(name) for name in ("room", "home", "site", "comfort"))
    if not rooms or site is None or comfort is None:
        return
    per_k = 0.0
    for number, room in enumerate(rooms, start=1):
        needed = comfort.warmest_c if room.needed_c is None else room.needed_c
        if needed <= site.design_outdoor_c:
            given = f"no. {number} needed_c = {needed:g}"
            allowed = f"is not above [site] design_outdoor_c = {site.design_outdoor_c:g}, so that it would lose no heat"
            yield Fault("[[room]]", given, allowed, "Write the temperature that the room needs, such as 20")
            return
        per_k += 1000.0 * room.design_loss_kw / (needed - site.design_outdoor_c)
    house = _stated_w_per_k(home)
    if house is not None and abs(per_k - house) > ROOMS_MAY_DIFFER * house:
        less = "less" if per_k < house else "more"
        yield Fault(
            "[[room]]",
            f"the losses of {len(rooms)} room{'s' * (len(rooms) > 1)}, {per_k:.0f} W/K together,",
            f"are {less} than the {house:.0f} W/K that [home.loss] states",
            "Look for a room that is missing (hall and landing too) or counted twice, or mend [home.loss]",
        )


def _stated_w_per_k(home: Any) -> float | None:
    """Loss of the house where it is said outright [W/K]."""
    if home is None:
        return None
    loss = home.loss
    if loss.w_per_k is not None:
        return float(loss.w_per_k)
    if loss.design_kw is not None:
        return float(1000.0 * loss.design_kw / (loss.design_indoor_c - loss.design_outdoor_c))
    return None


def slope_and_design_flow(parts: Parts, _: frozenset[str]) -> Iterator[Fault]:
    """Yield a slope that leads to another design flow than the one stated beside it."""
    controls, site, comfort = (parts.get(name) for name in ("controls", "site", "comfort"))
    if controls is None or site is None or comfort is None or controls.slope is None:
        return
    room, shift = comfort.warmest_c, controls.shift_k or 0.0
    flow = room + shift + controls.slope * (room - site.design_outdoor_c)
    if abs(flow - controls.design_flow_c) > SLOPE_MAY_DIFFER_K:
        yield Fault(
            "[controls]",
            f"slope = {controls.slope:g} and shift_k = {shift:g}",
            f"give {flow:.1f} °C on the design day, and design_flow_c = {controls.design_flow_c:g} says otherwise",
            "Keep the slope and leave design_flow_c out, or the other way round",
        )
