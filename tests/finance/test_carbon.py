"""Simulated years in; carbon by the average and by the hour, over the years, out."""

from __future__ import annotations

import pytest
from case.stated import made, table
from invented_money import DEAR, MONEY, OLD, compared, home

from simkit.finance.carbon import carbon_years
from simkit.finance.worth import worth
from simkit.year.simulate import simulate


def test_by_hand() -> None:
    made_ = worth(home(money={**MONEY, "carbon_decline_per_year": 0.1}), comparison=compared())
    old, new = made_.carbon[OLD], made_.carbon[DEAR]
    year = made_.option(DEAR).year
    assert new.first_year_kg == pytest.approx(year.carbon_kg)
    assert new.fuel_kg == 0
    assert new.electricity_kg == pytest.approx(year.totals["import"] * year.case.carbon.electricity_g_per_kwh / 1000)
    assert new.life_kg == pytest.approx(new.electricity_kg * (1 - 0.9**15) / 0.1)
    assert old.life_kg == pytest.approx(old.fuel_kg * 15 + old.electricity_kg * (1 - 0.9**15) / 0.1)
    assert new.electricity_by_hour_kg is None
    assert "; no factors by the hour are stated" in new.words
    assert new.words.endswith("; it falls by 10.0\u00a0% a year.")


def test_factors_of_the_hour() -> None:
    even = simulate(made(table(carbon={"electricity_g_per_kwh": 200.0, "by_hour_g_per_kwh": [200.0] * 24})))
    night = simulate(
        made(table(carbon={"electricity_g_per_kwh": 200.0, "by_hour_g_per_kwh": [800.0] * 6 + [0.0] * 18}))
    )
    money = home().money
    assert money is not None
    same, other = carbon_years(even, money), carbon_years(night, money)
    assert same.electricity_by_hour_kg == pytest.approx(same.electricity_kg)
    local = night.hourly_local
    wanted = local.loc[local.index.hour < 6, "import_kw"].sum() * night.axis.hours * 0.8
    assert other.electricity_by_hour_kg == pytest.approx(wanted)
    assert other.words == (
        "Electricity at the yearly average of 200 g/kWh (as stated), and beside it at the stated factors by hour of "
        "the day."
    )
