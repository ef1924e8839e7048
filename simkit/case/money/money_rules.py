"""An option's ledger and the [money] of its case in, what is wrong between them out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from simkit.errors import Fault

DAYS_A_YEAR = 365.2425  # mean length of a year of the Gregorian calendar


def ledger_over_years(parts: Mapping[str, Any], _: frozenset[str]) -> Iterator[Fault]:
    """Yield lives that end before the horizon with nothing to replace them, and days after it."""
    money, ledger = parts.get("money"), parts.get("ledger")
    if money is None or ledger is None:
        return
    for number, line in enumerate(ledger.item, start=1):
        place = f"[ledger] item no. {number}"
        if line.life_years is not None and line.life_years < money.horizon_years and line.replacement is None:
            yield Fault(
                place,
                f"life_years = {line.life_years:g}",
                f"is shorter than [money] horizon_years = {money.horizon_years}, and nothing says what comes after it",
                "Add replacement, what a new one costs (0 where another line holds it), or shorten the horizon",
            )
        if (line.date - money.start).days > money.horizon_years * DAYS_A_YEAR:
            yield Fault(
                place,
                f"date = {line.date}",
                f"is after the {money.horizon_years} years from {money.start} that are looked at",
                "Mend the date, or lengthen [money] horizon_years",
            )
