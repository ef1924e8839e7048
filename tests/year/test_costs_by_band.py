"""What is bought in each band and for what: it adds up to the import."""

from __future__ import annotations

import pytest
from homes import changed

import simkit as sk

USES = ["heating_kwh", "hot_water_kwh", "household_kwh", "car_kwh", "battery_kwh"]

CAR = {"km_per_week": 250.0, "charger_kw": 7.4, "from": "23:00", "to": "07:00", "charging": "at_once"}


def test_bands_and_uses_add_up_to_what_is_bought() -> None:
    year = sk.simulate(changed("estuary_bungalow", {"tariff": "../tariffs/estuary_long_night.toml", "car": CAR}))
    found = year.costs.by_band
    assert list(found.index) == ["Night", "Day"], "the cheapest first"
    assert found[USES].to_numpy().sum() == pytest.approx(year.totals["import"])
    for use in year.bill.bands:
        assert found.loc[use.name, USES].sum() == pytest.approx(use.kwh)
        assert found.loc[use.name, "share"] == pytest.approx(use.share)
        assert found.loc[use.name, "price_per_kwh"] == pytest.approx(use.price_per_kwh)
    assert found.loc["Night", "car_kwh"] == pytest.approx(year.totals["car"])
    assert found["household_kwh"].sum() == pytest.approx(year.totals["household"])


@pytest.mark.parametrize("name", ["estuary_blocks", "estuary_flat"])
def test_a_tariff_without_bands_is_one_row(name: str) -> None:
    year = sk.simulate(changed("estuary_bungalow", {"tariff": f"../tariffs/{name}.toml"}))
    found = year.costs.by_band
    assert len(found) == 1
    assert found["price_per_kwh"].iloc[0] == pytest.approx(year.bill.mean_price_per_kwh)
    assert found["share"].iloc[0] == 1.0


def test_what_goes_into_a_battery_is_bought_in_its_band_and_nothing_counts_twice() -> None:
    battery = {"usable_kwh": 6.0, "charge_kw": 3.0, "discharge_kw": 3.0, "fill_below_price": 0.2, "idle_w": 0.0}
    changes = {f"battery.{key}": value for key, value in battery.items()}
    year = sk.simulate(changed("estuary_bungalow", {"tariff": "../tariffs/estuary_long_night.toml", **changes}))
    found = year.costs.by_band
    assert found.loc["Night", "battery_kwh"] == pytest.approx(year.totals["battery_charge"])
    assert year.totals["battery_charge"] > 500.0
    for use in year.bill.bands:
        assert found.loc[use.name, USES].sum() == pytest.approx(use.kwh)
