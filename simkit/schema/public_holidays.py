"""A country and years in; the dates of its public holidays out, by the package `holidays`."""

from __future__ import annotations

import datetime as dt

from simkit.kept.disk import on_disk
from simkit.kept.memory import memo


@memo
@on_disk
def holiday_dates(country: str, part: str | None, years: tuple[int, ...]) -> tuple[dt.date, ...]:
    """Public holidays of a country, or a part of it, in order; kept, for the package takes a tenth of a second to load.

    Parameters
    ----------
    country, part
        ISO 3166 codes, as "GB" and "SCT"; without a part the nationwide ones.
    years
        The years.

    Raises
    ------
    NotImplementedError
        For a country or part without a calendar.
    """
    from holidays import country_holidays

    return tuple(sorted(country_holidays(country, subdiv=part, years=years)))
