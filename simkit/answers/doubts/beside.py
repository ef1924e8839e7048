"""A simulated year in; what may hurt about a stove, collectors, a room heater or too little fresh air, out."""

from __future__ import annotations

from simkit.case.home.ventilation import LEAST_FRESH_AIR
from simkit.year.year import Year


def stove(year: Year) -> str | None:
    """Carbon monoxide and fire, of a stove that is used or given up."""
    base = year.case.base
    lit = year.case.stove or (base.stove if base is not None else None)
    if lit is None:
        return None
    said = (
        f"The {lit.kind} makes carbon monoxide, and soot burns: keep an audible alarm (EN 50291) in its room, have its "
        "chimney swept every year, let in the air that it burns, and shut no damper on glowing fuel."
    )
    return (
        said
        if year.case.lit is not None
        else f"{said} Once given up it is closed off by a sweep, and its chimney stays aired."
    )


def has_collectors(year: Year) -> bool:
    """Whether a home has solar collectors, or had them before the option."""
    base = year.case.base
    return year.case.solar_thermal is not None or (base is not None and base.solar_thermal is not None)


def room_heater(year: Year) -> str | None:
    """Fire by a heater that is moved about."""
    heater = year.case.room_heater
    if heater is None or not heater.goes_on:
        return None
    return (
        "A movable heater starts fires: keep cloth and furniture a metre away, give it a socket of its own and no "
        "extension lead, and never leave it on at night."
    )


def fresh_air(year: Year) -> str | None:
    """Air of a home that was made tighter, or that had too little before."""
    air, number = year.case.ventilation, year.case.notation.number
    if air is None or not (air.changed or air.before_per_hour < LEAST_FRESH_AIR):
        return None
    least = number(LEAST_FRESH_AIR, 1)
    said = "A tight home needs its fresh air on purpose, against damp, mould and radon"
    had = ""
    if air.before_per_hour < LEAST_FRESH_AIR:
        had = f"; this one has {number(air.before_per_hour, 2)} air changes an hour of the {least} that it needs"
    counted = f"; no less than {least} air changes an hour are counted here" if air.changed else ""
    burner = year.case.lit is not None or year.case.heat_source != "heat_pump"
    flame = ". A fire that takes its air from the rooms can be made to smoke back by fans" if burner else ""
    return f"{said}{had}{counted}{flame}."
