"""What is allowed and perhaps not meant is said: nights warmer than days, walls that differ, no hot water."""

from __future__ import annotations

from case.stated import made, table, with_path
from simkit.case.remarks import remarks


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
