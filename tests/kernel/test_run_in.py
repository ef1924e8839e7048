"""A year ends as it began: three weeks of run-in where they are enough, a year of it where they are not."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from homes import changed, inputs
from numba.core import config

from simkit.kernel.inputs import HomeInputs
from simkit.kernel.run import CARRIED, SETTLED, HomeYear, ManyYears, run_home, run_homes

HOURS = 8760


@cache
def heated() -> HomeInputs:
    """A heavy home that is heated: it forgets its start."""
    return inputs(changed("canal_terrace", {"home.thermal_mass": "very heavy"}))


@cache
def left_cold() -> HomeInputs:
    """The same home left to itself all year: what its walls hold after three weeks still shows how it began."""
    return replace(heated(), series=heated().series | {"set_point_c": np.full(HOURS, 5.0)})


@cache
def left_cold_long_before() -> HomeYear:
    """It again, after a run-in of two years."""
    year = run_home(left_cold(), HOURS, 1.0, run_in=False)
    for _ in range(2):
        year = run_home(replace(left_cold(), start=year.after), HOURS, 1.0, run_in=False)
    return year


def moved(year: HomeYear | ManyYears) -> np.ndarray:
    """The furthest that nodes, cylinder or battery end from where they began, by home [K, kWh]."""
    return np.atleast_2d((np.array(year.after) - np.array(year.before))[CARRIED].T)


def test_a_heated_home_is_run_in_by_three_weeks_as_by_a_year() -> None:
    before = run_home(heated(), HOURS, 1.0, run_in=False)
    by_a_year = run_home(replace(heated(), start=before.after), HOURS, 1.0, run_in=False)
    np.testing.assert_array_equal(run_home(heated(), HOURS, 1.0).trace, by_a_year.trace)


def test_three_weeks_are_not_enough_for_a_home_that_is_left_to_itself() -> None:
    year, long_before = run_home(left_cold(), HOURS, 1.0), left_cold_long_before()
    assert np.abs(moved(year)).max() <= SETTLED
    np.testing.assert_allclose(year.flow("air_c"), long_before.flow("air_c"), rtol=0, atol=1e-6)
    short = replace(left_cold(), start=run_home(heated(), HOURS, 1.0).before)
    assert np.abs(moved(run_home(short, HOURS, 1.0, run_in=False))).max() > 0.01


@pytest.mark.skipif(config.DISABLE_JIT, reason="years of sixteen lanes: days of them are run uncompiled in test_run")
def test_a_home_that_is_run_again_shows_nowhere_beside_it() -> None:
    together = run_homes([heated(), left_cold(), heated()], HOURS, 1.0)
    assert np.abs(moved(together)).max() <= SETTLED
    for place, home in enumerate((heated(), left_cold(), heated())):
        alone = run_homes([home], HOURS, 1.0)
        for name in ("totals", "before", "after"):
            by_home = [np.array(getattr(found, name)) for found in (together, alone)]
            np.testing.assert_array_equal(by_home[0][:, place], by_home[1][:, 0], err_msg=name)
        np.testing.assert_array_equal(together.flow("grid_import")[:, place], alone.flow("grid_import")[:, 0])
        one = run_home(home, HOURS, 1.0)
        assert alone.totals.space_heat[0] == pytest.approx(one.totals.space_heat, rel=1e-9, abs=1e-9)
