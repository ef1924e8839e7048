"""The household's own electricity: a profile or a file, and a year that isn't in MWh."""

from __future__ import annotations

from case.stated import made, only, table


def test_a_year_in_mwh() -> None:
    assert only(table(household={"annual_kwh": 3.2})) == (
        "case.toml: [household] annual_kwh = 3.2 is less than a home uses in a week. "
        "It is in kWh, not MWh: write 3200, or 0 for no household at all."
    )


def test_no_household_at_all() -> None:
    assert made(table(household={"annual_kwh": 0, "people": 0})).household.annual_kwh == 0


def test_profile_and_file() -> None:
    assert only(table(household={"annual_kwh": 3200, "profile": "bdew_h0", "file": "x.csv"})).startswith(
        "case.toml: [household] profile and file are given together, and exactly one is allowed"
    )
