"""A home with a battery in; what it saves with its range, the next kWh, and the same with and without panels, out."""

from __future__ import annotations

from dataclasses import dataclass

from simkit.answered import Answered
from simkit.assemble.setting import setting_for
from simkit.case.build import vary
from simkit.case.case import Case
from simkit.decide.battery.coldest import Coldest, coldest
from simkit.decide.battery.size import SizeCurve, require_battery, saving_by_size, without_panels
from simkit.uncertainty.ranges import Range
from simkit.year.simulate import simulate
from simkit.year.year import Year

TRIAL = {"usable_kwh": 5.0, "charge_kw": 2.5, "discharge_kw": 2.5}  # own: a common small one
FLAT_SHARE = 0.02  # own: prices that differ by less are one price


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
        notation = self.curve.notation
        return f"{notation.brief(self.usable_kwh)} kWh save {notation.money(self.saving)} a year"


@dataclass(frozen=True, eq=False, repr=False)
class BatteryWorth(Answered):
    """What a battery is worth in a home.

    Attributes
    ----------
    case
        The home.
    alone
        Without panels; the battery then has an inverter of its own.
    beside_panels
        With the panels of the case; None for a home without.
    year
        Of the home as it is, with the battery.
    coldest
        How it fares in that year on the coldest day, and in the coldest week.
    assumed
        What was assumed where the case has no battery, as a sentence; None where it has one.
    """

    answered_by = "simkit.answers.money.battery:battery_answer"
    case: Case
    alone: Saved
    beside_panels: Saved | None
    year: Year
    coldest: Coldest
    assumed: str | None = None

    def __repr__(self) -> str:
        return f"{self.alone!r}" + (f"; beside panels {self.beside_panels!r}" if self.beside_panels else "")


def battery_worth(case: Case, *, ranges: bool = True) -> BatteryWorth:
    """Work out what the battery of a case saves, without panels and beside those of the case.

    Parameters
    ----------
    case
        A home; where it has no battery, one of a usual size is assumed, and `assumed` says so.
    ranges
        Whether to sample the range of each saving.
    """
    case, assumed = (case, None) if case.battery is not None else with_trial_battery(case)
    alone = _saved(without_panels(case) if case.solar else case, ranges=ranges)
    beside = _saved(case, ranges=ranges) if case.solar else None
    year = simulate(case)
    return BatteryWorth(case, alone, beside, year, coldest(year), assumed)


def with_trial_battery(case: Case) -> tuple[Case, str]:
    """A home without a battery with one of a usual size, and a sentence that says so.

    Where prices differ it is filled from the grid below the middle between the lowest and the mean price.
    """
    prices = setting_for(case).signal.import_per_kwh
    low, mean = float(prices.min()), float(prices.mean())
    notation = case.notation
    power = f"{notation.brief(TRIAL['usable_kwh'])} kWh with {notation.brief(TRIAL['charge_kw'])} kW in and out"
    said = f"The case has no battery: one of {power} is assumed"
    if mean - low <= FLAT_SHARE * abs(mean):
        return vary(case, {"battery": dict(TRIAL)}), f"{said}. State your own as [battery]."
    below = round(0.5 * (low + mean), 4)
    filled = {**TRIAL, "fill_below_price": below}
    return vary(case, {"battery": filled}), (
        f"{said}, filled from the grid below {notation.price(below)}. State your own as [battery]."
    )


def _saved(case: Case, *, ranges: bool) -> Saved:
    """The battery in one home: a year for each size, its own and one kWh more among them."""
    curve, own = saving_by_size(case), require_battery(case).usable_kwh
    table, likely = curve.table(), None
    if ranges:
        bare, fitted = (simulate(one) for one in (vary(case, {"battery": None}), case))
        likely = Range.of(bare.samples.total - fitted.samples.total, bare.bill.total - fitted.bill.total)
    saving, more = table["saving"], own + 1.0
    next_kwh = float(saving[more] - saving[own]) if more in saving.index else None
    return Saved(own, float(saving[own]), likely, float(table.at[own, "wear"]), next_kwh, curve)
