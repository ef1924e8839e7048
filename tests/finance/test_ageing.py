"""A simulated home with panels and battery in; what it costs more as they age, out: against hand and whole years."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import pytest
from case.stated import made, table
from invented_money import MONEY
from tariffs import band, tariff

from simkit.case.build import Case, vary
from simkit.case.money.money import Money
from simkit.case.power.battery import LEAST_HEALTH
from simkit.finance.ageing import ageing, ageing_note, faded
from simkit.finance.cashflow import OptionMoney
from simkit.finance.ledger import NOTHING
from simkit.finance.risk import sampled_costs
from simkit.uncertainty.distributions import usual_distributions
from simkit.uncertainty.draws import centred
from simkit.uncertainty.sampled_years import sampled_home, sampled_years
from simkit.year.simulate import simulate
from simkit.year.year import Year

PRICE, FADE = 0.25, 0.02
PANELS: dict[str, Any] = {
    "array": [{"kwp": 4.0, "tilt_deg": 35.0, "azimuth_deg": 180.0}],
    "inverter_kw": 8.0,
    "ageing_per_year": FADE,
}
BATTERY = {"usable_kwh": 5.0, "charge_kw": 2.5, "discharge_kw": 2.5, "fade_per_year": 0.05, "fade_per_cycle": 0.0001}
EVEN = tariff(band("All", PRICE, "00:00", "24:00"), export=PRICE, name="One price both ways")


def home(**parts: Any) -> Case:
    return vary(made(table("option", "baseline", money=MONEY, **parts)), tariff=EVEN)


@lru_cache(maxsize=4)
def panels() -> Year:
    return simulate(home(solar=PANELS))


@lru_cache(maxsize=4)
def both() -> Year:
    return simulate(vary(home(solar=PANELS, battery=BATTERY), tariff=tariff(band("All", PRICE, "00:00", "24:00"))))


def terms(**changes: Any) -> Money:
    said = {key: value for key, value in (MONEY | changes).items() if key != "part" or "part" in changes}
    money = made(table("option", "baseline", money=said)).money
    assert money is not None
    return money


def test_three_years_by_hand() -> None:
    """At one price both ways a kWh that panels lose costs that price, whether it would have been used or sold.

    Dobos 2014 (PVWatts Version 5 Manual, eq. 11, nominal efficiency over 0.9637): an inverter far from its limit gives
    0.9858 of what comes in, less 0.0059 of its rating while it runs, less a little by the square. That standing part
    stays while panels fade, so that year t loses 1 - (1 - fade)^(t - 1) of the first year's output with it added.
    """
    found = ageing(panels(), terms(horizon_years=3))
    running_h = (panels().hourly["solar_kw"] > 0).sum() * panels().axis.hours
    standing_kwh = 0.0059 / 0.9637 * PANELS["inverter_kw"] * running_h
    first = panels().totals["solar"] + standing_kwh
    lost = [0.0, FADE * first, (1 - (1 - FADE) ** 2) * first]
    assert (found["electricity_cost"] + found["export_cost"]).tolist() == pytest.approx(
        [PRICE * kwh for kwh in lost], rel=0.01, abs=0.1
    )
    assert found["import_kwh"].iloc[0] == 0
    assert 0 < found["import_kwh"].iloc[2] < lost[2], "the rest was sold"


def test_each_year_is_the_whole_year_at_its_age() -> None:
    found = ageing(both(), terms(horizon_years=9))
    cycles = both().totals["battery_discharge"] / 5.0
    old = simulate(
        vary(both().case, {"solar.age_years": 8.0, "battery.age_years": 8.0, "battery.cycles_done": 8 * cycles}),
        step_minutes=both().axis.step_minutes,
    )
    assert found.loc[9, "electricity_cost"] == pytest.approx(old.bill.total - both().bill.total, abs=0.1)
    assert found.loc[9, "import_kwh"] == pytest.approx(old.totals["import"] - both().totals["import"], abs=0.1)
    assert (found["electricity_cost"].diff().iloc[1:] > 0).all()


def test_a_replaced_battery_is_new_and_panels_stay_old() -> None:
    part = {"name": "battery", "of": "battery", "cost": 2500.0, "life_years": 4.0}
    inverter = {"name": "inverter", "of": "solar", "cost": 900.0, "life_years": 2.0}
    still = vary(both().case, {"solar.ageing_per_year": 0.0})
    found = ageing(simulate(still), terms(horizon_years=6, part=[part, inverter]))
    assert found.loc[5, "electricity_cost"] == 0, "replaced at the end of the fourth year"
    assert found.loc[6, "electricity_cost"] == pytest.approx(found.loc[2, "electricity_cost"])
    older = ageing(panels(), terms(horizon_years=4, part=[inverter]))
    assert (older["electricity_cost"].diff().iloc[1:] > 0).all()


def test_a_battery_fades_by_years_and_cycles_down_to_what_a_case_may_state() -> None:
    battery = both().case.battery
    assert battery is not None
    assert faded(battery, 4.0, 1000.0).health == pytest.approx(1 - 4 * 0.05 - 1000 * 0.0001)
    assert faded(battery, 40.0, 20_000.0).health == pytest.approx(LEAST_HEALTH)
    steady = battery.model_copy(update={"fade_per_year": 0.0, "fade_per_cycle": 0.0})
    assert faded(steady, 30.0, 9_000.0).health == 1.0


def test_the_cash_table_holds_it_with_the_rise_of_prices() -> None:
    case = home(solar=PANELS)
    money = terms(horizon_years=3, escalation={"electricity": 0.10, "electricity_sd": 0.0, "fuel_sd": 0.0})
    option = OptionMoney(case, panels(), money, NOTHING)
    now = option.ageing
    first = option.cash.loc[1]
    third = first["electricity_cost"] * 1.10**2 + now.loc[3, "electricity_cost"] * 1.10**2
    assert option.cash.loc[3, "electricity_cost"] == pytest.approx(third)
    assert option.cash.loc[3, "export_cost"] == pytest.approx(first["export_cost"] + now.loc[3, "export_cost"])
    assert option.import_kwh[2] == pytest.approx(panels().totals["import"] + now.loc[3, "import_kwh"])


def test_what_a_home_has_not_does_not_age() -> None:
    bare = simulate(home())
    assert (ageing(bare, terms(horizon_years=5)) == 0).all(axis=None)
    assert ageing_note(bare.case) == ""
    assert ageing_note(both().case) == (
        "Panels lose 2.0\u00a0% a year and the battery loses 5.0\u00a0% of its content a year and 10.0\u00a0% in a "
        "thousand cycles until it is replaced: every year of the table is simulated at their age in it."
    )


def test_sampled_years_age_too() -> None:
    case = home(solar=PANELS)
    option = OptionMoney(case, panels(), terms(horizon_years=12), NOTHING)
    middle = centred(usual_distributions(case))
    costs = sampled_costs(option, sampled_years(sampled_home(case, middle)), seed=None)
    assert costs[0] == pytest.approx(option.cash["total_cost"].to_numpy(), abs=0.5)
