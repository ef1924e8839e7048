"""Hourly prices: what a real control reaches of what perfect knowledge would."""

from __future__ import annotations

import os
import re
from pathlib import Path

import numpy as np
import pytest

import simkit as sk
from simkit.clock import TimeAxis
from simkit.decide.tariff.day_ahead import (
    AFTERNOON,
    AS_IT_IS,
    BY_CLOCK,
    BY_TODAY,
    BY_YESTERDAY,
    DayAhead,
    cheapest_steps,
    day_ahead,
    every_day_alike,
    yesterday,
)
from simkit.errors import CaseError

SAMPLES = Path(__file__).parents[3] / "sample_data"
DUBLIN = TimeAxis("Europe/Dublin", 2025, 60)
OPEN_DATA = os.environ.get("SIMKIT_OPEN_DATA")


@pytest.fixture(scope="module")
def hourly() -> DayAhead:
    case = sk.read_case(SAMPLES / "estuary_bungalow" / "case.toml")
    car = {"km_per_week": 250.0, "charger_kw": 7.4, "from": "18:00", "to": "07:00", "charging": "at_once"}
    return day_ahead(sk.vary(case, {
        "tariff": "../tariffs/estuary_day_ahead.toml", "car": car, "home.loss": {"w_per_k": 200.0},
        "controls.periods": [{"from": "05:00", "to": "22:00", "c": 21.0}],
        "comfort.periods": [{"from": "07:00", "to": "22:00", "c": 20.5}],
    }))  # fmt: skip


def test_who_knows_more_pays_less(hourly: DayAhead) -> None:
    costs = hourly.costs
    assert list(costs) == [AS_IT_IS, BY_CLOCK, BY_YESTERDAY, BY_TODAY]
    assert costs[AS_IT_IS] > costs[BY_CLOCK]
    assert costs[BY_TODAY] <= costs[BY_YESTERDAY] + 0.5
    assert costs[BY_YESTERDAY] <= costs[BY_CLOCK] + 0.5
    assert hourly.not_knowing == pytest.approx(costs[BY_YESTERDAY] - costs[BY_TODAY])
    assert costs[AS_IT_IS] - costs[BY_TODAY] > 100


def test_no_control_costs_warmth_or_hot_water(hourly: DayAhead) -> None:
    was = hourly.years[AS_IT_IS].year
    for found in hourly.years.values():
        assert found.year.comfort.degree_hours_below <= was.comfort.degree_hours_below + 10
        assert found.year.totals["tap_water_unmet"] <= was.totals["tap_water_unmet"] + 0.01 * was.totals["tap_water"]
        assert found.year.totals["car"] == pytest.approx(was.totals["car"], rel=0.003)


def test_yesterday_is_the_same_wall_time_one_day_before_through_both_clock_changes() -> None:
    price = np.arange(DUBLIN.steps, dtype=float)
    seen = yesterday(price, DUBLIN)
    stamp = DUBLIN.local.strftime("%m-%d %H:%M")
    at = {text: k for k, text in enumerate(stamp)}
    assert seen[at["03-29 09:00"]] == price[at["03-28 09:00"]]
    assert seen[at["03-31 02:00"]] == price[at["03-30 02:00"]]
    # own: 30 March has no 01:00-02:00; the day after sees the mean of its neighbours there
    assert seen[at["03-31 01:00"]] == pytest.approx((price[at["03-30 00:00"]] + price[at["03-30 02:00"]]) / 2)
    assert seen[0] == price[at["12-31 00:00"]], "the first day sees the last"


def test_the_cheapest_hours_of_each_day() -> None:
    price = np.tile([5.0, 1.0, 2.0, 1.0, 9.0, 9.0, 9.0, 9.0] * 3, 366)[: DUBLIN.steps]
    chosen = cheapest_steps(price, DUBLIN, 3.0)
    assert set(np.bincount(DUBLIN.day, weights=chosen)) == {3.0}
    assert list(DUBLIN.minute_of_day[(DUBLIN.day == 10) & chosen] // 60) == [1, 3, 9], "the first of equals"
    part = cheapest_steps(price, DUBLIN, 2.0, part=AFTERNOON)
    hours = DUBLIN.minute_of_day[part] // 60
    assert hours.min() >= 10
    assert hours.max() < 18


def test_a_clock_sees_every_day_alike() -> None:
    price = np.random.default_rng(1).random(DUBLIN.steps)
    seen = every_day_alike(price, DUBLIN)
    nine = DUBLIN.minute_of_day == 540
    assert seen[nine] == pytest.approx(np.full(nine.sum(), price[nine].mean()))


def test_without_a_file_of_prices_there_is_nothing_to_know() -> None:
    case = sk.read_case(SAMPLES / "estuary_bungalow" / "case.toml")
    sentence = (
        'case.toml: tariff "Estuary flat rate" has no file of prices, so that there is nothing to know ahead. '
        "Choose a tariff with a [series]."
    )
    with pytest.raises(CaseError, match=re.escape(sentence)):
        day_ahead(case)


@pytest.mark.skipif(
    not OPEN_DATA, reason="SIMKIT_OPEN_DATA is not set: no real day-ahead prices; invented ones are tested"
)
def test_on_real_prices_of_2022_knowing_is_worth_more_than_on_those_of_2024(tmp_path: Path) -> None:
    """Source: Energinet (www.energidataservice.dk), CC BY 4.0. The swing within a day was larger in 2022."""
    saved = {}
    for year in (2022, 2024):
        path = Path(str(OPEN_DATA)) / "prices" / f"energinet_dayahead_DK1_DK2_DE_{year}.csv"
        (tmp_path / f"spot_{year}.toml").write_text(
            f'name = "Spot {year}"\nnote = "Real market prices, the rest invented."\ncurrency = "DKK"\n'
            'valid_from = 2022-01-01\nclock = "local"\ntax = 0.25\nprices_include_tax = false\nstanding_per_day = 2.0\n'
            f'[series]\nname = "Spot"\nfile = "{path}"\ncolumn = "DK1_EUR_MWh"\nper = "MWh"\ninterval_minutes = 60\n'
            'clock = "utc"\nbridge_hours = 1\nfactor = 7.45\n'
        )
        car = {"km_per_week": 250.0, "charger_kw": 3.7, "from": "18:00", "to": "07:00", "charging": "at_once"}
        case = sk.read_case(SAMPLES / "harbour_flat" / "case.toml")
        changes = {"tariff": str(tmp_path / f"spot_{year}.toml"), "site.year": year, "car": car}
        found = day_ahead(sk.vary(case, changes))
        saved[year] = found.costs[AS_IT_IS] - found.costs[BY_TODAY]
        assert found.costs[BY_TODAY] <= found.costs[BY_YESTERDAY] + 5
    assert saved[2022] > 1.5 * saved[2024] > 0
