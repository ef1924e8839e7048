"""One home's household: it adds up, averages to the published profile, and peaks as metered homes do."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from homes import sample
from references import Reference

from simkit.arrays import Floats
from simkit.assemble.home import Adjustment, home_inputs
from simkit.assemble.setting import setting_for
from simkit.billing.cost import cost_of
from simkit.case.build import Case, vary
from simkit.clock import TimeAxis
from simkit.kernel.run import run_homes
from simkit.profiles.household import SEASONS, h0_watts, kinds_of_days
from simkit.profiles.one_home import SEEDS, course_kw, drawn_kwh, on_axis, seed_of
from simkit.uncertainty.sampled_years import sampled_home
from simkit.year.simulate import simulate
from simkit.year.year import Year

QUARTERS = TimeAxis("Europe/Berlin", 2025, 15)
HOMES, KWH = 64, 3500.0
H0 = "BDEW (VDEW M-32/99), profile H0 with its factor of the day"
LONDON = "Konstantelos, Sun, Strbac 2014, Quantifying demand diversity of households (Low Carbon London): by class"
NORTH = "Customer-Led Network Revolution 2015, After Diversity Maximum Demand (CLNR-L217): 1.5 kW at a hundred homes"

SUPPLY = "DIN 18015-1, annex A, as an encyclopedia reads its curve: 15 kVA for one home, 110 for a hundred together"


@cache
def mean_kw() -> Floats:
    watts = h0_watts(QUARTERS)
    return watts * (KWH / (float(watts.sum()) * QUARTERS.hours))


@cache
def homes() -> Floats:
    """Many homes by five minutes, (homes, blocks) [kW]."""
    return np.array([course_kw(mean_kw(), seed) for seed in range(1, HOMES + 1)], dtype=np.float32)


def test_every_home_uses_the_stated_energy_and_no_two_alike() -> None:
    energies = homes().sum(axis=1, dtype=np.float64) / 12.0
    assert energies == pytest.approx(np.full(HOMES, KWH), rel=1e-6)
    assert float(homes().min()) >= 0.0
    assert len({float(one.max()) for one in homes()}) == HOMES
    assert np.array_equal(course_kw(mean_kw(), 3), course_kw(mean_kw(), 3))


def test_on_average_homes_use_what_the_published_profile_says_by_hour_and_season() -> None:
    by_quarter = homes().mean(axis=0, dtype=np.float64).reshape(QUARTERS.steps, -1).mean(axis=1)
    season, _ = kinds_of_days(QUARTERS.dates)
    hour = QUARTERS.minute_of_day // 60
    for number, name in enumerate(SEASONS):
        for each in range(24):
            chosen = (season[QUARTERS.day] == number) & (hour == each)
            wanted = float(mean_kw()[chosen].mean())
            Reference(wanted, f"{H0}: {name}, hour {each}", 0.03 * wanted, "64 homes").check(
                float(by_quarter[chosen].mean())
            )


def test_homes_together_peak_as_metered_ones_do_and_one_alone_several_times_as_high() -> None:
    half_hours = homes().reshape(HOMES, -1, 6).mean(axis=2, dtype=np.float64)
    together = float(half_hours.mean(axis=0).max())
    Reference((0.54 + 1.78) / 2, LONDON, (1.78 - 0.54) / 2, "from the least to the most of the classes").check(together)
    Reference(1.5, NORTH, 0.75, "other homes, whose use is not stated; it holds the size").check(together)
    Reference(1.1, SUPPLY, 0.35, "what supplies are laid out for, of other homes").check(together)
    highest = homes().max(axis=1)  # of five minutes, which a fuse bears a little above what it is made for
    for found in (float(highest.min()), float(np.percentile(highest, 95))):
        Reference(9.0, f"{SUPPLY}: 15 at most", 6.0, "3 to 15 kW: wired for the most, none far below").check(found)
    alone = half_hours.max(axis=1)
    assert 3.0 * together < alone.mean() < 7.0 * together
    assert np.percentile(alone, 90) > 1.3 * np.percentile(alone, 10)
    pairs = half_hours.reshape(HOMES // 2, 2, -1).mean(axis=1).max(axis=1).mean()
    eights = half_hours.reshape(HOMES // 8, 8, -1).mean(axis=1).max(axis=1).mean()
    assert alone.mean() > pairs > eights > together


@pytest.mark.parametrize("minutes", [15, 30, 60])
def test_finer_draws_add_up_to_the_step_and_leave_their_peak(minutes: int) -> None:
    axis = TimeAxis("Europe/Berlin", 2025, minutes)
    made = on_axis(course_kw(mean_kw(), 5), axis)
    assert float(made.mean_kw.sum()) * axis.hours == pytest.approx(KWH)
    assert (made.peak_kw >= made.mean_kw - 1e-12).all()
    assert float(made.peak_kw.max()) == float(course_kw(mean_kw(), 5).max())


def test_draws_differ_from_day_to_day_and_add_up_to_the_stated_ones() -> None:
    axis = TimeAxis("Europe/Berlin", 2025, 30)
    mean = np.where(np.isin(axis.minute_of_day // 60, (7, 8, 18, 19)), 0.7, 0.05)
    made = [drawn_kwh(mean, axis, seed) for seed in range(1, 9)]
    for one in made:
        assert float(one.sum()) == pytest.approx(float(mean.sum()))
        by_day = np.bincount(axis.day, weights=one)
        assert 0.25 < by_day.std() / by_day.mean() < 0.7
    hour = axis.minute_of_day // 60
    together = np.mean(made, axis=0)
    busy = np.isin(hour, (6, 7, 8, 9, 17, 18, 19, 20))
    assert together[busy].sum() == pytest.approx(mean[busy].sum(), rel=0.05)
    assert not drawn_kwh(np.zeros(axis.steps), axis, 1).any()


def test_a_weekly_hot_hour_costs_about_the_same_whatever_the_cylinder() -> None:
    # own: alike every day, draws met the hour at one place of the cylinder's round, which seemed to save 43 to cost 16
    costs = []
    for litres in (150.0, 200.0, 250.0, 300.0):
        bills = [
            simulate(vary(sample("estuary_bungalow"), {"hot_water.volume_l": litres, "hot_water.hygiene.every": every}))
            .bill.total
            for every in ("week", "never")
        ]  # fmt: skip
        costs.append(bills[0] - bills[1])
    assert min(costs) > 0.0
    assert max(costs) < 10.0


def test_samples_meet_every_household_alike() -> None:
    for block in range(4):
        assert sorted(seed_of(16 * block + place) for place in range(SEEDS)) == list(range(1, SEEDS + 1))
    assert [seed_of(k) for k in range(16)] != [seed_of(k) for k in range(16, 32)]


PANELS: dict[str, Any] = {
    "solar.array": [{"kwp": 4.0, "tilt_deg": 35.0, "azimuth_deg": 180.0}], "solar.inverter_kw": 4.0,
    "site.fuse_a": 40.0, "option": None, "baseline": None,
}  # fmt: skip


@cache
def home(profile: str) -> Case:
    return vary(sample("estuary_bungalow"), {**PANELS, "household.profile": profile})


@cache
def year(profile: str) -> Year:
    return simulate(home(profile))


def test_the_year_shown_is_that_of_a_most_usual_home() -> None:
    one = home("one_home")
    around = setting_for(one)
    each = [home_inputs(one, around, 250.0, Adjustment(household=seed)) for seed in range(1, SEEDS + 1)]
    cost = cost_of(one, around.axis, run_homes(each, around.axis.steps, around.axis.hours)).total
    assert float(cost.std()) > 0.0
    assert year("one_home").bill.total == pytest.approx(float(cost.mean()), rel=0.005)


def test_one_home_uses_less_of_its_own_sun_and_peaks_higher_than_the_mean() -> None:
    one, mean = year("one_home"), year("mean")
    assert one.totals["household"] == pytest.approx(mean.totals["household"])
    assert one.totals["export"] > 1.02 * mean.totals["export"]
    assert one.fuse is not None
    assert mean.fuse is not None
    # the fuse meets the highest five minutes of one home, whichever the bill is made of
    assert one.fuse.peak_kw > one.flow("grid_import").max() + 1.0
    assert mean.fuse.peak_kw > mean.flow("grid_import").max() + 2.0
    assert abs(one.fuse.peak_kw - mean.fuse.peak_kw) < 3.0
    assert any("most usual of 16" in note for note in one.notes)
    assert any("mean of very many homes" in note for note in mean.notes)


def test_a_range_spans_the_households() -> None:
    drawn = sampled_home(home("one_home"))
    assert {one.household for one in drawn.adjustments} == set(range(1, SEEDS + 1))
    first, second = drawn.inputs([0, 1])
    assert not np.array_equal(first.series["household_kw"], second.series["household_kw"])
    assert {one.household for one in sampled_home(home("mean")).adjustments} == {0}


def test_a_home_that_uses_a_little_more_is_the_same_home() -> None:
    """Own: 200 kWh more leave uses where they were, so that options of a case can be weighed against each other."""
    less, more = (course_kw(mean_kw() * factor, 3).reshape(-1, 3).mean(axis=1) for factor in (1.0, 1.0 + 200.0 / KWH))
    other = course_kw(mean_kw(), 4).reshape(-1, 3).mean(axis=1)
    assert np.corrcoef(less, more)[0, 1] > 0.9
    assert np.corrcoef(less, other)[0, 1] < 0.4
