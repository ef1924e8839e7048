"""Tables laid over tables: deeply, lists whole, another way in place of the first, nothing changed in place."""

from __future__ import annotations

import copy

import pytest
from case.stated import table

from simkit.case.build import Case
from simkit.case.home.home import Loss
from simkit.case.home.weather import WeatherSource
from simkit.errors import CaseError
from simkit.schema.overlay import lay_path, overlay, parts_of


def test_tables_are_merged_deeply_and_lists_replaced_whole() -> None:
    base = {"home": {"floor_area_m2": 100, "window": [{"area_m2": 1}, {"area_m2": 2}], "loss": {"w_per_k": 150}}}
    over = {"home": {"window": [{"area_m2": 3}], "loss": {"w_per_k": 120}}, "battery": {"usable_kwh": 5}}
    assert overlay(Case, base, over) == {
        "home": {"floor_area_m2": 100, "window": [{"area_m2": 3}], "loss": {"w_per_k": 120}},
        "battery": {"usable_kwh": 5},
    }


def test_nothing_is_changed_in_place_and_what_is_untouched_is_the_same() -> None:
    base = table()
    before = copy.deepcopy(base)
    after = overlay(Case, base, {"home": {"loss": {"design_kw": 5}}, "controls": {"design_flow_c": 40}})
    assert base == before
    assert after["site"] is base["site"]
    assert after["home"]["window"] is base["home"]["window"]


def test_another_way_drops_the_first_with_what_belonged_to_it() -> None:
    design = {"design_kw": 6, "design_outdoor_c": -3, "design_indoor_c": 21}
    assert overlay(Loss, design, {"w_per_k": 150}) == {"w_per_k": 150}
    assert overlay(Loss, {"w_per_k": 150}, design) == design
    both = {"w_per_k": 150, "design_kw": 6}
    assert overlay(Loss, {}, both) == both, "two ways said at once stay, to be refused"


def test_what_both_ways_share_stays() -> None:
    degree_days = {"degree_days": [200] * 12, "degree_day_base_c": 15.5, "humidity": [0.8] * 12}
    assert overlay(WeatherSource, degree_days, {"mean_c": [9] * 12}) == {"humidity": [0.8] * 12, "mean_c": [9] * 12}
    assert overlay(WeatherSource, degree_days, {"file": "x.epw"}) == {"file": "x.epw"}


def test_none_drops_a_key() -> None:
    assert overlay(Case, {"battery": {"reserve_share": 0.1}, "name": "x"}, {"battery": None}) == {"name": "x"}
    assert overlay(Case, {"name": "x"}, {"battery": None}) == {"name": "x"}


def test_paths() -> None:
    full = {"home": {"window": [{"area_m2": 1, "shading": 0.7}], "floor_area_m2": 90}}
    said = {"home": {"floor_area_m2": 90}}
    assert lay_path(Case, said, full, "home.window.0.area_m2", 5) == {
        "home": {"floor_area_m2": 90, "window": [{"area_m2": 5, "shading": 0.7}]}
    }
    assert lay_path(Case, said, full, "home.window.0", {"area_m2": 2})["home"]["window"] == [{"area_m2": 2}]
    assert lay_path(Case, said, full, "home.window.0.shading", None)["home"]["window"] == [{"area_m2": 1}]
    assert lay_path(Case, said, full, "battery.reserve_share", 0.2)["battery"] == {"reserve_share": 0.2}
    assert full["home"]["window"] == [{"area_m2": 1, "shading": 0.7}]


def test_an_empty_list_has_no_elements() -> None:
    with pytest.raises(CaseError, match=r'"0" is no element of that list\. The list is empty\.'):
        lay_path(Case, {}, {"home": {"window": []}}, "home.window.0.area_m2", 5)


def test_parts_know_tables_and_lists_of_tables() -> None:
    parts = parts_of(Case)
    assert list(parts)[:5] == ["name", "note", "currency", "heat_source", "as_operated"]
    assert parts["tariff"].section is None
    assert parts["battery"].section is not None
    window = parts_of(parts["home"].section or Case)["window"]
    assert window.many
    assert window.section is not None
