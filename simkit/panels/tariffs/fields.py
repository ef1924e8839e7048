"""A case in; the settings that the panel of tariffs moves, and what they are in that case, out."""

from __future__ import annotations

from simkit.case.case import Case
from simkit.panels.fields import Choice, Field, Number, TimeOfDay, Value
from simkit.panels.flow_and_times.fields import first_settings

PREHEAT_H = 4.0
AT_ONCE, BY_PRICE = "at_once", "by_price"
# the case with windows on half-hours: a slider moves in those
ON_HALF_HOURS = {"hot_water.windows": [{"from": "00:30", "to": "04:30", "days": "all"}]}


def fields_of(case: Case) -> dict[str, Field]:
    """What may be moved in this home, by name."""
    kept = str(first_settings(case)["water_from"])
    fields: list[Field] = [
        TimeOfDay("water_from", "Water heating from", every_minutes=30, also=kept),
        Number("water_hours", "Water heating for", "h", 1.0, 24.0, 0.5, "24 h: at any time", 4),
    ]
    if case.emitters.kind != "underfloor":
        why = f"in the {PREHEAT_H:g} cheapest hours of each tariff's day"
        fields.append(Number("preheat_k", "Rooms warmer ahead by", "K", 0.0, 2.0, 0.25, why, 1))
    if case.car is not None:
        options = ((AT_ONCE, "as soon as it may"), (BY_PRICE, "in the cheapest hours of its window"))
        fields.append(Choice("charging", "The car charges", options))
    return {one.name: one for one in fields}


def first_values(case: Case) -> dict[str, Value]:
    """The settings as they are in the case; of several windows, the first."""
    values = first_settings(case) | {"preheat_k": 0.0, "charging": case.car.charging if case.car else AT_ONCE}
    return {name: values[name] for name in fields_of(case)}
