"""The heat loss in each of its ways, and a design day that isn't cold."""

from __future__ import annotations

from typing import Any

import pytest

from case.stated import made, only, with_path
from simkit.case.home.home import Home
from simkit.schema.wording import words_of
from simkit.validation.published import published

WAYS: list[dict[str, Any]] = [
    {"w_per_k": 150.0},
    {"design_kw": 6.0, "design_outdoor_c": -3.0, "design_indoor_c": 21.0},
    {
        "element": [{"name": "walls", "area_m2": 90, "u_w_per_m2k": 0.5}],
        "bridge_w_per_k": 8.0,
        "air_changes_per_hour": 0.5,
    },
    {"certificate_kwh_m2": 120.0, "certificate_kind": "space heat demand"},
    {"fuel_amount": 1500.0, "fuel_unit": "litre", "fuel_includes_water": False},
]


@pytest.mark.parametrize("loss", WAYS, ids=[next(iter(loss)) for loss in WAYS])
def test_every_way_to_state_the_loss(loss: dict[str, Any]) -> None:
    found = made(with_path("home.loss", loss)).home.loss
    for key, value in loss.items():
        if key != "element":
            assert getattr(found, key) == value
    assert (found.element is not None) == ("element" in loss)


def test_a_design_day_that_is_not_cold() -> None:
    loss = {"design_kw": 6.0, "design_outdoor_c": 14.0, "design_indoor_c": 16.0}
    assert only(with_path("home.loss", loss)) == (
        "case.toml: [home.loss] design_outdoor_c = 14 is less than 5 K below design_indoor_c = 16, and a loss can't "
        "be found "
        "from so small a difference. Write the outdoor temperature that the design loss was worked out for, such as -3."
    )


def test_another_kind_of_certificate_is_refused_with_what_is_meant() -> None:
    loss = {"certificate_kwh_m2": 120.0, "certificate_kind": "primary energy"}
    assert only(with_path("home.loss", loss)) == (
        'case.toml: [home.loss] certificate_kind = "primary energy" is not "space heat demand" (what the figure of the '
        "certificate is: heat for the rooms, neither primary nor final energy). Write for example certificate_kind = "
        '"space heat demand".'
    )


def test_the_classes_of_mass_are_the_published_ones() -> None:
    _, rows = published("iso13790_thermal_capacity")
    assert words_of(Home.model_fields["thermal_mass"]) == [row["class"] for row in rows]
