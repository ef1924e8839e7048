"""Fuel turned into kWh, and what is refused of it."""

from __future__ import annotations

from typing import Any

import pytest
from references import Reference

from case.stated import made, only, table
from simkit.case.heating.boiler import fuel_kwh, kwh_of_volume

SI_1996_439 = "Gas (Calculation of Thermal Energy) Regulations, SI 1996/439: m³ × 1.02264 × CV / 3.6"

OIL = {"kind": "oil", "unit": "litre", "price_per_unit": 1.1, "kwh_per_unit": 10.35}

SLIPS = [
    ({"kind": "electricity", "price_per_unit": 0.3}, 'kind = "electricity" is paid through the tariff, and takes no '
     'price and '
     "no standing charge here. Leave out price_per_unit and standing_per_day."),
    ({"kind": "none", "standing_per_day": 0.3}, 'kind = "none" costs nothing, and takes no price and no standing '
     'charge here. '
     "Leave out price_per_unit and standing_per_day."),
    ({**OIL, "unit": "kWh"}, 'kwh_per_unit = 10.35 contradicts unit = "kWh": a kWh holds 1 kWh. Write 1, or the unit '
     'in which '
     "the fuel is sold."),
]  # fmt: skip


@pytest.mark.parametrize(("fuel", "sentence"), SLIPS, ids=[str(fuel)[:40] for fuel, _ in SLIPS])
def test_what_is_refused_of_a_fuel(fuel: dict[str, Any], sentence: str) -> None:
    assert only(table("option", "baseline", fuel=fuel)) == f"case.toml: [fuel] {sentence}"


def _fuel(**more: Any) -> Any:
    return made(table("option", "baseline", fuel={**OIL, **more})).fuel


def test_amounts_in_the_unit_that_is_sold_and_in_kwh() -> None:
    assert fuel_kwh(_fuel(), 100.0, "litre") == pytest.approx(1035.0)
    assert fuel_kwh(_fuel(), 1035.0, "kWh") == 1035.0
    assert fuel_kwh(_fuel(), 100.0, "kg") is None
    assert fuel_kwh(_fuel(kind="lpg", unit="kg", kwh_per_unit=13.8), 10.0, "litre") is None


def test_hundreds_of_cubic_feet() -> None:
    gas = _fuel(kind="gas", unit="m3", kwh_per_unit=11.2206)
    kwh = Reference(2.83 * 11.2206, "British gas bills: 100 ft³ are counted as 2.83 m³", 1e-9, "arithmetic")
    kwh.check(fuel_kwh(gas, 1.0, "ft3_100") or 0.0)
    by_feet = _fuel(kind="gas", unit="ft3_100", kwh_per_unit=2.83 * 11.2206)
    assert fuel_kwh(by_feet, 2.83, "m3") == pytest.approx(2.83 * 11.2206)


def test_a_lived_schedule_is_checked_like_any_other() -> None:
    lived = {"periods": [{"from": "06:00", "to": "08:00", "c": 20.0}, {"from": "07:00", "to": "09:00", "c": 20.0}]}
    assert only(table(boiler={"as_operated": {**lived, "setback_c": 16.0}})) == (
        "case.toml: [boiler.as_operated] periods 06:00 to 08:00 and 07:00 to 09:00 overlap from 07:00 to 08:00, and a "
        "minute can "
        "have only one temperature. Let one end where the other begins."
    )


GAS = {"kind": "gas", "unit": "m3", "price_per_unit": 1.2, "calorific_value_mj_m3": 39.5, "volume_correction": 1.02264}
GAS_SLIPS = [
    ({"volume_correction": None}, "[fuel] volume_correction is missing, and a volume becomes kWh by both. "
     "Look it up on the bill and add volume_correction, or leave both out and write kwh_per_unit."),
    ({"kwh_per_unit": 10.0}, "[fuel] kwh_per_unit = 10 contradicts the calorific value and correction given, which make "
     "11.22 kWh of a unit. Leave kwh_per_unit out."),
    ({"unit": "litre", "kwh_per_unit": 10.0}, '[fuel] calorific_value_mj_m3 = 39.5 belongs to a gas sold by volume, and '
     'unit = "litre". Leave it out.'),
    ({"delivery_fee": 25.0}, "[fuel] delivery_amount is missing: how often the fee is due follows from both. "
     "Add delivery_amount, or leave both out."),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "sentence"), GAS_SLIPS, ids=[str(changes) for changes, _ in GAS_SLIPS])
def test_what_is_refused_of_a_metered_gas(changes: dict[str, Any], sentence: str) -> None:
    fuel = {key: value for key, value in {**GAS, "kwh_per_unit": 11.2206, **changes}.items() if value is not None}
    assert only(table("option", "baseline", fuel=fuel)) == f"case.toml: {sentence}"


def test_gas_by_volume_follows_from_calorific_value_and_correction() -> None:
    source = "Gas (Calculation of Thermal Energy) Regulations, SI 1996/439: m³ × 1.02264 × CV / 3.6"
    case = made(table("option", "baseline", fuel=GAS))
    Reference(11.2206, source, 5e-5, "the source prints four decimals").check(case.fuel.kwh_per_unit)
    hundreds = made(table("option", "baseline", fuel={**GAS, "unit": "ft3_100"})).fuel
    factor = "factor of British gas bills for 100 ft³: 2.83 m³"
    Reference(11.2206 * 2.83, f"{source}; {factor}", 2e-4, "four decimals of the cubic metre").check(
        hundreds.kwh_per_unit
    )
    assert any("SI 1996/439" in note for note in case.notes)


def test_a_delivery_spreads_its_fee_over_its_litres() -> None:
    # own: 1.10 + 27 / 900 = 1.13 a litre
    assert _fuel(delivery_fee=27.0, delivery_amount=900.0).cost_per_unit == pytest.approx(1.13)
    assert _fuel().cost_per_unit == 1.1


def test_a_cubic_metre_of_gas() -> None:
    kwh = kwh_of_volume("m3", 39.5, 1.02264)
    assert kwh is not None
    Reference(11.2206, SI_1996_439, 5e-5, "the source prints four decimals").check(kwh)


def test_a_bill_of_gas_in_hundreds_of_cubic_feet() -> None:
    # own arithmetic: 110 × 2.83 = 311.3 m³; 311.3 × 1.02264 = 318.347832;
    # 318.347832 × 39.5 = 12574.739364 MJ; / 3.6 = 3492.983 kWh
    each = kwh_of_volume("ft3_100", 39.5, 1.02264)
    assert each is not None
    assert 110 * each == pytest.approx(3492.983, abs=0.001)
    assert kwh_of_volume("litre", 39.5, 1.02264) is None
