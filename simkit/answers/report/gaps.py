"""What a report works from in; what one option costs more than another, with its range, out."""

from __future__ import annotations

from typing import Any

from simkit.answers.report.basis import Basis
from simkit.uncertainty.ranges import Range
from simkit.year.year import Year


def gap_of(basis: Basis) -> Range | None:
    """What the advised option costs more than what is kept [currency]: over the years, else a year; None alone."""
    return None if basis.kept is None else gap_between(basis, basis.chosen, basis.kept)


def gap_between(basis: Basis, year: Year, other: Year) -> Range | None:
    """What one option costs more than another [currency]: over the years where they are weighed, else a year."""
    if basis.weighed is None:
        return Range.of(year.samples.total - other.samples.total)
    return basis.weighed.more(*(basis.weighed.worth.option(one.case.name) for one in (year, other)))


def against_baseline(basis: Basis) -> list[dict[str, Any]]:
    """What each option costs more than the baseline [currency], over the years where they are weighed, else a year."""
    base, weighed = basis.comparison.base, basis.weighed
    found = []
    for year in basis.comparison.years:
        if year is not base:
            more = basis.cost(year) - basis.cost(base)
            gap = gap_between(basis, year, base)
            years = None if weighed is None else weighed.worth.money.horizon_years
            found.append({"name": year.case.name, "more": more, "range": gap, "years": years})
    return found
