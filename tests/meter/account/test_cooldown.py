"""A night without heating: time constant and loss against closed forms and against the kit's own building."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from references import Reference

from meter.homes import flagship
from simkit.assemble.building import shell
from simkit.errors import DataError
from simkit.meter.account.cooldown import cool_down, loss_of_time_constant, time_constant_h


def test_one_node_cools_by_the_closed_form() -> None:
    """EN ISO 13790, τ = C/H: 165 kJ/(m²K) of 100 m² and 200 W/K cool from 20 °C at 0 °C with 22.917 hours."""
    index = pd.date_range("2025-01-20 21:00", periods=8 * 12 + 1, freq="5min", tz="UTC")
    room = 20.0 * np.exp(-np.arange(len(index)) / 12.0 / (165_000 * 100 / 200 / 3600))
    found = cool_down(pd.Series(room, index), pd.Series(0.0, index), flagship(), gain_w=0.0)
    Reference(22.917, "own: τ = C/H for 100 m² medium and 200 W/K", 2e-3, "three decimals").check(found.hours)
    assert found.misfit_k < 1e-6
    Reference(14.107, "own: free cooling of one node from 20 °C at 0 °C after 8 h", 1e-3, "three decimals").check(
        found.least_c
    )


def _night(loss: float, noise: float, seed: int = 1) -> tuple[pd.Series, pd.Series]:
    """The kit's two nodes cooling freely with 250 W of gains, by small steps of a plain solver."""
    case = flagship()
    house = shell(case.home, loss, case.emitters.mass_share, 1.0)
    index = pd.date_range("2025-01-20 21:00", periods=10 * 12 + 1, freq="5min", tz="UTC")
    outdoor = 3.0 - 0.2 * np.arange(len(index)) / 12
    air, fabric, log = 20.5, 20.0, []
    for out in outdoor:
        log.append(air)
        for _ in range(20):
            dt = 1 / 240
            to_fabric = house.coupling_kw_per_k * (air - fabric)
            d_air = (0.25 - to_fabric - house.air_side_kw_per_k * (air - out)) / house.air_kwh_per_k
            d_fabric = (to_fabric - house.fabric_side_kw_per_k * (fabric - out)) / house.fabric_kwh_per_k
            air, fabric = air + dt * d_air, fabric + dt * d_fabric
    rng = np.random.default_rng(seed)
    return pd.Series(np.array(log) + rng.normal(0, noise, len(log)), index), pd.Series(outdoor, index)


@pytest.mark.parametrize("loss", [150.0, 260.0])
def test_the_kits_own_building_is_found_again(loss: float) -> None:
    found = cool_down(*_night(loss, 0.03), flagship())
    assert found.loss_w_per_k == pytest.approx(loss, rel=0.12)  # own: gains enter at the air, not at the slow node
    assert found.low_loss < loss < found.high_loss
    assert found.low_hours < time_constant_h(flagship(), loss) * 1.1


def test_loss_and_time_constant_are_each_others_inverse() -> None:
    for loss in (80.0, 254.0, 600.0):
        assert loss_of_time_constant(flagship(), time_constant_h(flagship(), loss)) == pytest.approx(loss, rel=1e-5)


def test_a_short_or_warm_night_is_refused() -> None:
    room, outdoor = _night(200.0, 0.02)
    with pytest.raises(DataError) as refused:
        cool_down(room.iloc[:40], outdoor, flagship())
    assert "say too little: after the first 2 hours, 5 hours and 0.5 K are needed" in str(refused.value)
