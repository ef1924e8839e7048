"""Every number and every key of every section, broken in turn: the message names key, bounds and meaning."""

from __future__ import annotations

import math
from typing import Any

import pytest
from case.right_tables import RIGHT
from case.stated import assert_plain, sections

from simkit.case.build import Case
from simkit.case.case import Head
from simkit.case.home.site import Site
from simkit.case.money.uncertainty import Uncertainty
from simkit.errors import Fault
from simkit.schema.hints import bounds_of, span_of
from simkit.schema.messages import checked
from simkit.schema.overlay import parts_of
from simkit.schema.section import Section

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


def test_the_keys_of_the_head_are_described_too() -> None:
    for part in parts_of(Head).values():
        assert part.field.description
        assert part.field.examples
    for section in (Case, *sections()):
        for key, part in parts_of(section).items():
            assert part.field.description, f"{section.__name__}.{key}"
            assert part.field.examples, f"{section.__name__}.{key}"
