"""Savings that don't add up."""

from __future__ import annotations

from functools import lru_cache

import pytest

from decide.invented import ROOF, few_candidates, stored, tariff, terrace
from simkit.case.build import vary
from simkit.decide.battery.together import Together, together


@lru_cache(maxsize=1)
def found() -> Together:
    with few_candidates():
        return together(vary(stored(), {"solar": ROOF, "tariff": tariff(export=0.04)}))


def test_eight_rows_and_the_parts_add_up_to_what_they_are_said_to() -> None:
    rows = found().table()
    assert rows.index.tolist() == [
        "none", "solar", "battery", "schedule", "solar + battery", "solar + schedule", "battery + schedule",
        "solar + battery + schedule",
    ]  # fmt: skip
    assert rows.loc["none", "saving"] == 0.0
    single = rows.loc[["solar", "battery", "schedule"], "saving"]
    assert rows.loc["solar + battery + schedule", "sum_of_parts"] == pytest.approx(single.sum())
    assert (single > 0.0).all()
    assert rows["after_wear"].to_numpy() == pytest.approx((rows["saving"] - rows["wear"]).to_numpy())
    assert [name for name in rows.index if rows.loc[name, "wear"] > 0.0] == [n for n in rows.index if "battery" in n]


def test_savings_overlap() -> None:
    """Battery and schedule chase the same cheap hours: together they save less than the sum of both."""
    assert found().table().loc["battery + schedule", "too_high_by"] > 0.0


def test_usual_panels_and_battery_are_tried_where_a_home_has_none_and_that_is_said() -> None:
    with few_candidates(LEAD_H=(1.0,), SET_BACK_K=(0.0,), CURVE_K=(0.0,)):
        tried = together(terrace())
    assert tried.table().loc["solar", "saving"] > 0.0
    assert tried.assumed is not None
    assert (
        "one of 5 kWh with 2,5 kW in and out is assumed, filled from the grid below 0,2200\u00a0€/kWh." in tried.assumed
    )
    assert "The case has no panels: 4 kWp at 35° to the south are assumed. State your own as [solar]." in tried.assumed
    assert found().assumed is None
