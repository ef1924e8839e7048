"""A case in; the settings that can be tried on it, their limits and what they are at first out."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import numpy as np

from simkit.case.case import Case
from simkit.panels.fields import Field, Number, TimeOfDay, Value
from simkit.panels.form.fields import OWN, tariff_field
from simkit.times_of_day import DAY_MINUTES, minute_of, time_of

WINDOW_MINUTES = 30


def trial_fields(case: Case, folder: Path) -> dict[str, Field]:
    """The settings that can be tried on a case, with the limits that the case itself sets."""
    machine, controls = case.heat_pump, case.controls
    hottest = min(controls.ceiling_c, machine.highest_flow_c if machine else 80.0)
    coolest = max(25.0, np.ceil(controls.warmest_c) + 4.0)
    kept = str(first_settings(case)["water_from"])
    fields: list[Field] = [
        Number("flow_c", "Flow on the coldest day", "°C", min(coolest, controls.design_flow_c), hottest, 0.5,
               "the heat pump makes no hotter water", 45),
        Number("night_c", "Set-point at night", "°C", min(14.0, controls.setback_c), controls.warmest_c, 0.5,
               "18 °C is the least that is safe for health, WHO 2018", 18),
        TimeOfDay("water_from", "Water heating from", every_minutes=WINDOW_MINUTES, also=kept),
        Number("water_hours", "Water heating for", "h", 1.0, 24.0, 0.5, "24 h: at any time", 4),
        tariff_field(case, folder),
    ]  # fmt: skip
    return {one.name: one for one in fields}


def first_settings(case: Case) -> dict[str, Value]:
    """The settings as they are in the case; of several windows, the first."""
    window = case.hot_water.windows[0]
    minutes = (minute_of(window.end) - minute_of(window.start)) % DAY_MINUTES or DAY_MINUTES
    return {
        "flow_c": case.controls.design_flow_c, "night_c": case.controls.setback_c,
        "water_from": window.start, "water_hours": minutes / 60.0, "tariff": OWN,
    }  # fmt: skip


def one_window(values: Mapping[str, Value | None]) -> dict[str, str]:
    """One daily window of water heating, from the settings `water_from` and `water_hours`."""
    start, hours = str(values["water_from"]), float(values["water_hours"] or 0.0)
    if hours >= 24.0:
        return {"from": "00:00", "to": "24:00", "days": "all"}
    end = (minute_of(start) + round(hours * 60)) % DAY_MINUTES
    return {"from": start, "to": time_of(end or DAY_MINUTES), "days": "all"}
