"""Worths and samples in; ranges, odds, fans, convergence and regret out."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
import pytest
from case.stated import made, table
from invented_money import CHEAP, DEAR, MONEY, OLD, compared, home

from simkit.case.build import vary
from simkit.case.load import read_case
from simkit.case.sample_homes import sample_file
from simkit.finance.risk import PRICE_FUTURES, PriceFuture, Prospects, prospects, regret, sampled_costs
from simkit.finance.worth import Worth, worth
from simkit.kept import disk
from simkit.uncertainty.distributions import Distribution, usual_distributions
from simkit.uncertainty.draws import centred, drawn, fixed
from simkit.uncertainty.sampled_years import sampled_home, sampled_years
from simkit.year.compare import compare

BURNT = {"fuel_amount": 17_000.0, "fuel_unit": "kWh"}


@lru_cache(maxsize=1)
def weighed() -> Worth:
    return worth(home(), comparison=compared())


@lru_cache(maxsize=1)
def sampled() -> Prospects:
    return prospects(weighed(), samples=64)


def test_the_middle_of_everything_is_the_year_as_stated() -> None:
    for option in weighed().options:
        middle = centred(usual_distributions(option.case))
        found = sampled_years(sampled_home(option.case, middle)).rows.iloc[0]
        total = found[["electricity_cost", "export_cost", "fuel_cost", "standing_cost"]].sum()
        assert total == pytest.approx(option.year.bill.total, abs=0.15), "rounded by month against not rounded"
        assert found["weather"] == 0
        if option.year.spf.h4 is not None:
            assert found["spf_h4"] == pytest.approx(option.year.spf.h4, rel=1e-6)


@pytest.mark.parametrize("name", ["canal_terrace", "harbour_flat"])
def test_the_middle_of_every_option_of_a_sample_is_its_year(name: str) -> None:
    for year in compare(read_case(sample_file(name))).years:
        middle = centred(usual_distributions(year.case))
        found = sampled_years(sampled_home(year.case, middle)).rows.iloc[0]
        total = found[["electricity_cost", "export_cost", "fuel_cost", "standing_cost"]].sum()
        assert total == pytest.approx(year.bill.total, abs=0.15), "panels, gas that stays, direct electric heating"


def test_its_cash_is_the_yearly_table() -> None:
    option = weighed().option(DEAR)
    middle = centred(usual_distributions(option.case))
    amounts = sampled_costs(option, sampled_years(sampled_home(option.case, middle)))
    assert amounts[0] == pytest.approx(option.cash["total_cost"].to_numpy(), abs=0.5)


def test_odds_are_shares_of_the_samples_by_hand() -> None:
    found = sampled()
    running = np.cumsum(found.saved_by_year(DEAR), axis=1)
    for years in (7, 15, 99):
        by_hand = np.mean([(row[min(years, 15) :] >= -1e-9).all() for row in running])
        assert found.odds(DEAR, years) == pytest.approx(by_hand)


def test_a_known_boiler_bill_has_no_spread() -> None:
    """What was burnt is known, whatever the boiler, the set-points and the draws really were; its price is not.

    A thousandth is what finding the loss leaves, since the water of a cylinder comes in whole charges. It is laid on the
    boiler's efficiency, in which fuel is exactly inverse: the tolerance is that of floating point.
    """
    case = made(table(home={"floor_area_m2": 110.0, "loss": BURNT}, baseline=OLD,
                      option=[{"name": OLD, "heat_source": "boiler", "as_operated": True}]))  # fmt: skip
    case = vary(case, {"household.profile": "mean"})  # sixteen households warm the rooms at other times
    _, _, old = case.options()[0]
    draws = drawn(fixed(usual_distributions(old), "weather", "fuel_amount", "fuel_winter"), 64)
    fuel = sampled_years(sampled_home(old, draws)).rows["fuel_kwh"]
    assert (fuel / 17_000.0 - 1).abs().max() < 1e-9
    assert draws["fuel_price"].std() > 0.05, "what a kWh will cost stays unknown"
    unknown = made(table(option=[{"name": OLD, "heat_source": "boiler"}], baseline=OLD)).options()[0][2]
    assert sampled_years(sampled_home(unknown, draws)).rows["fuel_kwh"].std() > 0.02 * fuel.mean()


def test_ranges_are_taken_on_differences() -> None:
    found = sampled()
    gain = found.gain(DEAR, CHEAP)
    assert gain.low < gain.middle < gain.high
    apart = found.gain_samples(DEAR) - found.gain_samples(CHEAP)
    assert found.gain_samples(DEAR, CHEAP) == pytest.approx(apart)
    assert apart.std() < found.gain_samples(DEAR).std(), "options share their samples"
    assert found.first_year_saving(DEAR).low < found.first_year_saving(DEAR).high


def test_odds_and_fan_read_the_same_samples() -> None:
    found = sampled()
    back, fan = found.paid_back(DEAR, discounted=True, against=OLD), found.fan(DEAR)
    assert back.between(0, 1).all()
    assert back.is_monotonic_increasing, "for good is for good"
    assert back.iloc[-1] == pytest.approx((found.gain_samples(DEAR) > 0).mean())
    assert list(fan.iloc[0]) == [-7900.0] * 3
    assert fan["middle"].iloc[-1] == pytest.approx(found.gain(DEAR).middle)
    assert ((fan["low"] <= fan["middle"]) & (fan["middle"] <= fan["high"])).all()


def test_convergence_is_shown() -> None:
    table_ = sampled().convergence(DEAR)
    assert list(table_.index) == [16, 32, 64]
    assert table_.loc[64, "middle"] == sampled().gain(DEAR).middle


def test_later_years_meet_weathers_of_their_own() -> None:
    option = weighed().option(CHEAP)
    still = fixed(
        usual_distributions(option.case), *[d.name for d in usual_distributions(option.case) if d.name != "weather"]
    )
    draws = drawn(still, 256)
    amounts = sampled_costs(option, sampled_years(sampled_home(option.case, draws)))
    single, life = amounts[:, 1].std() / amounts[:, 1].mean(), amounts[:, 1:].mean(axis=1)
    assert life.std() / life.mean() < 0.5 * single, "many years even the weather out"


def test_a_spread_of_nothing_gives_a_range_of_nothing() -> None:
    everything = [d.name for d in usual_distributions(weighed().base.case)]
    own = [
        Distribution(name, "normal", c, 0.0, "", "own", "a test") for name, c in zip(everything, centres(), strict=True)
    ]
    found = prospects(weighed(), samples=8, own=own)
    gain = found.gain(DEAR)
    assert gain.high - gain.low == pytest.approx(0.0, abs=1e-6)


def centres() -> list[float]:
    return [float("nan") if d.name == "weather" else d.centre for d in usual_distributions(weighed().base.case)]


def test_regret_by_hand() -> None:
    futures = (PriceFuture("as it is"), PriceFuture("fuel twice as dear", fuel=2.0))
    found = regret(weighed(), futures)
    old, dear = weighed().option(OLD), weighed().option(DEAR)
    more = float(old.cash.loc[1:, "fuel_cost"].to_numpy() @ 1.03 ** -np.arange(1.0, 16.0))
    in_second = {OLD: old.worth_today + more, DEAR: dear.worth_today, CHEAP: weighed().option(CHEAP).worth_today}
    assert found.loc[OLD, "fuel twice as dear"] == pytest.approx(in_second[OLD] - min(in_second.values()))
    assert (found.drop(columns="greatest").min(axis=0) == 0).all()
    assert len({future.name for future in PRICE_FUTURES}) == len(PRICE_FUTURES)


def test_words_and_progress(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(disk, "to_disk", False)  # what was kept is there at once
    told: list[Any] = []
    found = prospects(weighed(), samples=16, progress=lambda done, of: told.append((done, of)))
    assert told == [(16, 48), (32, 48), (48, 48)]
    assert repr(found).startswith("16 samples of 3 options\n")
    assert list(found.table().index) == [CHEAP, DEAR]
    assert MONEY["horizon_years"] == 15
