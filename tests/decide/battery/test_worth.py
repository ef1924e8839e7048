"""What a battery is worth in a home, and what a forecast is worth to it."""

from __future__ import annotations

import pytest

from decide.invented import ROOF, stored, tariff
from simkit.case.build import vary
from simkit.decide.battery.worth import battery_worth
from simkit.errors import CaseError


def test_a_forecast_is_worth_what_separates_tomorrow_from_yesterday() -> None:
    paid = vary(stored(usable_kwh=12.0), {"solar": ROOF, "tariff": tariff(night=0.2, day=0.34, export=0.15)})
    found = battery_worth(vary(paid, {"battery.fill_below_price": 0.25}), ranges=False).foresight
    assert found.index.tolist() == ["share", "tomorrow", "yesterday"]
    assert found.loc["tomorrow", "cost"] < found.loc["yesterday", "cost"]


def test_a_forecast_is_for_a_battery_that_the_grid_fills() -> None:
    with pytest.raises(CaseError) as caught:
        _ = battery_worth(stored(fill_below_price=None), ranges=False).foresight
    assert str(caught.value) == (
        "case.toml: [battery] fill_below_price is missing. Add fill_below_price to [battery]: a forecast matters to a "
        "battery that the grid fills."
    )
