"""Panels that contradict themselves or can't stand so."""

from __future__ import annotations

from typing import Any

import pytest

from case.stated import made, only, table

ROOF = {"array": [{"kwp": 4.0, "tilt_deg": 35.0, "azimuth_deg": 180.0}]}


def test_shade_is_said_once() -> None:
    skyline = [{"azimuth_deg": 90.0, "height_deg": 10.0}, {"azimuth_deg": 270.0, "height_deg": 5.0}]
    stated = table(solar={**ROOF, "horizon": skyline, "shade_by_month": [0.1] * 12})
    assert only(stated) == (
        "case.toml: [solar] horizon and shade_by_month say the same shade twice. Keep the horizon, or the shares by "
        "month."
    )


@pytest.mark.parametrize(("tilt", "words"), [(95.0, "0 to 90"), (-5.0, "0 to 90")])
def test_a_tilt_past_upright_is_refused(tilt: float, words: str) -> None:
    stated: dict[str, Any] = table(solar={"array": [{"kwp": 4.0, "tilt_deg": tilt, "azimuth_deg": 180.0}]})
    sentence = only(stated)
    assert f"tilt_deg = {tilt:g}" in sentence
    assert words in sentence


def test_new_panels_are_what_is_meant() -> None:
    solar = made(table(solar=ROOF)).solar
    assert solar is not None
    assert (solar.age_years, solar.horizon, solar.shade_by_month) == (0.0, None, None)
