"""The cylinder's label, coil, windows and hygiene cycle, as the kernel is told of them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from homes import changed
from references import Reference

from simkit.assemble.water import coil_w_per_k, standing_loss_w, store, water_series
from simkit.case.heating.hot_water import HotWater
from simkit.clock import TimeAxis
from simkit.validation.published import published

LABELS, CLASSES = published("tank_standing_loss_classes")
AXIS = TimeAxis("Europe/Brussels", 2025, 60)


def water(**keys: Any) -> HotWater:
    return changed("canal_terrace", {f"hot_water.{key}": value for key, value in keys.items()}).hot_water


@pytest.mark.parametrize("row", CLASSES, ids=[row["class"] for row in CLASSES])
def test_standing_loss_of_each_label(row: dict[str, str]) -> None:
    for litres in (100, 150, 200, 250, 300, 500):
        found = standing_loss_w(water(volume_l=float(litres), loss_class=row["class"], standing_loss_w=None))
        Reference(float(row[f"V{litres}"]), LABELS, 6e-3, "two decimals").check(found)
    worst = standing_loss_w(water(loss_class="G", standing_loss_w=None))
    assert worst > standing_loss_w(water(loss_class="F", standing_loss_w=None))


def test_standing_loss_cools_by_its_watts() -> None:
    """60 W at 45 K: over an hour a full cylinder at 65 °C in a room of 20 °C loses 60 Wh, less what it cools meanwhile."""
    made = store(water(standing_loss_w=60.0, loss_class=None, volume_l=200.0), 60.0, 5.0, 1.0)
    lost = made.kwh_per_k * made.decay * 45.0
    Reference(0.060, "own: 60 W for an hour", 2e-4, "it cools by a quarter of a kelvin").check(lost)
    half = store(water(standing_loss_w=60.0, loss_class=None, volume_l=200.0), 60.0, 5.0, 0.5)
    assert 1.0 - (1.0 - half.decay) ** 2 == pytest.approx(made.decay, rel=1e-12, abs=0.0)


def test_coil_by_each_way_of_stating_it() -> None:
    assert coil_w_per_k(water(coil_ua_w_per_k=640.0, coil_area_m2=None), 60.0, 5.0) == 640.0
    assert coil_w_per_k(water(coil_area_m2=1.2, coil_ua_w_per_k=None), 60.0, 5.0) == pytest.approx(600.0)
    # 200 l from 15 to 50 °C in an hour by water at 57.5 °C: C·ln(42.5/7.5)
    by_time = coil_w_per_k(water(reheat_minutes=60.0, coil_area_m2=None, target_c=50.0, volume_l=200.0), 60.0, 5.0)
    Reference(1000 * 1.163e-3 * 200 * np.log(42.5 / 7.5), "own: closed form", 1e-9, "by hand").check(by_time)


def test_windows_and_hygiene_stand_where_they_were_set() -> None:
    made = water_series(water(windows=[{"from": "12:00", "to": "14:00"}], hygiene={"every": "week", "weekday": "sunday", "from": "13:00", "hours": 3, "target_c": 60}), AXIS)  # fmt: skip
    hour, day = AXIS.minute_of_day // 60, AXIS.weekday
    inside, cycle = (hour == 12) | (hour == 13), (day == 6) & (hour >= 13) & (hour < 16)
    np.testing.assert_array_equal(made["water_forced"], cycle.astype(float))
    np.testing.assert_array_equal(made["water_target_c"], np.where(cycle, 60.0, np.where(inside, 50.0, 0.0)))
    # the heater waits for the machine, and in the last third runs beside it
    np.testing.assert_array_equal(made["immersion_allowed"], np.where(cycle, np.where(hour == 15, 2.0, 1.0), 0.0))


def test_heater_as_allowed() -> None:
    assert water_series(water(immersion="never"), AXIS)["immersion_allowed"].sum() == 0.0
    always = water_series(water(immersion="any"), AXIS)["immersion_allowed"]
    assert (always.min(), always.max()) == (1.0, 2.0)
    by_boiler = water_series(water(immersion="any"), AXIS, by_boiler=True)
    assert by_boiler["immersion_allowed"].sum() == 0.0
    assert by_boiler["water_target_c"].min() == 50.0  # the windows are the heat pump's
    assert water_series(water(hygiene={"every": "never"}), AXIS)["water_forced"].sum() == 0.0
    daily = water_series(
        water(hygiene={"every": "day", "weekday": "sunday", "from": "13:00", "hours": 1, "target_c": 60}), AXIS
    )
    assert daily["water_forced"].sum() == 365
    assert daily["immersion_allowed"].max() == 2.0  # a cycle of one step still gets hot
