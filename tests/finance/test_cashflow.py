"""A simulated year and terms of money in; a cash table that can be added up by hand out."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from invented_money import CHEAP, DEAR, MONEY, OLD, compared, home, quote

from simkit.billing.bill import Bill, BillLine, Kind
from simkit.finance.cashflow import COLUMNS, OptionMoney, running_parts, year_of
from simkit.finance.worth import worth


def option(name: str, **more: object) -> OptionMoney:
    return worth(home(**more), comparison=compared()).option(name)  # type: ignore[arg-type]


def line(label: str, amount: float, kind: Kind) -> BillLine:
    return BillLine(label, 1.0, "kWh", amount, np.full(12, amount / 12), kind, np.ones(12))


def test_the_first_year_is_the_bill_and_nothing_is_lost() -> None:
    for each in worth(home(), comparison=compared()).options:
        first = each.cash.loc[1]
        energy = first[["electricity_cost", "standing_cost", "fuel_cost", "export_cost"]].sum()
        assert energy == pytest.approx(each.year.bill.total)
        assert each.cash["total_cost"].sum() == pytest.approx(each.cash[list(COLUMNS)].to_numpy().sum())
        assert each.cash["worth_today"].to_numpy() == pytest.approx(
            each.cash["total_cost"].to_numpy() / 1.03 ** np.arange(16)
        )


def test_parts_are_replaced_at_their_ages_and_leave_a_residual() -> None:
    cheap, old = option(CHEAP).cash, option(OLD).cash
    assert cheap["replacement_cost"].to_dict() == pytest.approx(dict.fromkeys(range(16), 0.0) | {10: 4000.0})
    assert cheap.loc[15, "residual_cost"] == pytest.approx(-4000 * 0.5)  # five of its ten years are left
    assert old["replacement_cost"].to_dict() == pytest.approx(dict.fromkeys(range(16), 0.0) | {4: 3600.0})
    assert old.loc[15, "residual_cost"] == pytest.approx(-3600 * 7 / 18)
    assert (cheap.loc[1:, "service_cost"] == 150).all()
    assert (old.loc[1:, "service_cost"] == 120).all()
    none = option(CHEAP, money={**MONEY, "residual": "none"}).cash
    assert none["residual_cost"].sum() == 0


def test_a_line_that_wears_out_is_replaced_at_its_price() -> None:
    lines = [{**quote(6000.0), "life_years": 8.0, "replacement": 2500.0}]
    options = [{"name": OLD, "heat_source": "boiler"}, {"name": CHEAP, "ledger": {"item": lines}}, {"name": DEAR}]
    cash = option(CHEAP, option=options, money={**MONEY, "part": None}).cash
    assert cash.loc[0, "outlay_cost"] == 6000
    assert cash["replacement_cost"].to_dict() == pytest.approx(dict.fromkeys(range(16), 0.0) | {8: 2500.0})
    assert cash.loc[15, "residual_cost"] == pytest.approx(-2500 / 8)


def test_rises_begin_in_the_second_year() -> None:
    money = {**MONEY, "escalation": {"electricity": 0.05, "fuel": 0.10}}
    cheap, old = option(CHEAP, money=money).cash, option(OLD, money=money).cash
    growth = cheap["electricity_cost"].to_numpy()[1:] / cheap.loc[1, "electricity_cost"]
    assert growth == pytest.approx(1.05 ** np.arange(15))
    assert old.loc[2, "fuel_cost"] == pytest.approx(1.10 * old.loc[1, "fuel_cost"])
    assert old.loc[15, "standing_cost"] == pytest.approx(old.loc[1, "standing_cost"])


def test_nominal_and_real_tell_the_same() -> None:
    """The same world told both ways: years are one inflation apart, as the first isn't escalated."""
    plain = {**MONEY, "residual": "none", "part": None, "inflation": 0.02}
    nominal = option(CHEAP, money={**plain, "terms": "nominal", "discount_rate": 1.03 * 1.02 - 1.0})
    real = option(CHEAP, money=plain)
    running = [each.worth_today - 6000 for each in (nominal, real)]
    assert running[0] * 1.02 == pytest.approx(running[1])


def test_a_heat_pump_wears_and_a_boiler_does_not() -> None:
    money = {**MONEY, "degradation_per_year": 0.01}
    cheap, old = option(CHEAP, money=money), option(OLD, money=money)
    share = cheap.year.totals["heat_pump_electricity"] / cheap.year.totals["import"]
    ratio = cheap.cash.loc[3, "electricity_cost"] / cheap.cash.loc[1, "electricity_cost"]
    assert ratio == pytest.approx(1 + share * (0.99**-2 - 1))
    assert old.cash.loc[15, "electricity_cost"] == pytest.approx(old.cash.loc[1, "electricity_cost"])


def test_what_is_spent_already_is_left_out_from_now_on() -> None:
    spent = option(CHEAP, paid=True)
    assert spent.cash.loc[0, "outlay_cost"] == 6000
    assert spent.cash_from_now.loc[0, "outlay_cost"] == 0
    assert spent.cash.loc[1:].equals(spent.cash_from_now.loc[1:])


def test_days_go_to_the_nearest_whole_year() -> None:
    money = home().money
    assert money is not None
    days = ["2025-06-01", "2026-06-30", "2026-07-04", "2027-06-01", "2040-12-31"]
    assert [year_of(dt.date.fromisoformat(day), money) for day in days] == [0, 0, 1, 1, 15]


def test_tax_goes_with_what_it_is_charged_on() -> None:
    lines = [
        line("Night", 300.0, "energy"), line("Standing charge", 120.0, "standing"), line("Tax at 10 %", 42.0, "tax"),
        line("Gas standing charge", 60.0, "standing"), line("Gas burnt for heat", 600.0, "fuel"),
        line("Exported energy", -48.0, "export"),
    ]  # fmt: skip
    parts = running_parts(Bill.of("EUR", lines))
    assert parts == pytest.approx(
        {"electricity_cost": 330.0, "standing_cost": 192.0, "fuel_cost": 600.0, "export_cost": -48.0}
    )
    assert sum(parts.values()) == pytest.approx(Bill.of("EUR", lines).total)


def test_cost_of_heat_by_hand() -> None:
    cheap = option(CHEAP, money={**MONEY, "residual": "none", "part": None, "discount_rate": 0.0})
    totals, bill = cheap.year.totals, cheap.year.bill
    heat = totals["space_heat"] + totals["hot_water"]
    rest = totals["household"] / totals["import"] * running_parts(bill)["electricity_cost"]
    by_hand = (6000 / 15 + bill.total + 150 - rest) / heat
    assert cheap.heat_cost_per_kwh == pytest.approx(by_hand)
    assert cheap.annualised_cost == pytest.approx(6000 / 15 + bill.total + 150)
