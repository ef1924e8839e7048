"""The household's own electricity: a profile or a file, and a year that isn't in MWh."""

from __future__ import annotations

from typing import Any

import pytest
from references import Reference

from case.stated import made, only, table


def without(case: dict[str, Any], key: str) -> dict[str, Any]:
    return {**case, "household": {name: value for name, value in case["household"].items() if name != key}}


def test_a_year_in_mwh() -> None:
    assert only(table(household={"annual_kwh": 3.2})) == (
        "case.toml: [household] annual_kwh = 3.2 is less than a home uses in a week. "
        "It is in kWh, not MWh: write 3200, or 0 for no household at all."
    )


def test_no_household_at_all() -> None:
    assert made(table(household={"annual_kwh": 0, "people": 0})).household.annual_kwh == 0


def test_profile_and_file() -> None:
    assert only(table(household={"annual_kwh": 3200, "profile": "mean", "file": "x.csv"})).startswith(
        "case.toml: [household] profile and file are given together, and exactly one is allowed"
    )


@pytest.mark.parametrize(
    ("size", "people", "kwh"),
    [("one person", 1, 1900), ("two people", 2, 2890), ("three people", 3, 3720), ("four people", 4, 4085)],
)
def test_a_household_known_by_its_size_takes_the_published_mean(size: str, people: float, kwh: float) -> None:
    case = made(without(table(household={"size": size}), "annual_kwh"))
    source = "BDEW, mean use of German households by size, as quoted in 2022"
    Reference(kwh, source, 0.0, "the published figure itself").check(case.household.annual_kwh)
    assert case.household.people == people
    assert any("BDEW" in note and f"annual_kwh = {kwh}" in note for note in case.notes)


def test_a_large_household_says_that_its_figure_is_our_own() -> None:
    case = made(without(table(household={"size": "large"}), "annual_kwh"))
    assert case.household.annual_kwh > 4085
    assert any("own: beyond the published sizes" in note for note in case.notes)


def test_what_is_stated_counts_before_the_size() -> None:
    assert made(table(household={"size": "two people", "annual_kwh": 2400})).household.annual_kwh == 2400


def test_a_standby_that_uses_more_than_everything() -> None:
    assert only(table(household={"annual_kwh": 3200, "standby_w": 500})) == (
        "case.toml: [household] standby_w = 500 alone uses 4380 kWh a year, more than annual_kwh = 3200. "
        "Look up both: the standby is a part of those kWh."
    )


def test_a_file_of_the_households_load_needs_no_yearly_figure() -> None:
    case = made(table("option", "baseline", household={"file": "load.csv", "people": 2.0}))
    assert case.household.file == "load.csv"
    assert not any("annual_kwh" in note for note in case.notes)
