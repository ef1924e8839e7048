"""Keys that are unknown, missing or too many, and all faults of a file at once."""

from __future__ import annotations

from typing import Any

import pytest
from case.right_tables import RIGHT
from case.stated import only, sentences, table, with_path
from hypothesis import given, settings
from hypothesis import strategies as st

from simkit.case.heating.boiler import Carbon
from simkit.case.home.household import Household
from simkit.schema.messages import checked, needed_keys
from simkit.schema.overlay import parts_of
from simkit.schema.section import Section

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
     "certificate_kind, certificate_year, fuel_amount, fuel_unit, fuel_includes_water."),
]  # fmt: skip


@pytest.mark.parametrize(("path", "sentence"), UNKNOWN, ids=[path for path, _ in UNKNOWN])
def test_unknown_keys_get_the_nearest_legal_one(path: str, sentence: str) -> None:
    value: Any = {"volume_l": 180} if path == "hotwater" else 5
    base = table(battery={"usable_kwh": 8.0, "charge_kw": 3.0, "discharge_kw": 3.0})
    assert only(with_path(path, value, base)) == sentence


def test_strange_tables() -> None:
    assert only(table(band=[{"name": "night"}])) == (
        'case.toml: [[band]] belongs to a tariff file, not to a case. Name that file here: tariff = "file.toml".'
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
    for name in ("site", "weather", "home", "emitters", "household"):
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


MISSPELT = [
    ("currency", "curency", "EUR", "case.toml: curency is not a key at the top of the file. Perhaps currency is "
     "meant."),
    ("site.latitude_deg", "site.latitude", 53.0, "case.toml: [site] latitude is not a key of this table. Perhaps "
     "latitude_deg is meant."),
    ("heat_pump.point", "heat_pump.points", [], "case.toml: [heat_pump] points is not a key of this table. Perhaps "
     "point is "
     "meant."),
]  # fmt: skip


@pytest.mark.parametrize(("right", "wrong", "value", "sentence"), MISSPELT, ids=[wrong for _, wrong, *_ in MISSPELT])
def test_a_misspelt_key_is_not_called_missing_too(right: str, wrong: str, value: Any, sentence: str) -> None:
    assert only(with_path(wrong, value, with_path(right, ...))) == sentence


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
