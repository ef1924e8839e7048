"""Switches of the battery that contradict each other."""

from __future__ import annotations

from typing import Any

import pytest

from case.stated import made, only, table

GOOD = {"usable_kwh": 8.0, "charge_kw": 3.5, "discharge_kw": 3.5}


@pytest.mark.parametrize(
    ("keys", "sentence"),
    [
        (
            {"reserve_share": 0.5, "charge_to": 0.4},
            "charge_to = 0.4 is below reserve_share = 0.5, the charge that is always kept. Write a share above the reserve, 1 "
            "for full.",
        ),
        (
            {"fill_below_price": 0.2, "sell_above_price": 0.2},
            "sell_above_price = 0.2 is not above fill_below_price = 0.2, so that it would sell at a loss. "
            "Sell at a price above the one at which it is filled.",
        ),
    ],
)
def test_what_contradicts_itself(keys: dict[str, Any], sentence: str) -> None:
    assert only(table(battery={**GOOD, **keys})) == f"case.toml: [battery] {sentence}"


def test_behind_the_panels_needs_panels() -> None:
    assert only(table(battery={**GOOD, "coupling": "dc"})) == (
        'case.toml: [battery] coupling = "dc" puts it behind the inverter of the panels, and there is no table [solar]. '
        'Add [solar], or write coupling = "ac" for a battery with an inverter of its own.'
    )


def test_the_three_switches_are_independent() -> None:
    battery = made(table(battery={**GOOD, "store_surplus": False, "sell_above_price": 0.4})).battery
    assert battery is not None
    assert (battery.store_surplus, battery.fill_below_price, battery.sell_above_price) == (False, None, 0.4)


@pytest.mark.parametrize(
    ("keys", "sentence"),
    [
        (
            {"usable_kwh": 120.0, "charge_kw": 2.0},
            "usable_kwh = 120 is more than charge_kw = 2 can fill in a whole day, 45.6 kWh. Look up both: the power in "
            "kW and the content in kWh.",
        ),
        (
            {"age_years": 30.0, "cycles_done": 20000.0},
            "age_years = 30 and cycles_done = 20000 leave 0% of the content by the stated fade, and that is no battery "
            "any more. Lower the age, the cycles or the fade.",
        ),
    ],
)
def test_what_can_not_be_a_battery(keys: dict[str, Any], sentence: str) -> None:
    assert only(table(battery={**GOOD, **keys})) == f"case.toml: [battery] {sentence}"


@pytest.mark.parametrize(
    ("keys", "given", "allowed"),
    [
        ({"charge_efficiency": 1.05}, "charge_efficiency = 1.05", "0.5 to 1"),
        ({"discharge_efficiency": 95}, "discharge_efficiency = 95", "0.5 to 1"),
        ({"reserve_share": 1.1}, "reserve_share = 1.1", "0 to 0.95"),
        ({"reserve_share": 2.0, "usable_kwh": 1.5}, "reserve_share = 2", "0 to 0.95"),
    ],
)
def test_shares_stay_shares(keys: dict[str, Any], given: str, allowed: str) -> None:
    """No more comes out than went in, and no more is kept back than it holds."""
    sentence = only(table(battery={**GOOD, **keys}))
    assert sentence.startswith(f"case.toml: [battery] {given} is outside {allowed}")


def test_fade_is_taken_off_by_years_and_cycles_together() -> None:
    battery = made(table(battery={**GOOD, "age_years": 4.0, "cycles_done": 1000.0})).battery
    assert battery is not None
    assert battery.health == pytest.approx(1.0 - 4 * 0.015 - 1000 * 0.00003)
