"""The coil: its size from area or reheat time, the flow it forces, and a new cylinder beside the old."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from references import Reference

from simkit.case.build import Case, vary
from simkit.case.load import read_case
from simkit.decide.flow.cylinder import coil_of, coil_words, new_cylinder
from simkit.year.simulate import simulate

SAMPLE = Path(__file__).parents[3] / "sample_data" / "estuary_bungalow" / "rooms.toml"


@cache
def home(**changes: object) -> Case:
    case = vary(
        read_case(SAMPLE), {"home.loss.w_per_k": 250.0, "uncertainty.lanes": 16, "option": None, "baseline": None}
    )
    return vary(case, {key.replace("__", "."): value for key, value in changes.items()})


def test_a_coil_by_its_area() -> None:
    found = coil_of(simulate(home(hot_water__coil_area_m2=0.6)))
    Reference(300.0, "common practice: 500 W/(m²·K) of plain coil", 1e-9, "arithmetic").check(found.ua_w_per_k)


def test_a_longer_reheat_is_a_smaller_coil() -> None:
    quick, slow = (coil_of(simulate(home(hot_water__reheat_minutes=minutes))).ua_w_per_k for minutes in (40.0, 80.0))
    assert quick == pytest.approx(2.0 * slow)


def test_a_small_coil_forces_hot_water_and_the_immersion() -> None:
    small, big = (coil_of(simulate(home(hot_water__coil_area_m2=area))) for area in (0.5, 3.0))
    assert small.mean_flow_c > big.mean_flow_c + 2.0
    assert small.cop < big.cop
    assert small.spf_h4 < big.spf_h4


def test_a_new_cylinder_beside_the_old() -> None:
    table = new_cylinder(home(), {"coil_area_m2": 3.0, "standing_loss_w": 48.0})
    assert list(table.index) == ["as it is", "new"]
    assert table.loc["as it is", "saving"] == 0.0
    new = table.loc["new"]
    assert new["saving"] > 0
    assert new["saving_low"] < new["saving_high"]
    assert new["cop"] > table.loc["as it is", "cop"]
    assert "saving_low" not in new_cylinder(home(), {"coil_area_m2": 3.0}, ranges=False).columns


def test_words_name_what_the_machine_cannot_reach() -> None:
    words = coil_words(simulate(home(heat_pump__highest_flow_c=56.0)))
    assert words.startswith("The coil passes 300 W/K and asks for water at ")
    assert "of the 60 °C cycle" in words
