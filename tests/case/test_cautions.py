"""What lies under a published minimum is allowed and said: stored water and cold rooms."""

from __future__ import annotations

from typing import Any

import pytest
from references import Reference

from case.stated import made, table, with_path
from simkit.case.cautions import CERTIFICATE_YEARS, SAFE_ROOM_C, STORED_C, cautions, remarks

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


def test_a_night_warmer_than_the_day_is_said_with_the_likely_swap_and_allowed() -> None:
    swapped = made(with_path("controls.setback_c", 22.5, table("option", "baseline")))
    assert (
        "[controls] holds the night warmer than the day. If they are swapped, write setback_c = 21 and c = 22.5."
        in (swapped.notes)
    )
    mended = {"periods": [{"from": "06:00", "to": "22:30", "c": 22.5}], "setback_c": 21.0, "design_flow_c": 50.0}
    assert remarks(made(table("option", "baseline", controls=mended))) == ()
    by_night = {**mended, "periods": [{"from": "22:00", "to": "06:00", "c": 22.0}], "setback_c": 18.0}
    assert remarks(made(table("option", "baseline", controls=by_night))) == (
        "[controls] holds the night warmer than the day. If night and day are swapped, swap from and to of its periods.",
    )
    assert remarks(made(table("option", "baseline"))) == ()


def test_an_old_certificate_is_said_to_be_old() -> None:
    valid = Reference(10.0, "Directive 2010/31/EU, Article 11: valid for at most ten years", 0.0, "printed")
    valid.check(CERTIFICATE_YEARS)
    loss = {"certificate_kwh_m2": 110.0, "certificate_kind": "space heat demand"}
    home = {"floor_area_m2": 110.0, "loss": loss}
    for year, old in ((2009, True), (2014, True), (2015, False), (2024, False)):
        case = made(table("option", "baseline", home={**home, "loss": {**loss, "certificate_year": year}}))
        assert any(note.startswith(f"Caution: the certificate is of {year}") for note in case.notes) is old


def test_an_option_with_other_walls_says_so() -> None:
    options = [
        {"name": "as it stands", "heat_source": "boiler"},
        {"name": "insulated", "home": {"loss": {"w_per_k": 120.0}}},
    ]
    before, after = (case for _, _, case in made(table(option=options)).options())
    assert remarks(before) == ()
    assert remarks(after) == (
        'Option "insulated" has another [home.loss] than the case: against an option that keeps the old one, part of the '
        "difference is what the walls save, not the heating.",
    )
