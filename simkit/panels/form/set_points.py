"""What people need, and how they lived with the boiler, in; what is held, and what was, out. Each by one rule.

The two are asked apart. Were the old warmth taken from the new, asking for more of it would make the same fuel heat a
warmer past, so a better house, and lower the cost.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from simkit.panels.fields import Value
from simkit.times_of_day import DAY_MINUTES, minute_of, time_of

HELD_ABOVE_K = 1.0  # own: the controller holds a kelvin more than is needed,
HELD_AHEAD_MINUTES = 120  # begins two hours earlier,
HELD_DROP_K = 1.0  # and lets the rooms cool by a kelvin at night
LIVED_DROP_K = 4.0  # own: how far rooms that a boiler heats in parts of the day are let cool
MORNING, EVENING, ALL_DAY = ("06:30", "08:30"), ("16:00", "22:30"), ("07:00", "22:30")  # own
COOLEST_C = 5.0  # own: no heating is set lower

Values = Mapping[str, Value | None]


def held(values: Values) -> dict[str, Any]:
    """Needed comfort, and a controller that holds a little more, begins earlier and cools by a kelvin at night.

    Both rise with what is asked: more warmth is never held for less.
    """
    day, night = float(values["day_c"] or 0.0), float(values["night_c"] or 0.0)
    start, end = str(values["from"]), str(values["to"])
    by_day = max(day, night) + HELD_ABOVE_K
    length = (minute_of(end) - minute_of(start)) % DAY_MINUTES
    ahead = time_of((minute_of(start) - HELD_AHEAD_MINUTES) % DAY_MINUTES)
    short = 0 < length < DAY_MINUTES - HELD_AHEAD_MINUTES
    span = {"from": ahead, "to": end} if short else {"from": "00:00", "to": "24:00"}
    return {
        "comfort": {"periods": [{"from": start, "to": end, "c": day}], "setback_c": night},
        "controls": {"periods": [{**span, "c": by_day}], "setback_c": max(night, by_day - HELD_DROP_K)},
    }


def lived(values: Values) -> dict[str, Any]:
    """Set-points that were held with the boiler: all through the day, or in two parts of it."""
    day = float(values["lived_c"] or 0.0)
    spans = (ALL_DAY,) if values["lived"] == "day" else (MORNING, EVENING)
    return {
        "periods": [{"from": start, "to": end, "c": day} for start, end in spans],
        "setback_c": max(day - LIVED_DROP_K, COOLEST_C),
    }
