"""Refused values in their whole sentences: the unit that was meant, text for numbers, and every other slip."""

from __future__ import annotations

import math
from typing import Any

import pytest
from case.stated import only, sentences, table, with_path

MEANT = [
    ("hot_water.target_c", 140, "[hot_water] target_c = 140 is outside 35 to 75 °C", "It is in °C, not °F: write 60."),
    ("battery.charge_efficiency", 92, "[battery] charge_efficiency = 92 is outside 0.5 to 1 (", "share, not per "
     "cent: write 0.92."),
    ("heat_pump.point.0.capacity_kw", 7000, "[heat_pump] point no. 1: capacity_kw = 7000", "It is in kW, not W: "
     "write 7."),
    ("hot_water.volume_l", 0.18, "[hot_water] volume_l = 0.18", "It is in litres, not m³: write 180."),
    ("home.volume_m3", 275000, "[home] volume_m3 = 275000", "It is in m³, not litres: write 275."),
    ("home.floor_area_m2", 2500, "[home] floor_area_m2 = 2500", "not square feet: write 232.3."),
    ("home.loss.w_per_k", 0.19, "[home.loss] w_per_k = 0.19", "It is in W/K, not kW/K: write 190."),
    ("comfort.setback_c", 64.4, "[comfort] setback_c = 64.4", "It is in °C, not °F: write 18."),
    ("controls.design_flow_c", 318.15, "[controls] design_flow_c = 318.15", "It is in °C, not kelvin: write 45."),
    ("boiler.as_operated.setback_c", 289.15, "[boiler.as_operated] setback_c = 289.15", "not kelvin: write 16."),
    ("boiler.space_efficiency", 82, "[boiler] space_efficiency = 82", "It is a share, not per cent: write 0.82."),
    ("fuel.kwh_per_unit", 39.5, "[fuel] kwh_per_unit = 39.5", "It is in kWh, not MJ: write 10.97."),
    ("household.annual_kwh", 3100000, "[household] annual_kwh = 3100000", "It is in kWh, not Wh: write 3100."),
    ("household.annual_kwh", 3.1, "[household] annual_kwh = 3.1", "It is in kWh, not MWh: write 3100, or 0"),
    ("fuel.standing_per_day", 110, "[fuel] standing_per_day = 110", "not hundredths: write 1.1."),
    ("site.altitude_m", 6000, "[site] altitude_m = 6000 is outside -430 to 5000 m", "not feet: write 1829."),
    ("home.window.0.azimuth_deg", -10, "[home] window no. 1: azimuth_deg = -10", "write 350, or 170 if you counted "
     "from south."),
    ("weather.humidity", [86.0] * 12, "[weather] humidity for January = 86", "It is a share, not per cent: write "
     "0.86."),
    ("hot_water.hygiene", {"hours": 180}, "[hot_water.hygiene] hours = 180", "It is in hours, not minutes: write 3."),
    ("hot_water.standing_loss_w", 0.08, "[hot_water] standing_loss_w = 0.08", "It is in W, not kW: write 80."),
    ("heat_pump.pump_w", 5000, "[heat_pump] pump_w = 5000", "Write a value within these bounds, such as 50."),
]  # fmt: skip


@pytest.mark.parametrize(("path", "value", "begin", "end"), MEANT, ids=[path for path, *_ in MEANT])
def test_the_unit_that_was_meant_is_named(path: str, value: Any, begin: str, end: str) -> None:
    base = table(battery={"usable_kwh": 8.0, "charge_kw": 3.0, "discharge_kw": 3.0})
    sentence = sentences(with_path(path, value, base))[0]
    assert sentence.startswith(f"case.toml: {begin}")
    assert end in sentence


TEXT_FOR_NUMBER = [
    ("180", "Write the number alone, without quotes: volume_l = 180."),
    ("180 l", "Write the number alone, without quotes, in litres: volume_l = 180."),
    ("179,5", "Write the number alone, without quotes: volume_l = 179.5."),
    ("big", "Write a number such as 180."),
]


@pytest.mark.parametrize(("value", "remedy"), TEXT_FOR_NUMBER)
def test_text_for_a_number(value: str, remedy: str) -> None:
    sentence = only(with_path("hot_water.volume_l", value))
    assert sentence == (
        f'case.toml: [hot_water] volume_l = "{value}" is text, and a number from 20 to 2000 litres is wanted '
        f"(volume of the cylinder). {remedy}"
    )


@pytest.mark.parametrize(
    ("text", "degrees"), [("6.3 W", "-6.3"), ("6,3 west", "-6.3"), ("-6.3", "-6.3"), ("6.3 E", "6.3")]
)
def test_west_is_negative(text: str, degrees: str) -> None:
    assert only(with_path("site.longitude_deg", text)).endswith(f"without quotes: longitude_deg = {degrees}.")


def test_per_cent_as_text() -> None:
    assert only(with_path("boiler.space_efficiency", "82 %")).endswith("It is a share: write space_efficiency = 0.82.")


SENTENCES = [
    ("hot_water.volume_l", True,
     "case.toml: [hot_water] volume_l = true is a switch, and a number from 20 to 2000 litres is wanted "
     "(volume of the cylinder). Write a number such as 180."),
    ("hot_water.volume_l", math.nan,
     "case.toml: [hot_water] volume_l = nan is no usable number, and a number from 20 to 2000 litres is wanted "
     "(volume of the cylinder). Write a number such as 180."),
    ("site.year", 2025.5,
     "case.toml: [site] year = 2025.5 is written with a decimal point, and a whole number from 1972 to 2099 is wanted "
     "(civil year that is run, in the home's own clock). Write 2026."),
    ("site.year", 2025.0,
     "case.toml: [site] year = 2025 is written with a decimal point, and a whole number from 1972 to 2099 is wanted "
     "(civil year that is run, in the home's own clock). Write 2025."),
    ("controls.flow", "compensate",
     'case.toml: [controls] flow = "compensate" is none of "compensated", "fixed", "least" (how the flow temperature '
     'is '
     'set: by outdoor temperature, fixed, or the least that will do). Perhaps flow = "compensated" is meant.'),
    ("emitters.kind", "fan_convectors",
     'case.toml: [emitters] kind = "fan_convectors" is none of "radiators", "underfloor", "fan convectors" (what '
     'gives the '
     'heat to the rooms). Perhaps kind = "fan convectors" is meant.'),
    ("emitters.kind", 3,
     'case.toml: [emitters] kind = 3 is none of "radiators", "underfloor", "fan convectors" (what gives the heat to '
     'the '
     'rooms). Write for example kind = "radiators".'),
    ("step_minutes", 20,
     "case.toml: step_minutes = 20 is not 60, 30 or 15 (length of a step in minutes). Write for example step_minutes "
     "= 60."),
    ("controls.straight", "yes",
     'case.toml: [controls] straight = "yes" is neither true nor false (whether the curve is a straight line, '
     'without the '
     "emitter's own shape). Write straight = true or straight = false, without quotes."),
    ("name", 5,
     'case.toml: name = 5 is not text (what to call the home). Write text in quotes, such as name = "Bungalow by the '
     'water".'),
    ("name", "",
     'case.toml: name = "" is empty (what to call the home). Write for example name = "Bungalow by the water".'),
    ("site.country", "I" * 61,
     f'case.toml: [site] country = "{"I" * 61}" is longer than 60 characters (ISO 3166 country code of two letters, '
     f'for '
     'public holidays). Write for example country = "IE".'),
    ("weather.mean_c", [5.0] * 11,
     "case.toml: [weather] mean_c = [5, 5, 5, 5, 5, 5, 5, 5, 5, 5, 5] holds 11 values, and twelve are wanted, "
     "January to "
     "December (mean outdoor temperature of each month). Write one value for each month."),
    ("weather.humidity", 0.8,
     "case.toml: [weather] humidity = 0.8 is not a list of twelve values, January to December (mean relative "
     "humidity of "
     "each month). Write twelve values in brackets: humidity = "
     "[0.8, 0.8, 0.8, 0.8, 0.8, 0.8, 0.8, 0.8, 0.8, 0.8, 0.8, 0.8]."),
    ("comfort.periods.0.from", "6:30",
     'case.toml: [comfort] periods no. 1: from = "6:30" is not a time of day "HH:MM" from "00:00" to "23:59" (time '
     'of day at '
     'which it begins, "HH:MM"). Write from = "06:30".'),
    ("comfort.periods.0.to", "9 am",
     'case.toml: [comfort] periods no. 1: to = "9 am" is not a time of day "HH:MM" from "00:00" to "24:00" (time of '
     'day at '
     'which it ends, "HH:MM" or "24:00"). Write to = "09:00".'),
    ("comfort.periods.0.from", "24:00",
     'case.toml: [comfort] periods no. 1: from = "24:00" is not a time of day "HH:MM" from "00:00" to "23:59" (time '
     'of day '
     'at which it begins, "HH:MM"). Midnight at which something begins is written "00:00".'),
    ("comfort.periods.0.from", "early",
     'case.toml: [comfort] periods no. 1: from = "early" is not a time of day "HH:MM" from "00:00" to "23:59" (time '
     'of day '
     'at which it begins, "HH:MM"). Write two digits for the hour and for the minute: from = "07:00".'),
    ("comfort.periods", [5],
     "case.toml: [comfort] periods no. 1 = 5 holds an entry that is not a table (parts of the day with a temperature "
     "of "
     "their own). Write [[comfort.periods]] and its keys beneath it."),
    ("hot_water.windows", [],
     "case.toml: [hot_water] windows = [] is empty, and at least one entry is needed (parts of the day in which the "
     "water "
     'may be reheated). Write for example windows = [{ from = "00:00", to = "24:00", days = "all" }].'),
    ("home.window", {"area_m2": 4.0},
     "case.toml: [home] window = { area_m2 = 4 } is one table, and a list of tables is wanted (the windows; an empty "
     "list "
     "for none). Write [[home.window]] with double brackets."),
    ("home.window", 4,
     "case.toml: [home] window = 4 is not a list of tables (the windows; an empty list for none). Write "
     "[[home.window]] and "
     "its keys beneath it, once for each."),
    ("home.loss", 190,
     "case.toml: [home] loss = 190 is not a table (how much heat the home loses). Write [home.loss] and its keys "
     "beneath it."),
    ("boiler.as_operated", [{"setback_c": 18.0}],
     "case.toml: [boiler] as_operated = [{ setback_c = 18 }] is a list, and one table is wanted (set-points that were "
     "held with "
     "the boiler). Write [boiler.as_operated] with single brackets."),
    ("battery", 8,
     "case.toml: battery = 8 is not a table. Write [battery] and its keys beneath it."),
    ("battery", [{"usable_kwh": 8}],
     "case.toml: battery = [{ usable_kwh = 8 }] is a list, and one table is wanted. Write [battery] with single "
     "brackets."),
    ("heat_pump.points_hold", "fan",
     'case.toml: [heat_pump] points_hold = "fan" is not a list (what the electricity of the points already holds). '
     'Write it '
     'in brackets: points_hold = ["defrost", "fan"].'),
    ("heat_pump.points_hold", ["fans"],
     'case.toml: [heat_pump] points_hold no. 1 = "fans" is none of "defrost", "fan", "pump" (what the electricity of '
     'the '
     'points already holds). Perhaps points_hold = "fan" is meant.'),
    ("weather.mean_c.3", 140,
     "case.toml: [weather] mean_c for April = 140 is outside -50 to 45 °C (mean outdoor temperature of each month). "
     "Write a "
     "value within these bounds, such as 10."),
]  # fmt: skip


@pytest.mark.parametrize(
    ("path", "value", "sentence"), SENTENCES, ids=[f"{path}={value!r}"[:50] for path, value, _ in SENTENCES]
)
def test_the_whole_sentence(path: str, value: Any, sentence: str) -> None:
    assert only(with_path(path, value)) == sentence
