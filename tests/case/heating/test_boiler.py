"""Fuel turned into kWh, and what is refused of it."""

from __future__ import annotations

from typing import Any

import pytest
from references import Reference

from case.stated import made, only, table
from simkit.case.heating.boiler import fuel_kwh, kwh_of_volume

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


def test_a_bill_of_gas_in_hundreds_of_cubic_feet() -> None:
    # own arithmetic: 110 × 2.83 = 311.3 m³; 311.3 × 1.02264 = 318.347832;
    # 318.347832 × 39.5 = 12574.739364 MJ; / 3.6 = 3492.983 kWh
    each = kwh_of_volume("ft3_100", 39.5, 1.02264)
    assert each is not None
    assert 110 * each == pytest.approx(3492.983, abs=0.001)
    assert kwh_of_volume("litre", 39.5, 1.02264) is None


WRONG_PRICES = [
    ({}, 108.0, 1.08),  # cents for a litre
    ({}, 1080.0, 1.08),  # for a thousand litres
    ({"kind": "gas", "unit": "kWh", "kwh_per_unit": 1.0}, 9.2, 0.092),
    ({"kind": "gas", "unit": "kWh", "kwh_per_unit": 1.0}, 92.0, 0.092),  # for a MWh
]


@pytest.mark.parametrize(("fuel", "price", "meant"), WRONG_PRICES)
def test_a_price_in_cents_or_for_a_thousand_is_answered_with_the_one_meant(
    fuel: dict[str, Any], price: float, meant: float
) -> None:
    stated = {**OIL, **fuel}
    said = only(table("option", "baseline", fuel={**stated, "price_per_unit": price}))
    assert said.startswith(f"case.toml: [fuel] price_per_unit = {price:g} is outside 0 to ")
    assert f"write {meant:g}" in said
    assert made(table("option", "baseline", fuel={**stated, "price_per_unit": meant})).fuel is not None


def test_a_standing_charge_of_a_year_is_no_price_of_a_day() -> None:
    said = only(table("option", "baseline", fuel={**OIL, "standing_per_day": 36.5}))
    assert "standing_per_day = 36.5 is outside 0 to 5 EUR per day." in said
    assert "if for a year, 0.1" in said


@pytest.mark.parametrize(
    ("kind", "unit"), [("gas", "m3"), ("gas", "ft3_100"), ("oil", "litre"), ("lpg", "kg"), ("lpg", "litre")]
)
def test_a_missing_calorific_value_is_answered_with_one_of_that_fuel(kind: str, unit: str) -> None:
    """The value proposed works, and is that of the fuel: 39.5 MJ/m³ of gas are 10.97 kWh, never kerosene's 10.35."""
    fuel = {"kind": kind, "unit": unit, "price_per_unit": 0.9}
    said = only(table("option", "baseline", fuel=fuel))
    proposed = float(said.partition("kwh_per_unit = ")[2].split(",")[0].rstrip("."))
    assert (proposed == 10.35) is (kind == "oil")
    assert made(table("option", "baseline", fuel={**fuel, "kwh_per_unit": proposed})).fuel is not None
    if unit == "m3":
        assert proposed == pytest.approx(39.5 / 3.6, abs=0.005)
        assert said.endswith("or calorific_value_mj_m3 and volume_correction as the bill prints them.")
    assert made(table("option", "baseline", fuel={**fuel, "unit": "kWh"})).fuel.kwh_per_unit == 1.0  # type: ignore[union-attr]


SAP = "SAP 10.2 Table 4b, seasonal efficiency of gas boilers, codes 102, 101 and 110: winter and summer"


@pytest.mark.parametrize(
    ("boiler", "space", "water"),
    [
        ({"kind": "condensing"}, 0.84, 0.74), ({"kind": "non-condensing"}, 0.74, 0.64),
        ({"kind": "non-condensing", "age_years": 35.0}, 0.73, 0.63), ({"age_years": 5.0}, 0.84, 0.74),
        ({"age_years": 22.0}, 0.74, 0.64),
    ],
)  # fmt: skip
def test_an_efficiency_that_is_not_stated_is_that_of_its_kind_and_age(
    boiler: dict[str, Any], space: float, water: float
) -> None:
    case = made(table("option", "baseline", boiler=boiler, fuel={**OIL, "kind": "gas", "unit": "m3"}))
    assert case.boiler is not None
    Reference(space, SAP, 0.0, "printed").check(case.boiler.space_efficiency)
    Reference(water, SAP, 0.0, "printed").check(case.boiler.water_efficiency)
    assert any("space_efficiency" in note and "SAP 10.2 Table 4b" in note for note in case.notes)


def test_a_boiler_of_no_told_kind_keeps_the_common_value_and_what_is_stated_stays() -> None:
    untold = made(table("option", "baseline", boiler={})).boiler
    stated = made(table("option", "baseline", boiler={"kind": "non-condensing", "space_efficiency": 0.81})).boiler
    oil = made(table("option", "baseline", boiler={"kind": "non-condensing"})).boiler
    assert untold is not None
    assert stated is not None
    assert oil is not None
    assert (untold.space_efficiency, stated.space_efficiency) == (0.85, 0.81)
    assert oil.space_efficiency > oil.water_efficiency
