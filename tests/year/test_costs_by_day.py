"""Each day's cost: it adds up to the bill, and can be found by hand where a home is simple."""

from __future__ import annotations

import numpy as np
import pytest
from homes import changed

import simkit as sk

TARIFFS = ["estuary_flat", "estuary_blocks", "estuary_peak_power", "estuary_day_ahead", "moor_night_meter"]


@pytest.mark.parametrize("name", TARIFFS[:4])
def test_days_add_up_to_the_bill_and_to_its_months(name: str) -> None:
    year = sk.simulate(changed("estuary_bungalow", {"tariff": f"../tariffs/{name}.toml"}))
    daily = year.costs.by_day
    assert daily.sum() == pytest.approx(year.bill.total, abs=0.01)
    assert daily.groupby(daily.index.month).sum().to_numpy() == pytest.approx(year.bill.months, abs=0.01)
    assert len(daily) == 365


def test_a_day_at_one_price_is_its_kwh_times_the_price_and_its_standing_charge() -> None:
    year = sk.simulate(changed("estuary_bungalow", {"tariff": "../tariffs/estuary_flat.toml"}))
    kwh = np.bincount(year.axis.day, weights=year.flow("grid_import")) * year.axis.hours
    # own: 0.3452 a kWh and 0.82 a day, tax inside; the months are rounded to the cent
    assert year.costs.by_day.to_numpy() == pytest.approx(kwh * 0.3452 + 0.82, abs=0.002)


def test_fuel_falls_on_the_days_on_which_it_burns() -> None:
    year = sk.simulate(changed("estuary_bungalow", {"heat_source": "boiler"}))
    daily = year.costs.by_day
    assert daily.sum() == pytest.approx(year.bill.total, abs=0.01)
    burnt = np.bincount(year.axis.day, weights=year.flow("fuel"))
    assert np.corrcoef(daily, burnt)[0, 1] > 0.95
