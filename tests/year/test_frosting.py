"""Damp cold: applied where the points leave it out, never a second time, and of a sensible size."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from references import Reference

from simkit.case.build import vary
from simkit.case.load import read_case
from simkit.errors import CaseError
from simkit.year.frosting import frosting_of
from simkit.year.simulate import Year, simulate

SAMPLE = Path(__file__).parents[2] / "sample_data" / "estuary_bungalow" / "rooms.toml"


@cache
def year(*changes: tuple[str, object]) -> Year:
    case = vary(read_case(SAMPLE), {"home.loss.w_per_k": 250.0, "option": None, "baseline": None})
    return simulate(vary(case, dict(changes)))


DRY = ("weather.humidity", (0.4,) * 12)
BARE = ("heat_pump.points_hold", ("fan",))


def test_points_that_hold_defrosting_never_lose_by_it_again() -> None:
    """The machine's own series are the same in damp and in dry air, where the points hold defrosting."""
    damp, dry = year().inputs.series, year(DRY).inputs.series
    for name in ("efficiency_0", "efficiency_1", "capacity_0_kw", "capacity_1_kw"):
        np.testing.assert_array_equal(damp[name], dry[name])
    assert not frosting_of(year()).applied
    assert "not taken off again" in frosting_of(year()).words


def test_points_without_it_lose_cop_and_capacity_alike() -> None:
    held, bare = year().inputs.series, year(BARE).inputs.series
    ratio = bare["efficiency_0"] / held["efficiency_0"]
    np.testing.assert_allclose(bare["capacity_0_kw"] / held["capacity_0_kw"], ratio, rtol=1e-12)
    assert ratio.max() == 1.0
    assert 0.8 < ratio.min() < 0.95
    assert frosting_of(year(BARE)).applied


def test_the_season_loses_a_few_per_cent() -> None:
    found = frosting_of(year(BARE))
    Reference(0.04, "own: 2 to 6 % of a damp season, milder places less", 0.02, "one small model").check(
        found.season_loss
    )
    more = year(BARE).run.totals.heat_pump_space / year().run.totals.heat_pump_space - 1.0
    # colder hours take more electricity than heat, and less capacity means less of the gain of part load
    assert found.season_loss < more < 2.0 * found.season_loss
    assert -2.0 < found.deepest_outdoor_c < 4.0
    assert 500.0 < found.damp_hours < 6000.0


def test_a_boiler_has_no_frost() -> None:
    with pytest.raises(CaseError, match="frosting meets only machines that draw from outdoor air"):
        frosting_of(year(("heat_source", "boiler")))
