"""A valid case in, sentences out: what is allowed and yet unsafe by a published minimum, or perhaps not meant."""

from __future__ import annotations

from typing import TYPE_CHECKING

from simkit.case.heating.boiler import FUELS_BOUGHT, HOURS_A_DAY
from simkit.case.heating.controls import Schedule
from simkit.times_of_day import pieces_of_day

if TYPE_CHECKING:
    from simkit.case.case import Case

STORED_C = 60.0  # Health and Safety Executive, HSG274 part 2: hot water stored at 60 °C or more
CERTIFICATE_YEARS = 10  # Directive 2010/31/EU, Article 11: certificates are valid for ten years at most
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


def remarks(case: Case) -> tuple[str, ...]:
    """Say what is allowed and yet may not be meant, or changes what an answer is worth."""
    return (*_old_certificate(case), *_no_water(case), *_other_walls(case), *_warm_nights(case))


def _old_certificate(case: Case) -> list[str]:
    year = case.home.loss.certificate_year
    if year is None or case.site.year - year <= CERTIFICATE_YEARS:
        return []
    return [
        f"Caution: the certificate is of {year}, and certificates hold for {CERTIFICATE_YEARS} years (Directive "
        "2010/31/EU, Article 11): what was changed in the home since is not in it."
    ]


def _no_water(case: Case) -> list[str]:
    if case.hot_water.heated_by == "heating":
        return []
    return [
        "No hot water is heated in this case ([hot_water] is left out, or heated by something else): it is in no sum."
    ]


def _other_walls(case: Case) -> list[str]:
    if case.base is None or case.base.home.loss == case.home.loss:
        return []
    return [
        f'Option "{case.name}" has another [home.loss] than the case: against an option that keeps the old one, part '
        "of the difference is what the walls save, not the heating."
    ]


def _warm_nights(case: Case) -> list[str]:
    found = []
    for name, schedule in (("comfort", case.comfort), ("controls", case.controls)):
        warmest = max((period.c for period in schedule.periods), default=schedule.setback_c)
        likely = "If night and day are swapped, swap from and to of its periods"
        if schedule.setback_c > warmest:
            likely = f"If they are swapped, write setback_c = {warmest:g} and c = {schedule.setback_c:g}"
        if any(_night_and_day(schedule, days) for days in ("workdays", "weekend")):
            found.append(f"[{name}] holds the night warmer than the day. {likely}.")
    return found


def _night_and_day(schedule: Schedule, days: str) -> bool:
    """Whether the mean of midnight to six is above the warmest hour from seven to ten at night."""
    hours = [schedule.setback_c] * HOURS_A_DAY
    for period in schedule.periods:
        if period.days in ("all", days):
            for begin, end in pieces_of_day(period.start, period.end):
                for hour in range(-(-begin // 60), -(-end // 60)):
                    hours[hour] = period.c
    return sum(hours[:6]) / 6.0 > max(hours[7:22])


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
