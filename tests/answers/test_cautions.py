"""Every caution of the register stands where its condition holds, and only there."""

from __future__ import annotations

from typing import Any

import pytest
from homes import sample
from references import Reference

import simkit as sk
from simkit.answers.cautions import LAST, REGISTER, SAFE_C, STORED_C, cautions_for
from simkit.answers.doubts.old_certificate import CERTIFICATE_YEARS
from simkit.answers.doubts.plausible import DOUBTS
from simkit.year.year import Year

STORED = Reference(
    60.0, "Health and Safety Executive, HSG274 part 2: hot water stored at 60 °C or more", 0.0, "printed"
)
ROOM = Reference(18.0, "WHO Housing and Health Guidelines 2018: 18 °C as a safe minimum indoors", 0.0, "printed")
VALID = Reference(10.0, "Directive 2010/31/EU, article 11: valid for ten years at most", 0.0, "printed")
HOT = {"hot_water": {"target_c": 60.0}, "heat_pump": {"highest_flow_c": 75.0}}
COOL = {"hot_water": {"target_c": 50.0, "hygiene": {"every": "never"}}}
BOILER = {"heat_source": "boiler"}
HOB = {"fuel": {"other_use_kwh": 400.0}}
WEAK = {"heat_pump": {"point": [{"source_c": -7.0, "flow_c": 35.0, "capacity_kw": 2.0, "cop": 2.6},
                                {"source_c": 7.0, "flow_c": 35.0, "capacity_kw": 2.5, "cop": 4.2}], "backup_kw": 0.0}}  # fmt: skip
STOPPED = {"heat_pump": {"lowest_outdoor_c": 0.0}}
COLD = {"comfort": {"periods": [], "setback_c": 15.0}, "controls": {"periods": [], "setback_c": 15.0}}
SMALL = {"hot_water": {"volume_l": 60.0, "tapping": "XL", "target_c": 40.0, "hygiene": {"every": "never"}}}
BATTERY = {"battery": {"usable_kwh": 5.0, "charge_kw": 2.0, "discharge_kw": 2.0}}
PANELS = {"solar": {"array": [{"kwp": 3.0, "tilt_deg": 35.0, "azimuth_deg": 180.0}]}}
STOVE = {"kind": "stove", "amount": 2.0, "unit": "m3", "price_per_unit": 90.0}
OTHER_WATER = {"hot_water": {"heated_by": "something else"}}


def certificate(made: int | None) -> dict[str, Any]:
    stated = {"certificate_kwh_m2": 150.0, "certificate_kind": "space heat demand"}
    return {"home": {"loss": stated | ({"certificate_year": made} if made else {})}}


# name of the entry, a change under which it holds, one under which it does not, what is proposed where it holds
CONDITIONS: tuple[tuple[str, dict[str, Any], dict[str, Any], set[str]], ...] = (
    ("stored water", COOL, HOT, set()),
    ("scald", HOT, COOL, set()),
    ("cold rooms", COLD, {}, set()),
    ("hot water short", SMALL, {}, set()),
    ("machine", WEAK, {}, set()),
    ("machine", STOPPED, {}, set()),
    ("main fuse", {"site": {"fuse_a": 20.0}}, {"site": {"fuse_a": 100.0}}, set()),
    ("battery", BATTERY, {}, set()),
    ("battery", {}, {}, {"battery"}),
    ("panels", PANELS, {}, set()),
    ("panels", {}, {}, {"panels"}),
    ("refrigerant", {}, BOILER, set()),
    ("hot circuit", {}, {}, {"emitters"}),
    ("solar thermal", {}, {}, {"solar thermal"}),
    ("carbon monoxide", BOILER, {}, set()),
    ("carbon monoxide", HOB, {}, set()),
    ("giving up a fuel", {}, BOILER, set()),
    ("asbestos", {}, {}, {"old boiler"}),
    ("noise", {}, BOILER, set()),
    ("stored water", OTHER_WATER, HOT, set()),
    ("empty home", {"household": {"away": [{"first": "02-10", "last": "02-16"}]}}, {}, set()),
    ("solar thermal", {"solar_thermal": {"heat_kwh": 900.0}}, {}, set()),
    ("stove", {"stove": STOVE}, {}, set()),
    ("stove", {"stove": {**STOVE, "goes_on": False}}, {}, set()),
    ("fresh air", {"ventilation": {"tightened_n50": 2.0}}, {"ventilation": {"n50": 6.0}}, set()),
    ("fresh air", {"ventilation": {"n50": 1.0, "fresh_air_per_hour": 0.2}}, {}, set()),
    ("room heater", {"room_heater": {"kwh": 300.0}}, {"room_heater": {"kwh": 300.0, "goes_on": False}}, set()),
    ("certificate", certificate(2014), certificate(2015), set()),
    ("certificate", certificate(None), {}, set()),
)


def year(change: dict[str, Any]) -> Year:
    return sk.simulate(sk.vary(sample("estuary_bungalow"), change) if change else sample("estuary_bungalow"))


def said_of(name: str, change: dict[str, Any], topics: set[str]) -> list[str]:
    """What the register says under one of its entries."""
    entry = next(one for one in REGISTER if one.name == name)
    said = [words for words in cautions_for([year(change)], topics) if words.startswith(OPENINGS[name])]
    assert all(words.endswith(f". Ask {entry.ask}. Source: {entry.source}.") for words in said)
    return said


OPENINGS: dict[str, str | tuple[str, ...]] = {
    "stored water": ("Hot water is set", "Hot water never gets", "How hot"), "scald": "Water of ", "cold rooms": "Rooms are under 18 °C for ",
    "hot water short": "Hot water runs short by ", "machine": ("The machine stops", "On the design day"),
    "main fuse": "The highest import", "battery": "A battery can burn", "panels": "Panels are",
    "refrigerant": "The heat pump holds refrigerant", "hot circuit": "The heating circuit",
    "solar thermal": "An old solar-thermal", "carbon monoxide": "Something in the home burns oil",
    "giving up a fuel": "Giving up oil", "asbestos": "Old boiler rooms", "noise": "An outdoor unit",
    "stove": "The stove makes carbon monoxide", "fresh air": "A tight home needs", "room heater": "A movable heater starts fires",
    "empty home": "The empty home is held at 14 °C", "certificate": "The heat loss is from a certificate",
}  # fmt: skip


@pytest.mark.parametrize(("name", "holds", "fails", "topics"), CONDITIONS)
def test_a_caution_stands_where_its_condition_holds_and_only_there(
    name: str, holds: dict[str, Any], fails: dict[str, Any], topics: set[str]
) -> None:
    assert len(said_of(name, holds, topics)) == 1
    assert said_of(name, fails, set()) == []


def test_every_entry_has_its_condition_tested() -> None:
    elsewhere = {
        "balance",
        *(name for name, *_ in DOUBTS),
    }  # tests/kernel/test_balance.py, tests/answers/test_plausible.py
    assert {name for name, *_ in CONDITIONS} | elsewhere == {entry.name for entry in REGISTER}


def test_the_published_minima() -> None:
    STORED.check(STORED_C)
    ROOM.check(SAFE_C)
    VALID.check(CERTIFICATE_YEARS)


STORED_WATER: list[tuple[dict[str, Any], str]] = [
    ({"target_c": 60.0}, "Hot water is set to 60 °C and reaches 60 °C on 52 of 365 days: "),
    ({"target_c": 60.0, "hygiene": {"every": "never"}}, "Hot water never gets hotter than 59.0 °C, whatever is set: "),
    ({"target_c": 50.0}, "Hot water is set to 50 °C and reaches 60 °C on 52 of 365 days: "),
    ({"target_c": 50.0, "immersion_kw": 0.0, "hygiene": {"target_c": 65.0}}, "Hot water never gets hotter than 59.0 °C"),
]  # fmt: skip


@pytest.mark.parametrize(("water", "begin"), STORED_WATER, ids=[str(water) for water, _ in STORED_WATER])
def test_stored_water_is_judged_by_what_it_reaches_and_not_by_what_is_set(water: dict[str, Any], begin: str) -> None:
    # a machine that makes water of 60 °C can't heat a cylinder to 60 °C
    assert said_of("stored water", {"hot_water": water}, set())[0].startswith(begin)


def test_a_caution_names_the_options_that_it_is_about() -> None:
    hot, cool = year(HOT), year(COOL | {"name": "Cool water"})
    said = [words for words in cautions_for([hot, cool]) if "legionella" in words]
    assert len(said) == 1
    assert "(with “Cool water”)" in said[0]


def test_a_caution_is_said_once_with_the_worst_value_and_all_that_it_holds_for() -> None:
    mild = {part: {"periods": [], "setback_c": 17.0} for part in ("comfort", "controls")}
    years = [year(COLD | {"name": "cold"}), year(mild | {"name": "mild"}), year({"name": "warm"})]
    lowest = [one.comfort.min_room_c for one in years]
    assert lowest[0] < lowest[1] < 18.0 <= lowest[2]
    said = [words for words in cautions_for(years) if "under 18 °C" in words]
    assert len(said) == 1
    assert f"down to {lowest[0]:.1f} °C: a risk to health (with “cold” worst, and “mild”)." in said[0]


def test_options_in_another_order_are_cautioned_alike() -> None:
    years = [year(BOILER | {"name": "Boiler"}), year(COOL | {"name": "Cool water"}), year({})]
    assert cautions_for(years) == cautions_for(years[::-1])


def test_the_last_word_is_that_of_local_codes_and_licensed_trades() -> None:
    assert cautions_for([year({})])[-1] == LAST
    assert "local codes" in LAST
    assert "licensed trades" in LAST
