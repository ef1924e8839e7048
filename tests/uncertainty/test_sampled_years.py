"""Ranges: the same samples for every option and every time, what is known stays known, differences narrower than sums."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from homes import NAMES, SAMPLES, changed

from simkit.assemble.heat_loss import loss_w_per_k
from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.kept import disk
from simkit.uncertainty.draws import draws_of
from simkit.uncertainty.ranges import Range
from simkit.uncertainty.sampled_years import SampledYears, _made_from, sampled_home, sampled_years
from simkit.year.simulate import simulate

SPREADS = ("installation_sd", "price_sd", "set_point_sd_k", "boiler_efficiency_sd", "heat_loss_sd", "weather_sd_k",
           "draws_sd", "fuel_amount_sd", "certificate_sd")  # fmt: skip


def sampled(case: Case) -> SampledYears:
    return sampled_years(sampled_home(case))


def test_a_range_is_the_same_every_time_and_holds_the_year() -> None:
    case = changed("canal_terrace")
    one, two = sampled(case), sampled(case)
    np.testing.assert_array_equal(one.total, two.total)
    found, year = Range.of(one.total), simulate(case)
    assert found.low < year.bill.total < found.high
    assert found.middle == pytest.approx(year.bill.total, rel=0.06)
    assert 0.05 < (found.high - found.low) / found.middle < 0.8
    assert year.range() == found


def test_what_is_kept_of_a_range_is_what_was_simulated(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """From one process to the next; weather, losses found from fuel and rows are read again, to the bit."""
    monkeypatch.setattr(disk, "to_disk", True)
    monkeypatch.setattr(disk, "FOLDER", "kept")
    monkeypatch.setattr(disk, "cache_home", lambda: tmp_path)
    monkeypatch.setattr(disk, "_missed", set())
    case = changed("estuary_bungalow")
    draws = draws_of(case, 16)
    first = sampled_years(sampled_home(case, draws))
    monkeypatch.setattr("simkit.uncertainty.sampled_years.run_homes", None)  # nothing is simulated again
    again = sampled_years(sampled_home(case, draws))
    pd.testing.assert_frame_equal(first.rows, again.rows, check_exact=True)
    assert again.rows.to_numpy().tobytes() == first.rows.to_numpy().tobytes()


@pytest.mark.parametrize(
    "change",
    [
        {"hot_water.target_c": 51.0}, {"tariff.standing_per_day": 0.51}, {"uncertainty.seed": 2},
        {"home.loss.fuel_amount": 1700.0, "home.loss.fuel_unit": "litre"}, {"site.year": 2024}, {"weather.daily_range_k": [6.0] * 12},
        {"household.annual_kwh": 3201.0},
    ],
)  # fmt: skip
def test_another_home_is_another_range(change: dict[str, Any]) -> None:
    one, other = changed("estuary_bungalow"), changed("estuary_bungalow", change)
    homes = [sampled_home(case, draws_of(case, 2)) for case in (one, other)]
    assert len({disk.path_of(*_made_from(home, None)) for home in homes}) == 2


@pytest.mark.parametrize("name", NAMES)
def test_without_spread_every_sample_is_the_year(name: str) -> None:
    """Only the order of adding up may differ, and that bills of samples are not rounded."""
    case = vary(
        read_case(SAMPLES / name / "case.toml"),
        {
            "option": None,
            "baseline": None,
            "household.profile": "mean",
            "uncertainty.lanes": 16,
            **{f"uncertainty.{one}": 0.0 for one in SPREADS},
        },
    )
    made, year = sampled(case), simulate(case)
    assert made.total == pytest.approx(np.full(16, year.bill.total), abs=0.2)
    assert made.rows["import_kwh"].to_numpy() == pytest.approx(np.full(16, year.totals["import"]), rel=1e-6)
    found = year.range()
    assert found.low <= year.bill.total <= found.high


def test_a_range_goes_as_far_as_its_estimate() -> None:
    samples = np.arange(101.0)
    assert Range.of(samples) == Range(10.0, 50.0, 90.0)
    assert Range.of(samples, 95.0) == Range(10.0, 50.0, 95.0)
    assert Range.of(samples, 5.0) == Range(5.0, 50.0, 90.0)


def test_batches_and_neighbours_change_nothing() -> None:
    case = changed("canal_terrace")
    home = sampled_home(case, draws_of(case, 40))
    told: list[tuple[int, int]] = []
    by_batch = sampled_years(home, batch=16, progress=lambda done, of: told.append((done, of)))
    pd.testing.assert_frame_equal(by_batch.rows, sampled_years(home).rows)
    known = sampled_years(sampled_home(case, draws_of(case, 16))).rows
    pd.testing.assert_frame_equal(sampled_years(home, known=known).rows, by_batch.rows, check_exact=True)
    assert told == [(16, 40), (32, 40), (40, 40)]


def test_the_samples_of_a_year_are_the_first_of_many() -> None:
    case = changed("canal_terrace", {"uncertainty.lanes": 16})
    many = sampled_years(sampled_home(case, draws_of(case, 48)))
    np.testing.assert_array_equal(simulate(case).samples.total, many.total[:16])


def test_differences_of_options_are_narrower_than_of_strangers() -> None:
    """Both options meet the same samples; shuffled against each other, the range of the saving is several times wider."""
    hot = changed("estuary_bungalow", {"controls.design_flow_c": 55.0, "emitters.sized_for_flow_c": 55.0})
    cool = changed("estuary_bungalow", {"controls.design_flow_c": 47.0, "emitters.sized_for_flow_c": 47.0})
    a, b = sampled(hot).total, sampled(cool).total
    paired = Range.of(a - b)
    shuffled = Range.of(a - np.random.default_rng(3).permutation(b))
    assert paired.low > 0.0, "every sample saves"
    assert (shuffled.high - shuffled.low) > 4.0 * (paired.high - paired.low)


def test_knowing_the_fuel_narrows_the_range() -> None:
    known = vary(read_case(SAMPLES / "estuary_bungalow" / "case.toml"), {"uncertainty.lanes": 256})
    unknown = vary(known, {"home.loss.w_per_k": loss_w_per_k(known)})
    widths = []
    for case in (known, unknown):
        option = next(found for name, _, found in case.options() if name == "Heat pump, as installed")
        years = sampled(option)
        made, heat = Range.of(years.total), Range.of(years.rows["heat_kwh"].to_numpy())
        widths.append((made.high - made.low, heat.high - heat.low))
    assert widths[0][0] < 0.95 * widths[1][0]
    assert widths[0][1] < 0.75 * widths[1][1], "of the heat more is known than of a bill, in which prices move too"


def test_samples_of_a_boiler_have_no_performance() -> None:
    made = sampled(changed("canal_terrace", {"heat_source": "boiler", "uncertainty.lanes": 20}))
    assert made.rows["spf_h4"].isna().all()
    assert made.rows["fuel_kwh"].min() > 1000.0
    assert np.isnan(Range.of(made.rows["spf_h4"].to_numpy()).middle)
    assert len(made.total) == 20
