"""Bad values in, plain sentences out: every number of every section, and every other kind of slip."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from case.stated import assert_plain, only, sections, sentences, table, with_path
from simkit.case.battery import Battery
from simkit.case.boiler import Boiler, Carbon, Fuel, Hybrid, Lived
from simkit.case.case import Case
from simkit.case.controls import Comfort, Controls, Emitters, Period, Span
from simkit.case.heat_pump import HeatPump, Point
from simkit.case.hints import bounds_of, span_of
from simkit.case.home import Element, Home, Loss, Window
from simkit.case.hot_water import HotWater, Hygiene
from simkit.case.household import Household
from simkit.case.ledger import Credit, Item, Ledger
from simkit.case.messages import checked, needed_keys
from simkit.case.money import Escalation, Measure, Money, Part, Service
from simkit.case.one_home import Head
from simkit.case.overlay import parts_of
from simkit.case.section import Section
from simkit.case.site import Site
from simkit.case.solar import Losses, Solar, SolarArray
from simkit.case.uncertainty import Uncertainty
from simkit.case.weather import Columns, WeatherSource
from simkit.errors import Fault

SPAN: dict[str, Any] = {"from": "07:00", "to": "22:00", "days": "all"}
PERIOD = {**SPAN, "c": 21.0}
WINDOW = {"area_m2": 4.0, "azimuth_deg": 180.0, "tilt_deg": 90.0, "transmittance": 0.6, "shading": 0.7}
ELEMENT = {"name": "walls", "area_m2": 90.0, "u_w_per_m2k": 0.5, "glazing": False}
ARRAY = {"kwp": 3.6, "tilt_deg": 35.0, "azimuth_deg": 180.0}
LOSSES = {"dirt": 0.02, "shade": 0.03, "wiring": 0.05, "downtime": 0.03}
POINT = {"source_c": 7.0, "flow_c": 35.0, "capacity_kw": 7.0, "cop": 4.5}
HYGIENE = {"every": "week", "weekday": "sunday", "from": "13:00", "hours": 3.0, "target_c": 60.0}
SCHEDULE = {"periods": [PERIOD], "otherwise_c": 18.0}
ITEM = {"label": "outdoor unit", "amount": 9800.0, "date": "2026-03-01", "kind": "quote", "paid": False}
CREDIT = {"amount": 6000.0, "rate_per_year": 0.06, "first_payment": "2026-04-01", "years": 5.0}
PART = {"name": "outdoor unit", "of": "heat_pump", "cost": 4500.0, "life_years": 16.0, "age_years": 0.0}
MEASURE = {
    "name": "lower curve", "changes": ["controls.design_flow_c = 45.0"], "cost": 0.0, "life_years": 10.0,
    "bother": "an hour", "who": "you",
}  # fmt: skip
RISES = {"electricity_sd": 0.01, "fuel_sd": 0.02}
SERVICE = {"heat_pump": 150.0, "boiler": 120.0}

# One right table of every section; the keys that are left out are optional and tried on top.
RIGHT: dict[type[Section], dict[str, Any]] = {
    Span: SPAN,
    Period: PERIOD,
    Window: WINDOW,
    Element: ELEMENT,
    SolarArray: ARRAY,
    Losses: LOSSES,
    Point: POINT,
    Hygiene: HYGIENE,
    Lived: SCHEDULE,
    Columns: {"outdoor_c": "temperature"},
    Site: {
        "zone": "Europe/Dublin", "country": "IE", "latitude_deg": 53.0, "longitude_deg": -6.0, "altitude_m": 10.0,
        "year": 2025, "design_outdoor_c": -2.0,
    },
    WeatherSource: {"mean_c": [5.0] * 12, "daily_range_k": [7.0] * 12, "humidity": [0.8] * 12},
    Home: {
        "floor_area_m2": 110.0, "volume_m3": 275.0, "thermal_mass": "medium", "air_side_share": 0.3,
        "open_windows_above_c": 25.0, "window": [WINDOW], "loss": {"w_per_k": 180.0},
    },
    Loss: {"w_per_k": 180.0},
    Comfort: {**SCHEDULE, "tolerance_k": 0.5, "over_c": 26.0},
    Controls: {
        **SCHEDULE, "flow": "compensated", "design_flow_c": 45.0, "no_heat_c": 16.0, "floor_c": 25.0,
        "ceiling_c": 60.0, "straight": False, "recovery_lift_k": 5.0, "mixing_penalty_k": 0.0,
    },
    Emitters: {
        "kind": "radiators", "rated_kw": 12.0, "exponent": 1.3, "water_difference_k": 5.0, "mass_share": 0.3,
    },
    HeatPump: {
        "name": "invented", "regression": "staffell2012_air", "capacity_7_35_kw": 7.0, "source": "air",
        "minimum_share": 0.3, "highest_flow_c": 60.0, "lowest_outdoor_c": -20.0, "degradation": 0.9, "standby_w": 10.0,
        "pump_w": 50.0, "backup_kw": 0.0, "backup_below_c": 0.0, "efficiency_scale": 1.0, "efficiency_boundary": "h4",
    },
    HotWater: {
        "volume_l": 180.0, "target_c": 55.0, "hysteresis_k": 6.0, "sensor_height": 0.4, "standing_loss_w": 80.0,
        "coil_ua_w_per_k": 750.0, "loss_to_rooms": 0.6, "immersion_kw": 3.0, "immersion": "hygiene", "windows": [SPAN],
        "hygiene": HYGIENE, "litres_per_day_at_40": 120.0, "cold_feed_c": 10.0, "cold_feed_swing_k": 4.0, "use_c": 40.0,
    },
    Boiler: {
        "space_efficiency": 0.85, "water_efficiency": 0.75, "capacity_kw": 20.0, "flow_c": 65.0, "pump_w": 80.0,
        "standby_w": 5.0, "lived": SCHEDULE,
    },
    Fuel: {
        "kind": "oil", "unit": "litre", "price_per_unit": 1.1, "kwh_per_unit": 10.35, "standing_per_day": 0.0,
        "other_use_kwh": 0.0, "carbon_g_per_kwh": 247.0,
    },
    Hybrid: {"boiler_below_c": -2.0, "by_price": False},
    Household: {
        "annual_kwh": 3000.0, "profile": "bdew_h0", "heat_share": 0.8, "people": 2.0, "heat_per_person_w": 60.0,
    },
    Carbon: {"electricity_g_per_kwh": 252.0, "source": "invented"},
    Solar: {"array": [ARRAY], "inverter_kw": 3.6, "losses": LOSSES},
    Battery: {
        "usable_kwh": 8.0, "charge_kw": 3.5, "discharge_kw": 3.5, "charge_efficiency": 0.95,
        "discharge_efficiency": 0.95, "idle_w": 15.0, "floor": 0.1, "wear_per_kwh": 0.0, "store_surplus": True,
        "fill_to": 1.0,
    },
    Uncertainty: {
        "installation_sd": 0.13, "price_sd": 0.1, "set_point_sd_k": 0.5, "boiler_efficiency_sd": 0.04,
        "heat_loss_sd": 0.15, "weather_sd_k": 0.6, "draws_sd": 0.2, "lanes": 64, "seed": 1,
    },
    Item: ITEM,
    Credit: CREDIT,
    Ledger: {"item": [ITEM]},
    Part: PART,
    Measure: MEASURE,
    Escalation: RISES,
    Service: SERVICE,
    Money: {
        "start": "2026-01-01", "horizon_years": 20, "terms": "real", "discount_rate": 0.035, "inflation": 0.02,
        "savings_rate": 0.0, "degradation_per_year": 0.005, "residual": "none", "carbon_decline_per_year": 0.0,
        "escalation": RISES, "service": SERVICE,
    },
}  # fmt: skip

NUMBERS = [
    pytest.param(section, key, id=f"{section.__name__}.{key}")
    for section in RIGHT
    for key, part in parts_of(section).items()
    if bounds_of(part.field) is not None
]


def refused(section: type[Section], key: str, value: Any) -> Fault:
    """The fault of one bad value, which must name the key and stand in plain words."""
    found, faults = checked(section, {**RIGHT[section], key: value}, "place")
    assert found is None
    mine = [fault for fault in faults if fault.given.split(" ")[0] == key]
    assert mine, faults
    for fault in faults:
        assert_plain(str(fault))
        assert all((fault.where, fault.given, fault.allowed, fault.remedy))
    return mine[0]


def as_field(section: type[Section], key: str, value: Any) -> Any:
    """The value, or twelve months of which April has it."""
    monthly = "months" if isinstance(parts_of(section)[key].field.examples[0], list) else ""
    return [0.5, 0.5, 0.5, value, *[0.5] * 8] if monthly else value


def test_every_section_has_a_right_table() -> None:
    assert set(RIGHT) == set(sections())
    for section, right in RIGHT.items():
        found, faults = checked(section, right, "place")
        assert not faults
        assert found is not None


@pytest.mark.parametrize(("section", "key"), NUMBERS)
def test_a_number_out_of_bounds_names_field_and_bounds(section: type[Section], key: str) -> None:
    field = parts_of(section)[key].field
    low, high = bounds_of(field) or (0.0, 0.0)
    whole = "int" in str(field.annotation)
    for value in (low - 1, high + 1, low - 1e9, high + 1e9, -1e300, 1e300):
        bad = int(value) if whole else value
        fault = refused(section, key, as_field(section, key, bad))
        assert f"is outside {span_of(field)}" in fault.allowed
        assert "(" in fault.allowed, "the meaning says why"


@pytest.mark.parametrize(("section", "key"), NUMBERS)
@pytest.mark.parametrize(
    "value", [math.nan, math.inf, -math.inf, True, False, "7", "much", "", {"a": 1}, [1.0]], ids=repr
)
def test_what_is_no_number_names_field_and_bounds(section: type[Section], key: str, value: Any) -> None:
    field = parts_of(section)[key].field
    fault = refused(section, key, as_field(section, key, value))
    assert "number" in fault.allowed
    assert span_of(field) in fault.allowed


@pytest.mark.parametrize(("section", "key"), NUMBERS)
def test_the_example_of_a_number_is_within_its_bounds(section: type[Section], key: str) -> None:
    field = parts_of(section)[key].field
    low, high = bounds_of(field) or (0.0, 0.0)
    example = field.examples[0] if field.examples else None
    values = example if isinstance(example, list) else [example]
    assert all(low <= value <= high for value in values)
    assert field.description


@pytest.mark.parametrize("section", [pytest.param(section, id=section.__name__) for section in RIGHT])
def test_every_required_key_is_missed_by_name(section: type[Section]) -> None:
    for key, part in parts_of(section).items():
        if not part.field.is_required():
            continue
        found, faults = checked(
            section, {name: value for name, value in RIGHT[section].items() if name != key}, "place"
        )
        assert found is None
        assert any(key in fault.given and "is missing" in fault.allowed for fault in faults)
        for fault in faults:
            assert_plain(str(fault))


def test_whole_numbers_take_no_fraction() -> None:
    assert refused(Site, "year", 2025.5).remedy == "Write 2026"
    assert "whole number" in refused(Uncertainty, "lanes", 64.0).allowed


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
    ("comfort.otherwise_c", 64.4, "[comfort] otherwise_c = 64.4", "It is in °C, not °F: write 18."),
    ("controls.design_flow_c", 318.15, "[controls] design_flow_c = 318.15", "It is in °C, not kelvin: write 45."),
    ("boiler.lived.otherwise_c", 289.15, "[boiler.lived] otherwise_c = 289.15", "not kelvin: write 16."),
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
    ("boiler.lived", [{"otherwise_c": 18.0}],
     "case.toml: [boiler] lived = [{ otherwise_c = 18 }] is a list, and one table is wanted (set-points that were "
     "held with "
     "the boiler). Write [boiler.lived] with single brackets."),
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


UNKNOWN = [
    ("controls.desing_flow_c", "case.toml: [controls] desing_flow_c is not a key of this table. Perhaps "
     "design_flow_c is meant."),
    ("battery.usable", "case.toml: [battery] usable is not a key of this table. Perhaps usable_kwh is meant."),
    ("curency", "case.toml: curency is not a key at the top of the file. Perhaps currency is meant."),
    ("target_c", "case.toml: target_c is not a key at the top of the file. It belongs to [hot_water]: move it there."),
    ("hotwater", "case.toml: [hotwater] is not a table of a case. Perhaps [hot_water] is meant."),
    ("home.loss.u", "case.toml: [home.loss] u is not a key of this table. Take it out, or use one of: w_per_k, "
     "design_kw, "
     "design_outdoor_c, design_indoor_c, element, bridge_w_per_k, air_changes_per_hour, certificate_kwh_m2, "
     "certificate_kind, fuel_amount, fuel_unit, fuel_includes_water."),
]  # fmt: skip


@pytest.mark.parametrize(("path", "sentence"), UNKNOWN, ids=[path for path, _ in UNKNOWN])
def test_unknown_keys_get_the_nearest_legal_one(path: str, sentence: str) -> None:
    value: Any = {"volume_l": 180} if path == "hotwater" else 5
    base = table(battery={"usable_kwh": 8.0, "charge_kw": 3.0, "discharge_kw": 3.0})
    assert only(with_path(path, value, base)) == sentence


def test_strange_tables() -> None:
    assert only(table(band=[{"name": "night"}])) == (
        "case.toml: [[band]] belongs to a tariff file, not to a case. Name that file here: tariff = \"file.toml\"."
    )
    found = only(table(xyz={"a": 1}))
    assert found.startswith("case.toml: [xyz] is not a table of a case. Take it out, or use one of: site, ")


def test_missing_keys_and_tables_come_with_an_example() -> None:
    assert only(with_path("site.latitude_deg", ...)) == (
        "case.toml: [site] latitude_deg is missing (latitude, north positive). Add a line such as: latitude_deg = 53.3."
    )
    assert only(table("household")) == (
        "case.toml: the table [household] is missing (electricity and heat of the people). Add [household] with "
        "annual_kwh."
    )
    assert only(table("weather")) == (
        "case.toml: the table [weather] is missing (monthly figures or a file of hours). "
        "Add [weather] with mean_c or degree_days or file."
    )
    assert "Add [home] with floor_area_m2, loss (w_per_k or design_kw or" in only(table("home"))
    found = sentences({})
    assert (
        'case.toml: name is missing (what to call the home). Add a line such as: name = "Bungalow by the water".'
        in found
    )
    for name in ("site", "weather", "home", "emitters", "hot_water", "household"):
        assert sum(f"the table [{name}] is missing" in line for line in found) == 1


CHOICES = [
    ({"w_per_k": 190.0, "design_kw": 6.0}, "w_per_k and design_kw are given together, and exactly one is allowed"),
    ({}, "w_per_k, design_kw, element, certificate_kwh_m2 and fuel_amount are all missing, and exactly one is needed"),
    ({"design_kw": 6.0, "design_outdoor_c": -3.0}, "design_indoor_c is missing, and design_kw needs it"),
    ({"w_per_k": 190.0, "bridge_w_per_k": 3.0}, "bridge_w_per_k belongs to element, which is not given: w_per_k is"),
]


@pytest.mark.parametrize(("loss", "phrase"), CHOICES, ids=[phrase[:30] for _, phrase in CHOICES])
def test_exactly_one_way(loss: dict[str, Any], phrase: str) -> None:
    sentence = only(with_path("home.loss", loss))
    assert sentence.startswith(
        f"case.toml: [home.loss] {phrase}" if not phrase.startswith("w_per_k") else "case.toml: [home.loss]"
    )
    assert phrase in sentence


def test_all_faults_of_a_file_at_once() -> None:
    stated = with_path("hot_water.volume_l", 0.18)
    stated = with_path("comfort.over_c", 20.0, stated)
    stated = with_path("site.zone", "Europe/Dubln", stated)
    stated = with_path("controls.design_flow_c", 80, stated)
    stated = with_path("currency", "EURO", stated)
    stated = with_path("option.1.emitters", {"rated_kw": -1.0}, stated)
    stated = with_path("baseline", "as it stand", stated)
    found = sentences(stated)
    words = ("volume_l", "over_c", "Europe/Dublin", "highest_flow_c = 62", "ISO 4217", "rated_kw = -1", "baseline")
    for word in words:
        assert sum(word in line for line in found) == 1, (word, found)
    assert len(found) == len(words)


def test_needed_keys_of_a_section() -> None:
    assert needed_keys(Carbon) == ["electricity_g_per_kwh", "source"]
    assert needed_keys(Household, RIGHT[Household]) == []


JUNK = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**12), 10**12) | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(list(RIGHT)), st.data())
def test_nothing_but_sentences_whatever_stands_in_a_table(section: type[Section], data: st.DataObject) -> None:
    key = data.draw(st.sampled_from([*parts_of(section), "strange"]))
    found, faults = checked(section, {**RIGHT[section], key: data.draw(JUNK)}, "place")
    assert (found is None) == bool(faults)
    for fault in faults:
        for word in ("pydantic", "Input should", "validation error", "Traceback"):
            assert word not in str(fault)


def test_the_keys_of_the_head_are_described_too() -> None:
    for part in parts_of(Head).values():
        assert part.field.description
        assert part.field.examples
    for section in (Case, *sections()):
        for key, part in parts_of(section).items():
            assert part.field.description, f"{section.__name__}.{key}"
            assert part.field.examples, f"{section.__name__}.{key}"
