"""A valid case in, sentences of caution out: what is allowed and yet under a published minimum for safety."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from simkit.case.case import Case

STORED_C = 60.0  # Health and Safety Executive, HSG274 part 2: hot water stored at 60 °C or more
SAFE_ROOM_C = 18.0  # WHO Housing and Health Guidelines 2018


def cautions(case: Case) -> tuple[str, ...]:
    """Name every setting that lies under a published minimum, with the minimum and who published it."""
    return (*_stored_water(case), *_cold_rooms(case))


def _stored_water(case: Case) -> list[str]:
    water = case.hot_water
    if water.target_c >= STORED_C:
        return []
    advice = "published guidance is to store hot water at 60 °C or more (HSE, HSG274 part 2), because legionella grows between 20 and 45 °C"
    if water.hygiene.every == "never":
        return [f"Caution: [hot_water] target_c = {water.target_c:g} with no hygiene cycle: {advice}."]
    notes = []
    if water.hygiene.target_c < STORED_C:
        notes.append(f"Caution: [hot_water.hygiene] target_c = {water.hygiene.target_c:g} is under 60 °C: {advice}.")
    heater = water.immersion_kw > 0 and water.immersion != "never"
    machine = case.heat_pump
    if (
        machine is not None
        and case.heat_source == "heat_pump"
        and not heater
        and machine.highest_flow_c <= water.hygiene.target_c
    ):
        notes.append(
            f"Caution: the hygiene cycle asks for {water.hygiene.target_c:g} °C, which a heat pump with highest_flow_c = "
            f"{machine.highest_flow_c:g} can't reach without the immersion heater: {advice}."
        )
    return notes


def _cold_rooms(case: Case) -> list[str]:
    schedules = {"comfort": case.comfort.coldest_c, "controls": case.controls.coldest_c}
    if case.boiler is not None and case.boiler.lived is not None and case.as_lived:
        schedules["boiler.lived"] = case.boiler.lived.coldest_c
    return [
        f"Caution: [{name}] goes down to {coldest:g} °C: WHO 2018 (Housing and Health Guidelines) names 18 °C as a safe "
        "minimum indoors."
        for name, coldest in schedules.items()
        if coldest < SAFE_ROOM_C
    ]
