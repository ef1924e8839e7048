"""Amounts of fuel against published conversions."""

from __future__ import annotations

import pytest
from references import Reference

from simkit.case.fuel_units import billed_cubic_metres, gas_kwh

SI_1996_439 = "Gas (Calculation of Thermal Energy) Regulations, SI 1996/439: m³ × 1.02264 × CV / 3.6"


def test_a_cubic_metre_of_gas() -> None:
    Reference(11.2206, SI_1996_439, 5e-5, "the source prints four decimals").check(
        gas_kwh(1, 39.5, volume_correction=1.02264)
    )


def test_hundreds_of_cubic_feet_as_billed() -> None:
    Reference(2.83, "factor of British gas bills for 100 ft³", 0.0, "the bill's own factor").check(
        billed_cubic_metres(1)
    )


def test_a_bill_of_gas_in_hundreds_of_cubic_feet() -> None:
    # own arithmetic: 110 × 2.83 = 311.3 m³; 311.3 × 1.02264 = 318.347832;
    # 318.347832 × 39.5 = 12574.739364 MJ; / 3.6 = 3492.983 kWh
    assert gas_kwh(billed_cubic_metres(110), 39.5, volume_correction=1.02264) == pytest.approx(3492.983, abs=0.001)
