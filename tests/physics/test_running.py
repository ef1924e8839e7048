"""Fuel by hand, and when a boiler's heat is the cheaper one."""

from __future__ import annotations

import pytest

from simkit.physics.running import boiler_cheaper, fuel_kw

pytestmark = pytest.mark.short


def test_fuel_by_hand() -> None:
    """8 kW to rooms at 0.8 and 1.5 kW to water at 0.6 burn 10 and 2.5 kW."""
    assert fuel_kw(8.0, 1.5, 1 / 0.8, 1 / 0.6) == pytest.approx(12.5)


def test_cheaper_where_price_over_cop_is_above_the_price_of_its_heat() -> None:
    assert boiler_cheaper(0.30, 2.9, 0.10) == 1.0  # 0.103 a kWh from the machine
    assert boiler_cheaper(0.30, 3.1, 0.10) == 0.0  # 0.097
    assert boiler_cheaper(-0.05, 3.0, 0.10) == 0.0  # paid to use electricity
