"""A home with a battery in; what it saves with its range, the next kWh, and the same with and without panels, out."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from simkit.case.case import Case
from simkit.decide.storage import (
    SIZES_KWH,
    SizeCurve,
    WorstDay,
    require_battery,
    saving_by_size,
    saving_range,
    without_panels,
    worst_day,
    worst_week,
)
from simkit.year import Range, simulate


@dataclass(frozen=True, repr=False)
class Saved:
    """What a battery saves in one home.

    Attributes
    ----------
    usable_kwh
        Its content [kWh].
    saving, likely
        Off the bill of a year, and the range of that on shared samples; None where it wasn't asked for [currency].
    wear
        Cost of wear a year at its stated price [currency]; not taken off.
    next_kwh
        What one kWh more would save a year [currency]; None where its power could not fill that in a day.
    curve
        Its saving by size.
    """

    usable_kwh: float
    saving: float
    likely: Range | None
    wear: float
    next_kwh: float | None
    curve: SizeCurve

    def __repr__(self) -> str:
        return f"Saved({self.usable_kwh:g} kWh: {self.saving:,.0f} {self.curve.currency} a year)"


@dataclass(frozen=True, eq=False, repr=False)
class BatteryWorth:
    """What a battery is worth in a home.

    Attributes
    ----------
    case
        The home.
    alone
        Without panels; the battery then has an inverter of its own.
    beside_panels
        With the panels of the case; None for a home without.
    coldest, week
        How it fares on the coldest day, and in the seven days around it, in the home as it is.
    """

    case: Case
    alone: Saved
    beside_panels: Saved | None
    coldest: WorstDay
    week: pd.DataFrame

    def __repr__(self) -> str:
        return f"BatteryWorth({self.alone!r}, beside panels {self.beside_panels!r})"


def battery_worth(case: Case, *, ranges: bool = True) -> BatteryWorth:
    """Work out what the battery of a case saves, without panels and beside those of the case.

    Parameters
    ----------
    case
        A home with a battery.
    ranges
        Whether to sample the range of each saving.

    Raises
    ------
    CaseError
        Where the case has no battery.
    """
    require_battery(case)
    year = simulate(case)
    alone = _saved(without_panels(case) if case.solar else case, ranges=ranges)
    beside = _saved(case, ranges=ranges) if case.solar else None
    return BatteryWorth(case, alone, beside, worst_day(year), worst_week(year))


def _saved(case: Case, *, ranges: bool) -> Saved:
    """The battery in one home: a year for each size, its own and one kWh more among them."""
    battery = require_battery(case)
    own = battery.usable_kwh
    sizes = sorted(size for size in {*SIZES_KWH, own, own + 1.0} if size <= battery.day_kwh)
    curve = saving_by_size(case, sizes)
    table = curve.table()
    saving = table["saving"]
    return Saved(
        usable_kwh=own,
        saving=float(saving[own]),
        likely=saving_range(case)[1] if ranges else None,
        wear=float(table.at[own, "wear"]),
        next_kwh=float(saving[own + 1.0] - saving[own]) if own + 1.0 in saving.index else None,
        curve=curve,
    )
