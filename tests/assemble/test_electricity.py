"""The household's series: what a home says of its electricity, laid on its year and its half of the globe."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from weather.climates import site

from simkit.assemble.electricity import household_series
from simkit.case.home.household import Household
from simkit.clock import TimeAxis

AXIS = TimeAxis("Pacific/Auckland", 2025, 60)
HOUSEHOLD = Household(people=2.0, annual_kwh=2900.0, heat_share=0.8, heat_per_person_w=60.0)


def months_kwh(latitude_deg: float) -> np.ndarray:
    home = site(zone="Pacific/Auckland", country="NZ", latitude_deg=latitude_deg, longitude_deg=174.0)
    return np.bincount(AXIS.month, weights=household_series(HOUSEHOLD, AXIS, Path(), home))[1:]


def test_a_southern_household_uses_most_in_the_southern_winter():
    south, north = months_kwh(-41.0), months_kwh(41.0)
    assert [south.sum(), north.sum()] == [pytest.approx(2900.0)] * 2
    assert south[[5, 6, 7]].sum() > south[[11, 0, 1]].sum()
    assert north[[11, 0, 1]].sum() > north[[5, 6, 7]].sum()
