"""Days away and with guests: what they change, what stays the year's, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from homes import sample

from simkit.answers.cautions import cautions_for
from simkit.assemble.series import home_series
from simkit.assemble.setting import setting_for
from simkit.case.build import vary
from simkit.case.home.absence import Days
from simkit.clock import TimeAxis
from simkit.errors import CaseError
from simkit.profiles.absence import longest_away_d, on_days
from simkit.year.simulate import simulate

AWAY = {"household.away": [{"first": "02-10", "last": "02-16", "c": 12}]}
GUESTS = {"household.guests": [{"first": "12-24", "last": "01-02", "people": 2}]}


@pytest.fixture(scope="module")
def home():
    return vary(sample("moor_cottage"), {"option": None, "baseline": None, "money": None, "household.profile": "mean"})


def series(case):
    setting = setting_for(case)
    return setting.axis, home_series(case, setting)


def test_days_are_whole_civil_days_and_run_over_new_year():
    axis = TimeAxis("Europe/London", 2025, 60)
    week = on_days(Days(first="03-28", last="04-03"), axis)
    assert week.sum() == 7 * 24 - 1  # the night in which an hour is skipped
    turn = on_days(Days(first="12-24", last="01-02"), axis)
    assert turn.sum() == (8 + 2) * 24
    assert turn[0]
    assert turn[-1]
    assert not turn[axis.steps // 2]


def test_away_lowers_what_is_held_and_needed_draws_nothing_and_keeps_the_years_electricity(home):
    axis, usual = series(home)
    _, away = series(vary(home, AWAY))
    gone = on_days(Days(first="02-10", last="02-16"), axis)
    warming = gone & on_days(Days(first="02-16", last="02-16"), axis)
    for name, cool in (("set_point_c", gone & ~warming), ("needed_c", gone)):
        assert (away[name][cool] == np.minimum(usual[name][cool], 12.0)).all()
        assert (away[name][~cool] == usual[name][~cool]).all()
    assert (away["draw_kw"][gone] == 0.0).all()
    assert (away["draw_kw"][~gone] == usual["draw_kw"][~gone]).all()
    assert (away["occupied"][gone] == 0.0).all()
    assert away["household_kw"].sum() == pytest.approx(usual["household_kw"].sum(), rel=1e-12, abs=0.0)
    at_home = away["household_kw"][~gone].sum() / usual["household_kw"][~gone].sum()
    left = away["household_kw"][gone].sum() / usual["household_kw"][gone].sum()
    assert left / at_home == pytest.approx(0.3, rel=1e-12, abs=0.0)
    people = home.household.people * home.household.heat_per_person_w / 1000.0
    heat = away["internal_gain_kw"] - home.household.heat_share * away["household_kw"]
    assert heat[gone] == pytest.approx(np.zeros(gone.sum()), abs=1e-12)
    assert heat[~gone] == pytest.approx(np.full((~gone).sum(), people))


def test_guests_draw_and_warm_like_those_who_live_there_and_use_electricity_on_top(home):
    axis, usual = series(home)
    _, full = series(vary(home, GUESTS))
    there = on_days(Days(first="12-24", last="01-02"), axis)
    share = 1.0 + 2.0 / home.household.people
    assert full["draw_kw"][there] == pytest.approx(share * usual["draw_kw"][there])
    assert (full["draw_kw"][~there] == usual["draw_kw"][~there]).all()
    more = (full["household_kw"] - usual["household_kw"]).sum() * axis.hours
    assert more == pytest.approx(2 * 2.0 * there.sum() * axis.hours / 24.0)


def test_who_keeps_the_home_meanwhile_is_warm_and_draws(home):
    axis, usual = series(home)
    kept = {"household.guests": [{"first": "02-13", "last": "02-20", "people": 1}]}
    _, made = series(vary(home, AWAY | kept))
    gone, there = (on_days(Days(first=a, last=b), axis) for a, b in (("02-10", "02-16"), ("02-13", "02-20")))
    both = gone & there
    assert (made["set_point_c"][both] == usual["set_point_c"][both]).all()
    assert (made["set_point_c"][gone & ~there] <= 12.0).all()
    assert (made["needed_c"][both] == usual["needed_c"][both]).all()
    assert (made["occupied"][both] == usual["occupied"][both]).all()
    assert made["draw_kw"][both] == pytest.approx(usual["draw_kw"][both] / home.household.people)


def test_a_week_away_in_winter_saves_and_leaves_the_verdict_on_comfort_to_those_who_are_there(home):
    loss = {"home.loss": {"w_per_k": 150.0}}
    usual, away = simulate(vary(home, loss)), simulate(vary(home, loss | AWAY))
    assert away.totals["space_heat"] < usual.totals["space_heat"] - 50.0
    assert away.bill.total < usual.bill.total
    assert max(map(abs, away.balance().values())) < 1e-6
    assert any("The empty home is held at 12 °C" in said for said in cautions_for([away]))
    assert (away.comfort.level, away.comfort.hours_below_18) == (usual.comfort.level, usual.comfort.hours_below_18)
    assert away.run.totals.below_18 > 72.0
    assert away.comfort.min_room_c > 17.5 > float(away.flow("air_c").min())
    late = simulate(vary(home, loss | {"household.away": [{**AWAY["household.away"][0], "warm_again_h": 0}]}))
    assert late.comfort.under_18_wanted_h > 0.0
    assert late.totals["space_heat"] < away.totals["space_heat"]
    assert not any("The empty home" in said for said in cautions_for([usual]))


def test_a_short_absence_needs_no_flushing(home):
    assert longest_away_d(vary(home, AWAY).household) == 7
    short = vary(home, {"household.away": [{"first": "12-30", "last": "01-02"}]})
    assert longest_away_d(short.household) == 4
    assert short.household.away[0].c == 14.0


@pytest.mark.parametrize("wrong", ["02-30", "10.02.", "13-01", "2025-02-10"])
def test_a_day_that_is_none_is_refused(home, wrong):
    with pytest.raises(CaseError, match="is no day of a year"):
        vary(home, {"household.away": [{"first": wrong, "last": "02-16"}]})
