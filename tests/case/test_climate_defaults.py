"""What follows from the place and its months: cold feed, daily range, humidity, ground, carbon of the electricity."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from references import Reference

from case.stated import table
from simkit.case.build import case_from
from simkit.case.climate_defaults import carbon_by_country, climate_followers
from simkit.case.shipped import default_table

BURCH = "Burch and Christensen 2007: 6 °F over the air's mean; 0.4 + 0.01 (T − 44 °F) of half its yearly range"
COAST = [5.0, 5.2, 6.5, 8.0, 10.6, 13.2, 15.0, 14.9, 13.2, 10.6, 7.6, 5.8]
PLAIN = [-3.0, -1.0, 4.0, 9.5, 14.5, 18.0, 20.5, 19.5, 14.5, 9.0, 3.0, -1.5]


def found(**said: Any) -> dict[tuple[str, str], Any]:
    return {place: value for place, value, _ in climate_followers({"weather": {"mean_c": COAST}, **said})}


def test_cold_water_follows_the_air_of_the_place() -> None:
    # 50 °F of mean and 18 °F between the months, in the units of the paper: 56 °F, and 0.46 of 9 °F
    months = [5.0, 15.0] * 6
    made = found(weather={"mean_c": months})
    Reference((50.0 + 6.0 - 32.0) / 1.8, BURCH, 0.05, "a tenth of a kelvin").check(made["hot_water", "cold_water_c"])
    Reference(0.46 * 9.0 / 1.8, BURCH, 0.05, "a tenth of a kelvin").check(made["hot_water", "cold_water_swing_k"])


def test_cold_water_of_a_cold_place_never_freezes() -> None:
    made = found(weather={"mean_c": [c - 8.0 for c in PLAIN]})
    assert made["hot_water", "cold_water_c"] - made["hot_water", "cold_water_swing_k"] >= 1.0


def test_a_mild_coast_keeps_its_days_and_an_inland_place_has_wider_and_drier_ones() -> None:
    assert ("weather", "daily_range_k") not in found()
    inland, usual = found(weather={"mean_c": PLAIN}), default_table()["weather"]
    assert all(a > b for a, b in zip(inland["weather", "daily_range_k"], usual["daily_range_k"], strict=True))
    assert sum(inland["weather", "humidity"]) < sum(usual["humidity"])
    turned = PLAIN[6:] + PLAIN[:6]
    south = found(weather={"mean_c": turned}, site={"latitude_deg": -38.0})
    assert south["weather", "humidity"] == inland["weather", "humidity"][6:] + inland["weather", "humidity"][:6]


def test_ground_and_groundwater_follow_the_mean_of_the_air() -> None:
    mean = sum(COAST) / 12.0
    assert found(heat_pump={"source": "constant"})["heat_pump", "source_c"] == pytest.approx(mean + 1.0, abs=0.06)
    by_curve = found(heat_pump={"regression": "ruhnau2019_ground"})
    assert by_curve["heat_pump", "source_c"] == pytest.approx(mean - 6.0, abs=0.06)
    assert ("heat_pump", "source_c") not in found(heat_pump={"regression": "ruhnau2019_air"})


def test_carbon_of_electricity_is_that_of_the_country_with_its_year() -> None:
    Reference(291.0, "Ember, Yearly Electricity Data: Ireland 2023, 290.81 g/kWh", 0.5, "rounded").check(
        found(site={"zone": "Europe/Dublin"})["carbon", "electricity_g_per_kwh"]
    )
    assert found(site={"zone": "Europe/Dublin", "country": "FR"})["carbon", "electricity_g_per_kwh"] == 56.0
    assert "IE in 2023" in found(site={"country": "IE"})["carbon", "source"]
    assert found(site={"country": "IE"}, carbon={"electricity_g_per_kwh": 99.0})["carbon", "source"] == "as stated"
    assert ("carbon", "source") not in found(site={"country": "TV"})  # no row: the figure of defaults.toml holds
    assert all(2021 <= year <= 2024 and 0 < grams < 1000 for year, grams in carbon_by_country().values())


def test_what_is_stated_is_never_moved_and_what_follows_is_said() -> None:
    said = {**table(), "weather": {"mean_c": PLAIN}}
    said["hot_water"] = {**said["hot_water"], "cold_water_c": 9.0}
    said["site"] = {**said["site"], "design_outdoor_c": -12.0}
    case = case_from(said, folder=Path(__file__).parent)
    assert (case.hot_water.cold_water_c, case.hot_water.cold_water_swing_k) == (9.0, 4.0)
    assert any("daily_range_k" in note and "inland" in note for note in case.notes)


@pytest.mark.parametrize("wrong", [None, "mild", [1.0] * 11, [True] * 12, [99.0] * 12])
def test_months_that_are_refused_lead_nothing(wrong: Any) -> None:
    assert set(found(weather={"mean_c": wrong})) <= {("carbon", "electricity_g_per_kwh"), ("carbon", "source")}
