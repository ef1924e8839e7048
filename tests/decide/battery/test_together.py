"""Savings that don't add up, and what a forecast is worth."""

from __future__ import annotations

from functools import lru_cache

import pytest

from decide.invented import ROOF, stored, tariff, terrace
from decide.schedule import test_search as test_schedules
from simkit.case.build import vary
from simkit.decide.battery.together import foresight_table, interaction_sentence, interaction_table, interaction_years
from simkit.decide.schedule import search as schedules
from simkit.errors import CaseError


@lru_cache(maxsize=1)
def table():
    kept = {name: getattr(schedules, name) for name in test_schedules.FEW}
    for name, value in test_schedules.FEW.items():
        setattr(schedules, name, value)
    try:
        return interaction_table(interaction_years(vary(stored(), {"solar": ROOF, "tariff": tariff(export=0.04)})))
    finally:
        for name, value in kept.items():
            setattr(schedules, name, value)


def test_eight_rows_and_the_parts_add_up_to_what_they_are_said_to() -> None:
    found = table()
    assert found.index.tolist() == [
        "none", "solar", "battery", "schedule", "solar + battery", "solar + schedule", "battery + schedule",
        "solar + battery + schedule",
    ]  # fmt: skip
    assert found.loc["none", "saving"] == 0.0
    single = found.loc[["solar", "battery", "schedule"], "saving"]
    assert found.loc["solar + battery + schedule", "sum_of_parts"] == pytest.approx(single.sum())
    assert (single > 0.0).all()
    assert found["after_wear"].to_numpy() == pytest.approx((found["saving"] - found["wear"]).to_numpy())
    assert [name for name in found.index if found.loc[name, "wear"] > 0.0] == [n for n in found.index if "battery" in n]


def test_savings_overlap() -> None:
    """Battery and schedule chase the same cheap hours: together they save less than the sum of both."""
    assert table().loc["battery + schedule", "too_high_by"] > 0.0
    assert interaction_sentence(table(), "EUR").startswith("Together they save ")
    assert interaction_sentence(table(), "EUR").endswith("EUR more than that.")


def test_a_forecast_is_worth_what_separates_tomorrow_from_yesterday() -> None:
    paid = vary(stored(usable_kwh=12.0), {"solar": ROOF, "tariff": tariff(night=0.2, day=0.34, export=0.15)})
    found = foresight_table(vary(paid, {"battery.fill_below_price": 0.25}))
    assert found.index.tolist() == ["share", "tomorrow", "yesterday"]
    assert found.loc["tomorrow", "cost"] < found.loc["yesterday", "cost"]


def test_what_is_missing_is_said() -> None:
    with pytest.raises(CaseError) as caught:
        interaction_years(terrace())
    assert [str(fault) for fault in caught.value.faults] == [
        "case.toml: [solar] is missing, and nothing can be said of what it adds. Add a [solar] table.",
        "case.toml: [battery] is missing, and nothing can be said of what it adds. Add a [battery] table.",
    ]
    with pytest.raises(CaseError) as caught:
        foresight_table(terrace())
    assert str(caught.value) == (
        "case.toml: [battery] fill_below_price is missing. Add fill_below_price to [battery]: a forecast matters to a "
        "battery that the grid fills."
    )
