"""Seasonal performance by boundary: one year by hand, the order of the boundaries, and when there is none."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from references import Reference

from simkit.performance.boundaries import performance
from simkit.physics.records import Flows

pytestmark = pytest.mark.short

NONE = Flows(*[0.0] * len(Flows._fields))
YEAR = NONE._replace(
    heat_pump_space_heat=9000.0, heat_pump_water_heat=2000.0, heat_pump_space=2500.0, heat_pump_water=800.0,
    backup_heater=60.0, immersion=40.0, pumps_space=150.0, pumps_water=20.0, standby=80.0,
)  # fmt: skip
kwh = st.floats(0.0, 5000.0)


def test_a_year_by_hand() -> None:
    """Heat 11,000 by 3,300 kWh, of which the fan 4 %; 100 kWh of heaters; 170 of pumps and 80 of standby."""
    found, source = performance(YEAR, 0.04), "own: ratios of sums by hand"
    Reference(11_000 / (3300 * 0.96), source, 1e-12, "arithmetic").check(float(found.h1 or 0))
    Reference(11_000 / 3300, source, 1e-12, "arithmetic").check(float(found.h2 or 0))
    Reference(11_100 / 3400, source, 1e-12, "arithmetic").check(float(found.h3 or 0))
    Reference(11_100 / 3650, source, 1e-12, "arithmetic").check(float(found.h4 or 0))
    of_space = 80 * 9060 / 11_100
    Reference(9060 / (2500 + 60 + 150 + of_space), source, 1e-12, "standby by heat").check(float(found.space_h4 or 0))
    Reference(2040 / (800 + 40 + 20 + 80 - of_space), source, 1e-12, "as above").check(float(found.water_h4 or 0))


@given(st.floats(1.0, 6.0), kwh, kwh, kwh, kwh, kwh, st.floats(0.0, 0.3))
def test_a_wider_boundary_is_never_better(
    cop: float, used: float, backup: float, immersion: float, pumps: float, standby: float, fan: float
) -> None:
    t = YEAR._replace(
        heat_pump_space=used + 1.0, heat_pump_space_heat=cop * (used + 1.0), heat_pump_water=1.0,
        heat_pump_water_heat=cop, backup_heater=backup, immersion=immersion, pumps_space=pumps, standby=standby,
    )  # fmt: skip
    found = performance(t, fan)
    assert None not in (found.h1, found.h2, found.h3, found.h4)
    assert found.h1 >= found.h2 - 1e-12  # type: ignore[operator]
    assert found.h2 >= found.h3 - 1e-12  # type: ignore[operator]
    assert found.h3 >= found.h4 - 1e-12  # type: ignore[operator]


def test_what_is_not_known_is_not_given() -> None:
    assert performance(YEAR, None).h1 is None
    assert performance(YEAR, None).h2 is not None
    boiler = performance(NONE._replace(boiler_space_heat=9000.0), 0.05)
    assert (boiler.h1, boiler.h2, boiler.h3, boiler.h4, boiler.space_h4, boiler.water_h4) == (None,) * 6
    rooms = performance(YEAR._replace(heat_pump_water_heat=0.0, heat_pump_water=0.0, immersion=0.0), None)
    assert rooms.water_h4 is None
    assert rooms.space_h4 is not None


def test_arrays_give_each_home_what_it_gets_alone() -> None:
    """A home that heats by boiler stands beside one with a heat pump, and one whose machine makes no hot water."""
    several = (YEAR, NONE, YEAR._replace(heat_pump_water_heat=0.0, heat_pump_water=0.0, immersion=0.0))
    together = performance(Flows(*np.transpose(several)), 0.04)
    for name in ("h1", "h2", "h3", "h4", "space_h4", "water_h4"):
        alone = [getattr(performance(year, 0.04), name) for year in several]
        np.testing.assert_array_equal(getattr(together, name), [np.nan if x is None else x for x in alone])
