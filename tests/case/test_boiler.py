"""Fuel turned into kWh, and what is refused of it."""

from __future__ import annotations

from typing import Any

import pytest
from references import Reference

from case.stated import made, only, table
from simkit.case.boiler import fuel_kwh

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
    assert only(table(boiler={"lived": {**lived, "otherwise_c": 16.0}})) == (
        "case.toml: [boiler.lived] periods 06:00 to 08:00 and 07:00 to 09:00 overlap from 07:00 to 08:00, and a "
        "minute can "
        "have only one temperature. Let one end where the other begins."
    )
