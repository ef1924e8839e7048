"""A simulated year in; what may hurt about a stove, collectors or a heater in one room, one sentence each, out."""

from __future__ import annotations

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
