"""Hot water: exactly one loss, one coil, one draw, and temperatures that can follow one another."""

from __future__ import annotations

from typing import Any

import pytest

from case.stated import made, only, table, with_path
from simkit.case.json_schema import case_schema
from simkit.year.simulate import simulate

SLIPS = [
    ("target_c", 38, "target_c = 38 is below use_c = 40, so that the tap could never be warm enough. Store the water "
     "hotter "
     "than it is used, such as 60."),
    ("hygiene", {"target_c": 48}, "hygiene.target_c = 48 is below the everyday target_c = 50, so that the cycle "
     "would do "
     "nothing. Write target_c = 60 or more in [hot_water.hygiene]."),
    ("cold_water_c", 3, "cold_water_swing_k = 4 takes the cold water of 3 °C below freezing. Write how far it swings "
     "to each "
     "side, usually 3 to 6."),
    ("litres_per_day_at_40", 120, "tapping and litres_per_day_at_40 are given together, and exactly one is allowed: "
     "they say "
     "the same thing. Keep the one you know best."),
    ("windows", [{"from": "05:00", "to": "05:00"}], "windows no. 1: 05:00 to 05:00 is a window without length. Write "
     "00:00 to "
     "24:00 for the whole day, or leave the window out."),
]  # fmt: skip


@pytest.mark.parametrize(("key", "value", "sentence"), SLIPS, ids=[sentence[:30] for *_, sentence in SLIPS])
def test_what_contradicts_itself(key: str, value: Any, sentence: str) -> None:
    assert only(with_path(f"hot_water.{key}", value)) == f"case.toml: [hot_water] {sentence}"


@pytest.mark.parametrize("target_c", [45, 55, 60, 75])
def test_any_hygiene_is_allowed_and_what_it_reaches_is_judged_by_the_year(target_c: float) -> None:
    water = {"volume_l": 180.0, "tapping": "M", "target_c": 45, "hygiene": {"target_c": target_c}}
    case = made(table(hot_water=water))
    assert case.hot_water.hygiene.target_c == target_c


def test_windows_may_overlap_and_run_over_midnight() -> None:
    windows = [{"from": "22:00", "to": "06:00"}, {"from": "05:00", "to": "07:00", "days": "weekend"}]
    case = made(with_path("hot_water.windows", windows))
    assert [(span.start, span.end, span.days) for span in case.hot_water.windows] == [
        ("22:00", "06:00", "all"),
        ("05:00", "07:00", "weekend"),
    ]


def test_the_remedy_for_a_cycle_that_does_nothing_works() -> None:
    """Where 60 stands already, 60 is no remedy: the value proposed is tried."""
    water = {"volume_l": 180.0, "tapping": "M", "target_c": 65.0}
    said = only(table(hot_water=water))
    assert said.startswith("case.toml: [hot_water] hygiene.target_c = 60 is below the everyday target_c = 65")
    proposed = float(said.partition("Write target_c = ")[2].split()[0])
    assert made(table(hot_water={**water, "hygiene": {"target_c": proposed}})).hot_water.hygiene.target_c == 65.0


@pytest.mark.parametrize("left_out", [True, False])
def test_a_home_without_a_cylinder_heats_no_water(left_out: bool) -> None:
    """Left out, or heated by something else: nothing is drawn, lost or heated, and the notes say so."""
    other = {} if left_out else {"hot_water": {"heated_by": "something else", "tapping": "L"}}
    case = made(table("option", "baseline", "hot_water", **other))
    year = simulate(case)
    for flow in ("hot_water", "tap_water", "tap_water_unmet", "immersion"):
        assert year.totals[flow] == 0.0, flow
    assert year.run.totals.cylinder_loss == 0.0
    assert year.totals["space_heat"] > 5000.0
    assert any(note.startswith("No hot water is heated in this case") for note in case.notes)
    assert not any("[hot_water]" in note and "Assumed" in note and "volume_l" in note for note in case.notes)
    assert not any("hot water is stored" in note for note in case.notes)
    with_water = simulate(made(table("option", "baseline")))
    assert with_water.totals["import"] > year.totals["import"] + 300.0


def test_the_schema_knows_a_home_without_a_cylinder() -> None:
    jsonschema = pytest.importorskip("jsonschema", reason="jsonschema comes with JupyterLab")
    editor = jsonschema.Draft202012Validator(case_schema())
    assert not list(editor.iter_errors(table("hot_water")))
    assert not list(editor.iter_errors(table(hot_water={"heated_by": "something else"})))
    assert list(editor.iter_errors(table(hot_water={"target_c": 50.0})))
