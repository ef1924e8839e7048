"""What lies under a published minimum is allowed and said: stored water and cold rooms."""

from __future__ import annotations

from typing import Any

import pytest
from references import Reference

from case.stated import made, table, with_path
from simkit.case.cautions import SAFE_ROOM_C, STORED_C, cautions

STORED = Reference(
    60.0, "Health and Safety Executive, HSG274 part 2: hot water stored at 60 °C or more", 0.0, "printed"
)
ROOM = Reference(18.0, "WHO Housing and Health Guidelines 2018: 18 °C as a safe minimum indoors", 0.0, "printed")
GUIDANCE = (
    "Legionella grows between 20 and 45 °C, and published guidance is to store hot water at 60 °C or more "
    "(Health and Safety Executive, HSG274 part 2)."
)
OIL = {"kind": "oil", "unit": "litre", "price_per_unit": 1.1, "kwh_per_unit": 10.35}
COLD = "WHO 2018 (Housing and Health Guidelines) names 18 °C as a safe minimum indoors."


def test_the_published_minima() -> None:
    STORED.check(STORED_C)
    ROOM.check(SAFE_ROOM_C)


WATER: list[tuple[dict[str, Any], str | None]] = [
    ({"target_c": 60}, None),
    ({"target_c": 50}, "Caution: hot water is stored at 50 °C, with a cycle to 60 °C every week. "),
    ({"target_c": 50, "hygiene": {"every": "never"}}, "Caution: hot water is stored at 50 °C and never heated right "
     "through. "),
    ({"target_c": 50, "hygiene": {"target_c": 55}}, "Caution: hot water is stored at 50 °C, with a cycle to 55 °C "
     "every week, "
     "which is too cool as well. "),
    ({"target_c": 50, "immersion_kw": 0.0, "hygiene": {"target_c": 65}}, "Caution: hot water is stored at 50 °C, "
     "with a cycle "
     "to 65 °C every week, which the heat pump can't reach and no immersion heater may finish. "),
]  # fmt: skip


@pytest.mark.parametrize(("water", "begin"), WATER, ids=[str(water) for water, _ in WATER])
def test_stored_water(water: dict[str, Any], begin: str | None) -> None:
    case = made(table(hot_water={"volume_l": 180.0, "tapping": "M", **water}))
    assert cautions(case) == (() if begin is None else (begin + GUIDANCE,))
    assert case.notes[: len(cautions(case))] == cautions(case)


def test_cold_rooms() -> None:
    warm = table("option", "baseline", hot_water={"volume_l": 180.0, "tapping": "M", "target_c": 60})
    assert cautions(made(warm)) == ()
    assert cautions(made(with_path("comfort.setback_c", 16, warm))) == (
        f"Caution: [comfort] goes down to 16 °C. {COLD}",
    )
    lived = {**warm, "heat_source": "boiler", "as_operated": True}
    assert cautions(made(lived))[-1] == f"Caution: [boiler.as_operated] goes down to 16 °C. {COLD}"


def test_the_defaults_lie_under_no_minimum() -> None:
    case = made(
        table(
            "option", "baseline", "comfort", "controls", hot_water={"volume_l": 180.0, "tapping": "M", "target_c": 60}
        )
    )
    assert cautions(case) == ()
    assert case.comfort.coldest_c >= SAFE_ROOM_C
    assert case.hot_water.hygiene.target_c >= STORED_C


BURNING = [
    ({"heat_source": "boiler", "boiler": {}}, True),
    ({"heat_source": "heat_pump"}, False),
    ({"heat_source": "heat_pump", "fuel": {**OIL, "other_use_kwh": 400.0}}, True),
]


@pytest.mark.parametrize(("home", "burns"), BURNING, ids=[str(home)[:60] for home, _ in BURNING])
def test_as_long_as_anything_burns_carbon_monoxide_is_named(home: dict[str, Any], burns: bool) -> None:
    case = made(table("option", "baseline", **{"fuel": OIL, **home}))
    told = [caution for caution in cautions(case) if "arbon monoxide" in caution]
    assert len(told) == burns
    assert all("audible alarm (EN 50291)" in caution and "burns oil" in caution for caution in told)
