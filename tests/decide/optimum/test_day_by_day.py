"""A day settled from the state of the home: against every course there is, and what its moves leave alone."""

from __future__ import annotations

from functools import lru_cache
from itertools import product

import numpy as np
import pytest

from decide.invented import stored
from simkit.decide.optimum.day_by_day import PERFECT, DayByDay
from simkit.decide.optimum.day_moves import courses, fills, more_reheats, reheats
from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import run_courses, run_homes
from simkit.year.simulate import simulate

DAYS = (17, 45, 320)  # of winter and autumn


@lru_cache(maxsize=1)
def controller() -> DayByDay:
    """A terrace with a battery, before its first day."""
    today = simulate(stored())
    made = DayByDay(today, today.inputs, PERFECT)
    made.begin_year(1.0, 0.0)
    return made


@pytest.mark.parametrize("day", DAYS)
def test_hot_water_of_a_day_by_full_enumeration(day: int) -> None:
    """All 4,096 ways to open twelve stretches of two hours: two moves come within 1 % of the best, or under it."""
    home, first = controller(), day * controller().slots
    state, seen = home.today.run.before, home._seen(first)
    at = home._at(first, 1)
    blocks = np.array(list(product((0.0, 1.0), repeat=12)))
    forced = home.begin.series["water_forced"][at] > 0.5
    open_ = np.repeat(blocks, home.slots // 12, axis=1) * home.target_c
    every = [{"water_target_c": np.where(forced, home.begin.series["water_target_c"][at], row)} for row in open_]
    least = home._costs(first, state, seen, every).min()
    before = home.settings["water_target_c"].copy()
    for ways in (reheats, more_reheats):
        tried = [{}, *ways(home._day(first, seen), 0.0)]
        costs = home._costs(first, state, seen, tried)
        home.settings["water_target_c"][at] = tried[int(np.argmin(costs))].get(
            "water_target_c", home.settings["water_target_c"][at]
        )
    home.settings["water_target_c"][:] = before
    day_cost = seen["import"][: home.slots] @ home.today.flow("grid_import")[at] * home.hours
    assert costs.min() <= least + 0.01 * day_cost


def test_hot_cycles_and_the_storage_temperature_stay() -> None:
    home = controller()
    forced = home.begin.series["water_forced"] > 0.5
    first = int(np.flatnonzero(forced)[0]) // home.slots * home.slots
    at, day = home._at(first, 1), home._day(first, home._seen(first))
    for move in (*reheats(day, 0.0), *more_reheats(day, 0.0)):
        assert np.array_equal(move["water_target_c"][day.forced], home.begin.series["water_target_c"][at][day.forced])
        assert set(move["water_target_c"][~day.forced]) <= {0.0, home.target_c}


def test_rooms_are_never_let_under_what_is_needed() -> None:
    home = controller()
    day = home._day(0, home._seen(0))
    assert all((move["set_point_c"] >= day.room_c[: day.slots]).all() for move in courses(day, 0.0))
    assert all(move["charge_to"].min() >= 0.0 and move["charge_to"].max() <= 1.0 for move in fills(day, 0.0))


def test_courses_of_one_home_are_homes_like_any_other() -> None:
    """The kernel gives the same, bit for bit, as for homes that were put together one by one."""
    home = controller()
    at, state = home._at(0, 2), home.today.run.before
    series = {name: values[at] for name, values in home.begin.series.items()}
    moved = [{"set_point_c": series["set_point_c"] + k} for k in (0.0, 0.5, 1.0)]
    together = run_courses(HomeInputs(home.home, state, series), moved, len(at), home.hours)
    alone = [HomeInputs(home.home, state, series | one) for one in moved]
    apart = run_homes(alone, len(at), home.hours, threads=1, run_in=False)
    assert np.array_equal(together.flow("grid_import"), apart.flow("grid_import"))
    assert np.array_equal(together.after.air_c, apart.after.air_c)
