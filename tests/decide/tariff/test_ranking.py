"""Tariffs ranked for a home: as it is, shifted, and what prices and moving do apart."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

import numpy as np
import pytest
from tariffs import band, tariff

import simkit as sk
from simkit.billing.charge import charge
from simkit.clock import TimeAxis
from simkit.decide.tariff.ranked import break_even_share, cheap_share
from simkit.decide.tariff.ranking import TariffRanking, rank_tariffs
from simkit.decide.tariff.shifting import NOT_AT_ALL, Shifting
from simkit.errors import CaseError
from simkit.tariff.tariff import Demand, Granted, Tariff, read_tariff

SAMPLES = Path(__file__).parents[3] / "sample_data"
CAR = {"km_per_week": 250.0, "charger_kw": 7.4, "from": "18:00", "to": "07:00", "charging": "at_once"}


def named(name: str, *bands: object, **terms: object) -> Tariff:
    return tariff(*bands, name=name, standing_per_day=0.8, **terms)


FLAT = named("Flat", band("All day", 0.34, "00:00", "24:00"))
NIGHT = named("Night", band("Night", 0.16, "23:00", "08:00"), band("Day", 0.38, "08:00", "23:00"))
PEAKY = named(
    "Peaky", band("Night", 0.15, "23:00", "08:00"), band("Day", 0.36, "08:00", "23:00"),
    demand=Demand(name="Peak", price_per_kw_month=9.0, interval_minutes=60),
)  # fmt: skip


@pytest.fixture(scope="module")
def home() -> sk.types.Case:
    case = sk.read_case(SAMPLES / "estuary_bungalow" / "case.toml")
    return sk.vary(
        case,
        {"tariff": FLAT, "car": CAR, "site.fuse_a": 63, "uncertainty.lanes": 16, "home.loss": {"w_per_k": 200.0},
         "controls.periods": [{"from": "05:00", "to": "22:00", "c": 21.0}],
         "comfort.periods": [{"from": "07:00", "to": "22:00", "c": 20.5}]},
    )  # fmt: skip


@pytest.fixture(scope="module")
def ranking(home: sk.types.Case) -> TariffRanking:
    return rank_tariffs(home, [NIGHT, PEAKY])


def row(ranking: TariffRanking, name: str):
    return next(found for found in ranking.rows if found.tariff.name == name)


def test_as_it_is_every_tariff_charges_the_same_year(ranking: TariffRanking) -> None:
    own = ranking.own.as_is.year
    bought = own.flow("grid_import") * own.axis.hours
    for found in ranking.rows:
        assert found.as_is.cost == charge(found.tariff, own.axis, bought).total
        assert found.as_is.moved == ()


def test_what_prices_do_and_what_moving_does_stand_apart_and_add_up(ranking: TariffRanking) -> None:
    own = ranking.own.as_is.cost
    for found in ranking.rows:
        assert own + found.price_effect + found.behaviour_effect == pytest.approx(found.shifted.cost)
        assert found.behaviour_effect <= 0.0
    assert ranking.own.price_effect == 0.0


def test_a_flat_price_gives_nothing_to_shift_to(ranking: TariffRanking) -> None:
    assert ranking.own.tariff is FLAT or ranking.own.tariff == FLAT
    assert ranking.own.shifted is ranking.own.as_is
    assert row(ranking, "Flat").break_even_share is None


def test_moving_the_car_into_the_night_is_what_makes_the_night_tariff_pay(ranking: TariffRanking) -> None:
    night = row(ranking, "Night")
    assert "car in the cheapest hours" in night.shifted.moved
    assert night.behaviour_effect < -300
    assert night.shifted.cheap_share > night.as_is.cheap_share + 0.15
    # own: the car's 2737.5 kWh at 0.34 flat; at night they cost 0.16
    assert night.shifted.cost < ranking.own.as_is.cost - 300


def test_moving_costs_no_warmth_no_hot_water_and_no_fuse(ranking: TariffRanking) -> None:
    for found in ranking.rows:
        was, now = found.as_is.year, found.shifted.year
        assert now.comfort.degree_hours_below <= was.comfort.degree_hours_below + 10
        assert now.comfort.hours_below_18 <= was.comfort.hours_below_18 + 0.5
        assert now.totals["tap_water_unmet"] <= was.totals["tap_water_unmet"] + 0.01 * was.totals["tap_water"]
        assert found.shifted.year.fuse.hours_over <= found.as_is.year.fuse.hours_over + 0.01
        assert now.totals["car"] == pytest.approx(was.totals["car"], rel=0.003)
        assert now.case.hot_water.hygiene == was.case.hot_water.hygiene
        assert now.case.hot_water.target_c == was.case.hot_water.target_c


def test_where_peaks_are_charged_the_car_is_held_below_a_level(ranking: TariffRanking, home: sk.types.Case) -> None:
    peaky, night = row(ranking, "Peaky"), row(ranking, "Night")
    assert any("the whole home below" in words for words in peaky.shifted.moved)
    assert peaky.shifted.peak_kw < night.shifted.peak_kw - 1.0
    held = re.search(r"below (\d+\.\d) kW", "; ".join(peaky.shifted.moved))
    assert peaky.shifted.peak_kw <= float(held.group(1)) + 0.6, (
        "rooms and water move as well, a little later than planned"
    )


def test_a_small_fuse_is_kept_by_charging_slower(home: sk.types.Case) -> None:
    tight = sk.vary(home, {"site.fuse_a": 45, "car.charger_kw": 9.0})
    found = row(rank_tariffs(tight, [NIGHT], shifting=Shifting(water=False, preheat_k=0.0)), "Night")
    assert found.as_is.year.fuse.hours_over > 0
    assert found.shifted.year.fuse.hours_over <= found.as_is.year.fuse.hours_over
    assert found.shifted.year.flow("car").max() < 9.0 + 1e-9
    assert found.behaviour_effect < -100


def test_nothing_allowed_moves_nothing(home: sk.types.Case) -> None:
    ranking = rank_tariffs(home, [NIGHT], shifting=NOT_AT_ALL)
    assert all(found.shifted is found.as_is for found in ranking.rows)


def test_ranges_are_taken_on_the_same_samples(ranking: TariffRanking, home: sk.types.Case) -> None:
    night = row(ranking, "Night")
    costs = ranking.samples["Night", True]
    assert costs.shape == (16,)
    found = ranking.range(night)
    assert found.low < night.shifted.cost < found.high
    saved = ranking.saving_range(night)
    spread = np.diff(np.quantile(ranking.samples["Flat", False], [0.1, 0.9]))[0]
    assert saved.high - saved.low < 0.8 * spread, "a difference is surer than either cost"
    assert 0.0 <= ranking.certainty <= 1.0
    as_is = sk.simulate(sk.vary(home, tariff=NIGHT))
    assert np.allclose(ranking.samples["Night", False], as_is.samples.total), "one simulation, many tariffs"


def test_the_table_holds_what_a_reader_asks(ranking: TariffRanking) -> None:
    table = ranking.table()
    assert list(table.index) == [found.name for found in ranking.rows]
    assert (table["cost_shifted"].diff().dropna() >= 0).all()
    for name in ("winter_cost", "worst_month_cost", "mean_price_per_kwh", "cheap_share", "peak_kw", "cost_low",
                 "saving_low", "break_even_share", "hours_over_fuse", "moved"):  # fmt: skip
        assert name in table.columns
    bill = ranking.own.as_is.bill
    assert table.loc["Flat", "winter_cost"] == pytest.approx(bill.months[[0, 1, 11]].sum())
    assert table.loc["Flat", "worst_month_cost"] == bill.months.max()
    assert "cost_low" not in ranking.table(ranges=False).columns


def test_tariffs_are_read_from_files_and_the_own_one_is_not_ranked_twice() -> None:
    case = sk.read_case(SAMPLES / "moor_cottage" / "case.toml")
    paths = [SAMPLES / "tariffs" / f"{name}.toml" for name in ("moor_evening_peak", "moor_night_meter")]
    ranking = rank_tariffs(case, paths, shifting=NOT_AT_ALL)
    assert sorted(found.name for found in ranking.rows) == ["Moor evening peak", "Moor night meter"]
    assert ranking.own.tariff == case.tariff


def test_granted_half_hours_are_a_row_of_their_own_and_never_win(home: sk.types.Case) -> None:
    slots = Granted.model_validate({"per_week": 20, "from": "08:00", "to": "16:00", "price_per_kwh": 0.05})
    lucky = NIGHT.model_copy(update={"granted": slots})
    plain = rank_tariffs(home, [lucky])
    assert [found.as_is.granted for found in plain.rows] == [False, False]
    told = 'Tariff "Night" may grant 20 cheap half-hours a week; none is counted, since the supplier chooses them.'
    assert told in plain.notes
    both = rank_tariffs(home, [lucky], granted=True)
    scenario = next(found for found in both.rows if found.as_is.granted)
    assert scenario.name == "Night (scenario: granted half-hours)"
    assert scenario.shifted.cost < row(plain, "Night").shifted.cost
    assert not both.winner.as_is.granted
    assert any(line.label == "Granted half-hours" and line.quantity > 100 for line in scenario.shifted.bill.lines)
    assert len(both.samples[scenario.name, True]) == 16


# --- break-even ------------------------------------------------------------------------------------------------------


def test_the_share_at_which_a_night_tariff_breaks_even() -> None:
    # own. 8760 kWh. Flat 0.30 without standing: 2628. Night tariff: 0.15 and 0.36, standing 0.20 × 365 = 73:
    # 73 + 8760 × (0.15 x + 0.36 (1 - x)) = 2628 gives 0.36 - 0.21 x = 2555 / 8760 = 0.29167, x = 0.32540
    axis = TimeAxis("UTC", 2025, 60)
    rules = tariff(band("N", 0.15, "23:00", "08:00"), band("D", 0.36, "08:00", "23:00"), standing_per_day=0.2)
    bill = charge(rules, axis, np.ones(axis.steps))
    assert cheap_share(bill) == pytest.approx(9 / 24)
    assert break_even_share(bill, 2628.0) == pytest.approx(0.32540, abs=1e-4)


def test_without_bands_of_different_price_there_is_no_break_even() -> None:
    axis = TimeAxis("UTC", 2025, 60)
    assert cheap_share(charge(FLAT, axis, np.ones(axis.steps))) is None
    assert break_even_share(charge(FLAT, axis, np.ones(axis.steps)), 1000.0) is None


# --- faults ----------------------------------------------------------------------------------------------------------


def test_every_tariff_that_does_not_fit_is_told_at_once(home: sk.types.Case, tmp_path: Path) -> None:
    pounds = NIGHT.model_copy(update={"currency": "GBP", "name": "Pounds"})
    with pytest.raises(CaseError) as caught:
        rank_tariffs(home, [pounds, NIGHT, NIGHT.model_copy(update={"standing_per_day": 0.9}), tmp_path / "none.toml"])
    sentences = [str(fault) for fault in caught.value.faults]
    assert len(sentences) == 3
    assert 'tariff "Pounds", ' in sentences[0]
    assert 'currency = "EUR" is not the currency of the tariff, "GBP"' in sentences[0]
    assert sentences[1].startswith("none.toml: is not there")
    assert sentences[2] == 'tariff "Night" is given more than once. Give every tariff a name of its own.'


def test_a_year_without_a_tariff_is_refused(home: sk.types.Case) -> None:
    ended = NIGHT.model_copy(update={"valid_to": dt.date(2025, 6, 30)})
    with pytest.raises(CaseError, match="2025-07-01 to 2025-12-31 has no tariff"):
        rank_tariffs(home, [ended])


@pytest.mark.parametrize("path", sorted((SAMPLES / "tariffs").glob("estuary_*.toml")), ids=lambda path: path.stem)
def test_sample_tariffs_of_the_estuary_are_ready_to_rank(path: Path) -> None:
    assert read_tariff(path).currency == "EUR"
