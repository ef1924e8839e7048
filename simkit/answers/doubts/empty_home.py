"""A year in; what to see to in a home that nobody is in for days, out."""

from __future__ import annotations

from simkit.profiles.absence import longest_away_d
from simkit.year.year import Year

STAGNANT_DAYS = 7  # HSE HSG274 part 2: outlets that are used less than weekly are flushed


def empty_home(year: Year) -> str | None:
    """Word frost, damp and water that stood, where a case says that the home is left; None where it does not."""
    household = year.case.household
    if not household.away:
        return None
    coldest = year.case.notation.brief(min(span.c for span in household.away))
    flushed = (
        ", and that after a week without a draw water of 60 °C runs from every tap before it is used, its spray not "
        "breathed in"
        if longest_away_d(household) >= STAGNANT_DAYS
        else ""
    )
    return (
        f"The empty home is held at {coldest} °C: see that no room with pipes comes near frost, that damp rooms are "
        f"aired{flushed}."
    )
