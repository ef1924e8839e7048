"""A year with its settings in; what to type into the controller, in plain words and wall time, by season, out."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import pandas as pd

from simkit.case.case import Case
from simkit.clock import TimeAxis
from simkit.decide.schedule.rule import day_of_periods, kind_and_slot, runs_of
from simkit.notation import PLAIN, Notation
from simkit.times_of_day import DAY_MINUTES, time_of
from simkit.year.year import Year

KIND_WORDS = {"workdays": "workdays", "weekend": "Saturday and Sunday"}
WINTER_MONTH, SUMMER_MONTH = 1, 7  # on the northern half of the globe; exchanged on the southern


def settings_sheet(year: Year, today: Year) -> pd.DataFrame:
    """Write the settings of a year as one would type them in.

    Parameters
    ----------
    year
        With these settings.
    today
        With those of today, against which a change is told.

    Returns
    -------
    DataFrame
        Columns winter and summer, one row by setting. Times are wall time all year; where the tariff's clock does not
        follow the wall clock, the cheap hours are told for both seasons.
    """
    case, brief = year.case, year.case.notation.brief
    rows: list[tuple[str, ...]] = []
    minutes = year.axis.step_minutes
    day = day_of_periods(case.controls.periods, case.controls.setback_c, minutes)
    kinds = (
        [("every day", day[0])] if np.array_equal(day[0], day[1]) else list(zip(KIND_WORDS.values(), day, strict=True))
    )
    off = f"no heating while a day's mean outdoors is above {brief(case.controls.heating_limit_c)} °C"
    for name, row in kinds:
        rows.append((f"rooms, {name}", day_words(row, minutes, case.notation), off))
    if case.controls.flow == "compensated":
        now, was = case.controls.design_flow_c, today.case.controls.design_flow_c
        change = "as it is" if now == was else f"was {brief(was)} °C"
        coldest = f"{brief(case.site.design_outdoor_c)} °C"
        rows.append(("heating curve", f"{brief(now)} °C flow at {coldest} outdoors ({change})", "the same"))
    now, was = case.controls.recovery_lift_k, today.case.controls.recovery_lift_k
    if now != was:
        hotter = f"water at most {brief(now)} K hotter than the curve (was {brief(was)} K)"
        rows.append(("warming a cool room up", hotter, "the same"))
    if case.hot_water.heated_by == "heating":
        spans = [(span.start, span.end) for span in case.hot_water.windows]
        water = " and ".join("at any time" if span == ("00:00", "24:00") else "–".join(span) for span in spans)
        rows.append(("hot water", *[f"reheat {water} to {brief(case.hot_water.target_c)} °C"] * 2))
        rows.append(("hot cycle", *[_hygiene_words(case)] * 2))
    if case.battery is not None:
        rows.append(("battery", *[_battery_words(case)] * 2))
    if case.car is not None and case.car.charging == "by_price":
        rows.append(("car", *["charge in the cheapest hours while it is plugged in"] * 2))
    rows.append(("cheap hours", *(cheap_hours(year, month).words(case.notation) for month in seasons_of(case))))
    return pd.DataFrame(rows, columns=["setting", "winter", "summer"]).set_index("setting")


def seasons_of(case: Case) -> tuple[int, int]:
    """The months that stand for winter and summer where the home is."""
    return (WINTER_MONTH, SUMMER_MONTH) if case.site.latitude_deg >= 0 else (SUMMER_MONTH, WINTER_MONTH)


def day_words(row: np.ndarray, minutes: int, notation: Notation = PLAIN) -> str:
    """One day's set-points as a sentence: "20.5 °C 05:00–22:00, otherwise 19 °C"."""
    low, brief = float(row.min()), notation.brief
    parts = [f"{brief(c)} °C {time_of(a * minutes)}–{time_of(b * minutes)}" for a, b, c in runs_of(row) if c > low]
    return f"{brief(low)} °C all day" if not parts else f"{', '.join(parts)}, otherwise {brief(low)} °C"


def _hygiene_words(case: Case) -> str:
    cycle = case.hot_water.hygiene
    if cycle.every == "never":
        return "none is set: store at 60 °C or more, or set one (Health and Safety Executive)"
    when = f"every {cycle.weekday.capitalize()}" if cycle.every == "week" else "every day"
    return f"{when} from {cycle.start} to {case.notation.brief(cycle.target_c)} °C: leave it on"


def _battery_words(case: Case) -> str:
    battery, notation = case.battery, case.notation
    assert battery is not None  # asked before
    parts = ["store what the panels spill"] if battery.store_surplus else []
    if battery.fill_below_price is not None:
        below, full = notation.price(battery.fill_below_price), notation.share(battery.charge_to)
        parts.append(f"fill from the grid below {below}, to {full}")
    if battery.sell_above_price is not None:
        parts.append(f"sell above {notation.price(battery.sell_above_price)}")
    return ", ".join(parts) or "not used"


class CheapHours(NamedTuple):
    """When a kilowatt-hour costs least in a month's day: stretches in wall time, none where one price holds all day."""

    month: int
    stretches: tuple[str, ...]
    price_per_kwh: float

    def words(self, notation: Notation) -> str:
        """The hours and their price."""
        price = notation.price(self.price_per_kwh)
        return f"{' and '.join(self.stretches)} at about {price}" if self.stretches else f"one price all day, {price}"


def cheap_hours(year: Year, month: int) -> CheapHours:
    """The hours of a month's day in which a kWh costs least [currency/kWh]."""
    axis: TimeAxis = year.axis
    price = year.setting.signal.import_per_kwh
    chosen = axis.month == month
    slots, slot = DAY_MINUTES // axis.step_minutes, kind_and_slot(axis)[1][chosen]
    mean = np.bincount(slot, price[chosen], slots) / np.bincount(slot, minlength=slots)
    if mean.max() - mean.min() < 1e-3 * max(abs(float(mean.max())), 1e-9):
        return CheapHours(month, (), float(mean.mean()))
    cheap = mean <= mean.min() + 0.1 * (mean.max() - mean.min())
    starts = np.flatnonzero(cheap & ~np.roll(cheap, 1))
    spans = []
    for start in starts.tolist():
        length = int(np.argmin(np.roll(cheap, -start)))
        end = (start + length) % slots
        spans.append(f"{time_of(start * axis.step_minutes)}–{time_of(end * axis.step_minutes)}")
    return CheapHours(month, tuple(spans), float(mean[cheap].mean()))
