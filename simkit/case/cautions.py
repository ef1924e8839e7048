"""A valid case in, sentences of caution out: what is allowed and yet under a published minimum for safety."""

from __future__ import annotations

from typing import TYPE_CHECKING

from simkit.case.heating.boiler import FUELS_BOUGHT

if TYPE_CHECKING:
    from simkit.case.case import Case

STORED_C = 60.0  # Health and Safety Executive, HSG274 part 2: hot water stored at 60 °C or more
SAFE_ROOM_C = 18.0  # WHO Housing and Health Guidelines 2018
LEGIONELLA = (
    "Legionella grows between 20 and 45 °C, and published guidance is to store hot water at 60 °C or more "
    "(Health and Safety Executive, HSG274 part 2)."
)
CARBON_MONOXIDE = (
    "Carbon monoxide can form: keep an audible alarm (EN 50291) in every room with a burner or a flue, and have each "
    "burner serviced every year by a licensed engineer."
)
COLD = "WHO 2018 (Housing and Health Guidelines) names 18 °C as a safe minimum indoors."


def cautions(case: Case) -> tuple[str, ...]:
    """Name every setting that lies under a published minimum, with the minimum and who published it."""
    return (*_stored_water(case), *_combustion(case), *_cold_rooms(case))


def _combustion(case: Case) -> list[str]:
    fuel = case.fuel
    burns = case.heat_source in ("boiler", "hybrid") or (fuel is not None and fuel.other_use_kwh > 0)
    if fuel is None or fuel.kind not in FUELS_BOUGHT or not burns:
        return []
    return [f"Caution: something in the home burns {fuel.kind.replace('lpg', 'LPG')}. {CARBON_MONOXIDE}"]


def _stored_water(case: Case) -> list[str]:
    water = case.hot_water
    stored = f"Caution: hot water is stored at {water.target_c:g} °C"
    if water.target_c >= STORED_C:
        return []
    if water.hygiene.every == "never":
        return [f"{stored} and never heated right through. {LEGIONELLA}"]
    cycle = f"{stored}, with a cycle to {water.hygiene.target_c:g} °C every {water.hygiene.every}"
    if water.hygiene.target_c < STORED_C:
        return [f"{cycle}, which is too cool as well. {LEGIONELLA}"]
    if not _reaches(case, water.hygiene.target_c):
        return [f"{cycle}, which the heat pump can't reach and no immersion heater may finish. {LEGIONELLA}"]
    return [f"{cycle}. {LEGIONELLA}"]


def _reaches(case: Case, target_c: float) -> bool:
    """Whether anything in the case can heat the cylinder to a temperature [°C]."""
    water, machine = case.hot_water, case.heat_pump
    if water.immersion_kw > 0 and water.immersion != "never":
        return True
    if case.heat_source == "boiler" or machine is None:
        return case.boiler is not None and case.boiler.flow_c > target_c
    return machine.highest_flow_c > target_c


def _cold_rooms(case: Case) -> list[str]:
    schedules = {"comfort": case.comfort, "controls": case.controls}
    if case.as_operated and case.boiler is not None and case.boiler.as_operated is not None:
        schedules = {"comfort": case.comfort, "boiler.as_operated": case.boiler.as_operated}
    return [
        f"Caution: [{name}] goes down to {schedule.coldest_c:g} °C. {COLD}"
        for name, schedule in schedules.items()
        if schedule.coldest_c < SAFE_ROOM_C
    ]
