"""A case in; the settings that the panel of tariffs moves, and what they are in that case, out."""

from __future__ import annotations

from simkit.case.case import Case
from simkit.panels.fields import Choice, Field, Number, TimeOfDay, Value
from simkit.panels.flow_and_times.fields import first_settings

PREHEAT_H = 4.0
AT_ONCE, BY_PRICE = "at_once", "by_price"
SOLD, HERE, ANYWHERE = "sold", "here", "anywhere"
# the case with windows on half-hours: a slider moves in those
ON_HALF_HOURS = {"hot_water.windows": [{"from": "00:30", "to": "04:30", "days": "all"}]}


def fields_of(case: Case) -> dict[str, Field]:
    """What may be moved in this home, by name."""
    kept = str(first_settings(case)["water_from"])
    controls = case.controls
    fields: list[Field] = [
        Number(
            "back_c",
            "Rooms set back to",
            "°C",
            min(14.0, controls.setback_c),
            controls.warmest_c,
            0.5,
            "18 °C is the least that is safe for health, WHO 2018",
            18,
        ),
        TimeOfDay("back_from", "Set back from", every_minutes=30, also=str(_nights(case)[0])),
        TimeOfDay("back_to", "Warm again from", every_minutes=30, also=str(_nights(case)[1])),
        TimeOfDay("water_from", "Water heating from", every_minutes=30, also=kept),
        Number("water_hours", "Water heating for", "h", 1.0, 24.0, 0.5, "24 h: at any time", 4),
    ]
    coolest = min(45.0, case.hot_water.target_c)
    hottest = max(case.hot_water.target_c, min(60.0, case.heat_pump.highest_flow_c - 5.0 if case.heat_pump else 60.0))
    fields.append(
        Number(
            "water_c",
            "Water kept at",
            "°C",
            coolest,
            hottest,
            1.0,
            "stored at 60 °C or more, or weekly, against legionella",
            50,
        )
    )
    if not case.emitters.lag_left_out:
        why = f"in the {PREHEAT_H:g} cheapest hours of each tariff's day"
        fields.append(Number("preheat_k", "Rooms warmer ahead by", "K", 0.0, 2.0, 0.25, why, 1))
    if case.car is not None:
        options = ((AT_ONCE, "as soon as it may"), (BY_PRICE, "in the cheapest hours of its window"))
        fields.append(Choice("charging", "The car charges", options))
    return {one.name: one for one in fields}


def first_values(case: Case) -> dict[str, Value]:
    """The settings as they are in the case; of several windows, the first."""
    begins, ends = _nights(case)
    night: dict[str, Value] = {"back_c": case.controls.setback_c, "back_from": begins, "back_to": ends}
    values = (
        first_settings(case)
        | night
        | {"water_c": case.hot_water.target_c, "preheat_k": 0.0, "charging": case.car.charging if case.car else AT_ONCE}
    )
    return {name: values[name] for name in fields_of(case)}


def sold_field(case: Case) -> Choice:
    """Which of the tariffs that lie beside a home are put beside each other."""
    where = f"sold in {case.site.country}" if case.site.country else "sold where it stands"
    return Choice(SOLD, "Tariffs shown", ((HERE, where), (ANYWHERE, f"all in {case.currency}")))


def _nights(case: Case) -> tuple[str, str]:
    """When the rooms are set back, and when they are warm again; the whole night where the case has several."""
    periods = case.controls.periods
    if not periods:
        return "22:00", "06:00"
    end = max(span.end for span in periods)
    return "00:00" if end == "24:00" else end, min(span.start for span in periods)
