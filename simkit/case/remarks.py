"""A valid case in, sentences out: what is allowed and yet may not be meant, or changes what an answer is worth."""

from __future__ import annotations

from typing import TYPE_CHECKING

from simkit.case.heating.boiler import HOURS_A_DAY
from simkit.case.heating.controls import Schedule
from simkit.times_of_day import pieces_of_day

if TYPE_CHECKING:
    from simkit.case.case import Case


def remarks(case: Case) -> tuple[str, ...]:
    """Say what is allowed and yet may not be meant, or changes what an answer is worth."""
    found = []
    if case.hot_water.heated_by != "heating":
        found.append(
            "No hot water is heated in this case ([hot_water] is left out, or heated by something else): it is in no "
            "sum."
        )
    if case.base is not None and case.base.home.loss != case.home.loss:
        found.append(
            f'Option "{case.name}" has another [home.loss] than the case: against an option that keeps the old one, '
            "part of the difference is what the walls save, not the heating."
        )
    found += _beside(case)
    for name, schedule in (("comfort", case.comfort), ("controls", case.controls)):
        warmest = max((period.c for period in schedule.periods), default=schedule.setback_c)
        likely = "If night and day are swapped, swap from and to of its periods"
        if schedule.setback_c > warmest:
            likely = f"If they are swapped, write setback_c = {warmest:g} and c = {schedule.setback_c:g}"
        if any(_night_and_day(schedule, days) for days in ("workdays", "weekend")):
            found.append(f"[{name}] holds the night warmer than the day. {likely}.")
    return tuple(found)


def _beside(case: Case) -> list[str]:
    """What heat beside the heating means for the heat loss that is found from fuel, and from now on."""
    then = case.base if case.base is not None and case.base.home.loss == case.home.loss else case
    if then.home.loss.fuel_amount is None:
        return []
    found = []
    for name, words in (("stove", "stove"), ("solar_thermal", "collectors"), ("room_heater", "heater in one room")):
        before, now = getattr(then, name), getattr(case, name)
        goes_on = now is not None and now.goes_on
        if before is not None and before.in_fuel_year:
            end = "it comes from now on too" if goes_on else "from now on the heating makes it"
            found.append(f"Heat of the {words} came beside the fuel burnt, and the heat loss was found with it; {end}.")
        elif goes_on:
            found.append(f"Heat of the {words} comes from now on only: the fuel was burnt without it.")
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
