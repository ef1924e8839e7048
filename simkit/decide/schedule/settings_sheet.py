"""A year with its settings in; what to type into the controller, in plain words and wall time, by season, out."""

from __future__ import annotations

import numpy as np
import pandas as pd

from simkit.case.case import Case
from simkit.clock import TimeAxis
from simkit.decide.schedule.rule import day_of_periods, kind_and_slot, runs_of
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
    case = year.case
    rows: list[tuple[str, ...]] = []
    minutes = year.axis.step_minutes
    day = day_of_periods(case.controls.periods, case.controls.setback_c, minutes)
    kinds = (
        [("every day", day[0])] if np.array_equal(day[0], day[1]) else list(zip(KIND_WORDS.values(), day, strict=True))
    )
    off = f"no heating while a day's mean outdoors is above {case.controls.heating_limit_c:g} °C"
    for name, row in kinds:
        rows.append((f"rooms, {name}", day_words(row, minutes), off))
    if case.controls.flow == "compensated":
        now, was = case.controls.design_flow_c, today.case.controls.design_flow_c
        change = "as it is" if now == was else f"was {was:g} °C"
        coldest = f"{case.site.design_outdoor_c:g} °C".replace("-", "−")
        rows.append(("heating curve", f"{now:g} °C flow at {coldest} outdoors ({change})", "the same"))
    now, was = case.controls.recovery_lift_k, today.case.controls.recovery_lift_k
    if now != was:
        rows.append(
            ("warming a cool room up", f"water at most {now:g} K hotter than the curve (was {was:g} K)", "the same")
        )
    if case.hot_water.heated_by == "heating":
        spans = [(span.start, span.end) for span in case.hot_water.windows]
        water = " and ".join("at any time" if span == ("00:00", "24:00") else "–".join(span) for span in spans)
        rows.append(("hot water", *[f"reheat {water} to {case.hot_water.target_c:g} °C"] * 2))
        rows.append(("hot cycle", *[_hygiene_words(case)] * 2))
    if case.battery is not None:
        rows.append(("battery", *[_battery_words(case)] * 2))
    if case.car is not None and case.car.charging == "by_price":
        rows.append(("car", *["charge in the cheapest hours while it is plugged in"] * 2))
    seasons = (WINTER_MONTH, SUMMER_MONTH) if case.site.latitude_deg >= 0 else (SUMMER_MONTH, WINTER_MONTH)
    rows.append(("cheap hours", *(cheap_words(year, month) for month in seasons)))
    return pd.DataFrame(rows, columns=["setting", "winter", "summer"]).set_index("setting")


def day_words(row: np.ndarray, minutes: int) -> str:
    """One day's set-points as a sentence: "20.5 °C 05:00–22:00, otherwise 19 °C"."""
    low = float(row.min())
    parts = [f"{c:g} °C {time_of(a * minutes)}–{time_of(b * minutes)}" for a, b, c in runs_of(row) if c > low]
    return f"{low:g} °C all day" if not parts else f"{', '.join(parts)}, otherwise {low:g} °C"


def _hygiene_words(case: Case) -> str:
    cycle = case.hot_water.hygiene
    if cycle.every == "never":
        return "none is set: store at 60 °C or more, or set one (Health and Safety Executive)"
    when = f"every {cycle.weekday.capitalize()}" if cycle.every == "week" else "every day"
    return f"{when} from {cycle.start} to {cycle.target_c:g} °C: leave it on"


def _battery_words(case: Case) -> str:
    battery = case.battery
    assert battery is not None  # asked before
    parts = ["store what the panels spill"] if battery.store_surplus else []
    if battery.fill_below_price is not None:
        parts.append(
            f"fill from the grid below {battery.fill_below_price:g} a kWh, to {100.0 * battery.charge_to:.0f} %"
        )
    if battery.sell_above_price is not None:
        parts.append(f"sell above {battery.sell_above_price:g} a kWh")
    return ", ".join(parts) or "not used"


def cheap_words(year: Year, month: int) -> str:
    """The hours of a month's day in which a kWh costs least, in wall time."""
    axis: TimeAxis = year.axis
    price = year.setting.signal.import_per_kwh
    chosen = axis.month == month
    slots, slot = DAY_MINUTES // axis.step_minutes, kind_and_slot(axis)[1][chosen]
    mean = np.bincount(slot, price[chosen], slots) / np.bincount(slot, minlength=slots)
    if mean.max() - mean.min() < 1e-3 * max(abs(float(mean.max())), 1e-9):
        return f"one price all day, {mean.mean():.3f} a kWh"
    cheap = mean <= mean.min() + 0.1 * (mean.max() - mean.min())
    starts = np.flatnonzero(cheap & ~np.roll(cheap, 1))
    spans = []
    for start in starts.tolist():
        length = int(np.argmin(np.roll(cheap, -start)))
        end = (start + length) % slots
        spans.append(f"{time_of(start * axis.step_minutes)}–{time_of(end * axis.step_minutes)}")
    return f"{' and '.join(spans)} at about {mean[cheap].mean():.3f} a kWh"
