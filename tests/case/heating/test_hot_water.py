"""Hot water: exactly one loss, one coil, one draw, and temperatures that can follow one another."""

from __future__ import annotations

from typing import Any

import pytest

from case.stated import made, only, table, with_path

SLIPS = [
    ("target_c", 38, "target_c = 38 is below use_c = 40, so that the tap could never be warm enough. Store the water "
     "hotter "
     "than it is used, such as 60."),
    ("hygiene", {"target_c": 48}, "hygiene.target_c = 48 is below the everyday target_c = 50, so that the cycle "
     "would do "
     "nothing. Raise it to 60 or above the everyday target."),
    ("cold_water_c", 3, "cold_water_swing_k = 4 takes the cold water of 3 °C below freezing. Write how far it swings "
     "to each "
     "side, usually 3 to 6."),
    ("litres_per_day_at_40", 120, "tapping and litres_per_day_at_40 are given together, and exactly one is allowed: "
     "they say "
     "the same thing. Keep the one you know best."),
    ("tapping", ..., 'tapping and litres_per_day_at_40 are both missing, and exactly one is needed. Add the one you '
     'know, such '
     'as tapping = "M".'),
    ("windows", [{"from": "05:00", "to": "05:00"}], "windows no. 1: 05:00 to 05:00 is a window without length. Write "
     "00:00 to "
     "24:00 for the whole day, or leave the window out."),
]  # fmt: skip


@pytest.mark.parametrize(("key", "value", "sentence"), SLIPS, ids=[sentence[:30] for *_, sentence in SLIPS])
def test_what_contradicts_itself(key: str, value: Any, sentence: str) -> None:
    assert only(with_path(f"hot_water.{key}", value)) == f"case.toml: [hot_water] {sentence}"


@pytest.mark.parametrize("target_c", [45, 55, 60, 75])
def test_any_hygiene_is_allowed_and_the_caution_says_what_is_published(target_c: float) -> None:
    water = {"volume_l": 180.0, "tapping": "M", "target_c": 45, "hygiene": {"target_c": target_c}}
    case = made(table(hot_water=water))
    assert case.hot_water.hygiene.target_c == target_c
    assert any("60 °C or more" in note for note in case.notes)


def test_windows_may_overlap_and_run_over_midnight() -> None:
    windows = [{"from": "22:00", "to": "06:00"}, {"from": "05:00", "to": "07:00", "days": "weekend"}]
    case = made(with_path("hot_water.windows", windows))
    assert [(span.start, span.end, span.days) for span in case.hot_water.windows] == [
        ("22:00", "06:00", "all"),
        ("05:00", "07:00", "weekend"),
    ]
