"""One verdict of comfort: the rule at its edges, the same for one year and for many, and what is read off a year."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from homes import changed

from simkit.kernel.run import run_homes
from simkit.notation import PLAIN
from simkit.physics.constants import SAFE_ROOM_C
from simkit.physics.rooms import COLD_K, FELT_K, cold_so_far_h, felt, unsafe
from simkit.year.comfort import LITTLE_COOL, TOO_COLD, WARM, YearComfort, lane_comforts, room_level, rule, water_short
from simkit.year.simulate import simulate


def comfort(cool_h: float = 0.0, run_h: float = 0.0, under_h: float = 0.0, unmet: float = 0.0) -> YearComfort:
    return YearComfort(17.5, 50.0, under_h, 0.0, cool_h, run_h, 2.04, under_h, unmet, 2000.0, (), ("2025-01-08",))


@pytest.mark.parametrize(
    ("cool_h", "run_h", "under_h", "level"),
    [
        (0.0, 0.0, 0.0, WARM),
        (100.0, 3.0, 0.0, WARM),
        (100.5, 0.0, 0.0, LITTLE_COOL),
        (10.0, 3.5, 0.0, LITTLE_COOL),
        (400.0, 12.0, 0.0, LITTLE_COOL),
        (400.5, 0.0, 0.0, TOO_COLD),
        (0.5, 0.5, 0.5, TOO_COLD),
    ],
)
def test_the_rule_at_its_edges(cool_h: float, run_h: float, under_h: float, level: int) -> None:
    assert comfort(cool_h, run_h, under_h).level == level
    assert room_level(np.array([cool_h]), np.array([run_h]), np.array([under_h])).tolist() == [level]


@pytest.mark.parametrize(("unmet", "short"), [(0.0, False), (10.0, False), (10.1, True)])
def test_water_is_short_where_more_than_half_a_per_cent_comes_cold(unmet: float, short: bool) -> None:
    assert bool(water_short(np.array(unmet), np.array(2000.0))) is short
    assert comfort(unmet=unmet).water_short is short
    assert comfort(unmet=unmet).held is not short


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (comfort(), "warm enough"),
        (comfort(212.0), "a little cool: 212 h more than 0.5 K below what is wanted, up to 2.0 K below"),
        (
            replace(comfort(212.0), most_below_k=0.6),
            "a little cool: 212 h more than 0.5 K below what is wanted, up to 0.6 K below",
        ),
        (comfort(700.0, 9.0, 31.0), "too cold: 31 h under 18 °C, up to 2.0 K below"),
        (comfort(700.0, 9.0, 1.0), "too cold: 1 h under 18 °C, up to 2.0 K below"),
        (comfort(700.0, 9.0, 0.5), "too cold: less than 1 h under 18 °C, up to 2.0 K below"),
        (comfort(unmet=25.0), "warm enough; hot water runs short by 717 litres on 1 day"),
    ],
)
def test_words(found: YearComfort, words: str) -> None:
    assert found.worded() == words


def test_no_tenth_hides_that_a_room_is_under_eighteen() -> None:
    for lowest, said in ((17.9999, "17.99"), (17.96, "17.96"), (17.94, "17.9"), (18.0, "18.0"), (18.04, "18.0")):
        assert YearComfort(lowest, 0.0, 0.0, 0.0).coldest_worded(PLAIN.number) == said


def test_what_is_not_known_of_a_year_counts_as_nothing() -> None:
    bare = YearComfort(19.0, 0.0, 0.0, 0.0)
    assert (bare.cool_hours, bare.longest_cold_h, bare.most_below_k, bare.under_18_wanted_h) == (0.0, 0.0, 0.0, 0.0)
    assert (bare.unmet_kwh, bare.wanted_kwh, bare.cool_days, bare.short_days) == (0.0, 0.0, (), ())


def test_one_night_at_twelve_degrees_is_not_warm_enough() -> None:
    """100 K·h a year, whatever the depth, was once called held."""
    case = changed(
        "estuary_bungalow", {"controls.setback_c": 5.0, "controls.periods": [], "home.loss": {"w_per_k": 250.0}}
    )
    found = simulate(case).comfort
    assert found.level == TOO_COLD
    assert not found.held
    assert len(found.cool_days) > 30


def test_the_laws_of_comfort_at_their_edges() -> None:
    assert (felt(FELT_K), felt(FELT_K + 1e-9)) == (0.0, 1.0)
    assert (cold_so_far_h(COLD_K, 2.0, 0.5), cold_so_far_h(COLD_K + 1e-9, 2.0, 0.5)) == (0.0, 2.5)
    assert (unsafe(17.9, 18.0), unsafe(17.9, 18.5), unsafe(18.0, 20.0)) == (0.0, 1.0, 0.0)


def test_what_the_kernel_counts_is_what_the_hours_show() -> None:
    case = changed("estuary_bungalow", {"controls.design_flow_c": 38.0})
    year = simulate(case)
    hourly, hours, found = year.hourly, year.axis.hours, year.comfort
    missing = (hourly["needed_c"] - hourly["air_c"]).to_numpy()
    assert found.cool_hours == pytest.approx((missing > FELT_K).sum() * hours)
    longest = run = 0.0
    for cold in missing > COLD_K:
        run = run + hours if cold else 0.0
        longest = max(longest, run)
    assert found.longest_cold_h >= longest  # the run may have begun before the year
    assert found.most_below_k == pytest.approx(missing.max())
    under = (hourly["air_c"] < SAFE_ROOM_C) & (hourly["needed_c"] > SAFE_ROOM_C)
    assert found.under_18_wanted_h == pytest.approx(under.sum() * hours)
    many = run_homes([year.inputs] * 2, year.axis.steps, hours)
    lanes = lane_comforts(many.totals, many.after)
    assert [lane.level for lane in lanes] == [found.level] * 2
    assert [lane.water_short for lane in lanes] == [found.water_short] * 2


def test_of_two_cold_homes_the_colder_is_not_as_warm() -> None:
    colder, cold = (
        YearComfort(15.0, 0.0, 9.0, 0.0, cool_hours=hours, under_18_wanted_h=9.0) for hours in (3000.0, 500.0)
    )
    assert colder.no_worse_than(cold), "both are too cold"
    assert not colder.as_warm_as(cold)
    assert cold.as_warm_as(colder)


def test_the_rule_in_words() -> None:
    assert rule(PLAIN.number) == (
        "Warm enough: never more than 1.5 K below the wanted temperature for over 3 hours running, no more than 100 "
        "hours a year over 0.5 K below it, and never under 18 °C where more is wanted. A little cool: up to 400 such "
        "hours and never under 18 °C. Beyond that: too cold. Hot water is short where more than 0.5 % of what is wanted "
        "in a year comes cold."
    )


def test_what_is_missing_of_a_warm_home_is_water() -> None:
    """50 K·h are hardly felt where rooms are warm enough; of two homes short of water the one that misses less is nearer."""
    assert comfort(unmet=25.0).shortfall == 25.0
    assert comfort(unmet=5.0).shortfall == 0.0
    assert comfort(212.0, unmet=25.0).shortfall == 50.0
    assert comfort(unmet=25.0).how_far < comfort(unmet=30.0).how_far
    assert comfort(unmet=5.0).how_far == comfort(unmet=0.0).how_far
