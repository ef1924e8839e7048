"""Leaving a fuel: the last appliance keeps the standing charge; the fee, the order of steps."""

from __future__ import annotations

from typing import Any

import pytest
from homes import changed

import simkit as sk
from simkit.answers.money.leaving_fuel import fuel_sentence
from simkit.finance.leaving_fuel import LeavingFuel, leaving_fuel
from simkit.notation import Notation

EURO = Notation("en_IE", "EUR")
GAS = {"kind": "gas", "unit": "kWh", "kwh_per_unit": 1.0, "price_per_unit": 0.10, "standing_per_day": 0.40, "other_use_kwh": 600.0,
       "capping_fee": 90.0}  # fmt: skip


def found(**changes: Any) -> LeavingFuel | None:
    fuel = {**GAS, **changes.pop("fuel", {})}
    home = changed("estuary_bungalow", {"fuel": fuel, "home.loss": {"w_per_k": 200.0}, **changes})
    return leaving_fuel(sk.simulate(home))


def test_a_hob_keeps_the_standing_charge_and_leaving_saves_it() -> None:
    # own. Standing 365 × 0.40 = 146; gas of the hob 600 × 0.10 = 60; electricity 300 kWh × 0.3452 = 103.56.
    # Saving 146 + 60 - 103.56 = 102.44 a year; the fee of 90 is paid back in 0.88 years.
    hob = found()
    assert hob.burners == ("other appliances",)
    assert (hob.standing_cost, hob.other_fuel_cost) == (pytest.approx(146.0), pytest.approx(60.0))
    assert (hob.electricity_kwh, hob.electricity_cost) == (300.0, pytest.approx(103.56))
    assert hob.saving == pytest.approx(102.44)
    assert hob.pays_back_years == pytest.approx(90 / 102.44)
    assert fuel_sentence(hob, EURO) == (
        "Giving up gas altogether saves €102 a year: the standing charge of €146 and €60 of fuel fall away, €104 of "
        "electricity is added; the fee of €90 is paid back in 0.9 years."
    )


def test_a_large_other_use_can_make_leaving_dear() -> None:
    # own: 146 + 300 - 1500 × 0.3452 = 446 - 517.80 = -71.80
    dear = found(fuel={"other_use_kwh": 3000.0})
    assert dear.saving == pytest.approx(-71.80)
    assert dear.pays_back_years is None
    assert fuel_sentence(dear, EURO).startswith("Giving up gas altogether costs €72 a year")


def test_a_boiler_stands_in_the_way() -> None:
    boiler = found(heat_source="boiler")
    assert boiler.burners == ("boiler", "other appliances")
    assert boiler.saving == 0.0
    assert fuel_sentence(boiler, EURO) == "The boiler burns gas: the supply and its standing charge stay."
    assert boiler.steps[0].startswith("First see a whole winter through on the heat pump")


def test_with_the_last_appliance_gone_nothing_is_due() -> None:
    gone = found(fuel={"other_use_kwh": 0.0})
    assert (gone.burners, gone.standing_cost, gone.saving) == ((), 0.0, 0.0)
    assert fuel_sentence(gone, EURO) == "Nothing burns gas any more: no standing charge is due."


def test_the_order_of_steps_keeps_the_alarm_to_the_end_and_the_trade_in() -> None:
    steps = found().steps
    assert [step.split()[0] for step in steps] == ["Find", "Have", "Read", "End", "Take"]
    assert "licensed gas engineer, never by yourself" in steps[1]
    oil = found(fuel={"kind": "oil"}).steps
    assert "licensed firm" in oil[2]
    assert oil[-1] == steps[-1] == "Take the carbon-monoxide alarms down last of all."


@pytest.mark.parametrize("kind", ["electricity", "none"])
def test_where_no_fuel_is_bought_there_is_nothing_to_leave(kind: str) -> None:
    home = changed("estuary_bungalow", {"fuel": None, "home.loss": {"w_per_k": 200.0}})
    assert leaving_fuel(sk.simulate(sk.vary(home, {"fuel": {"kind": kind}}))) is None
