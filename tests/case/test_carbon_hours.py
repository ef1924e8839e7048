"""Carbon by hour of the day in; 24 factors, or one plain sentence, out."""

from __future__ import annotations

from typing import Any

import pytest

from case.stated import made, only, table


def test_twenty_four_factors() -> None:
    assert made(table(carbon={"by_hour_g_per_kwh": [200.0] * 24})).carbon.by_hour_g_per_kwh == (200.0,) * 24
    assert made(table()).carbon.by_hour_g_per_kwh is None


@pytest.mark.parametrize("bad", [[200.0] * 23, [-1.0] * 24, "much", 5.0, ["a"] * 24, []])
def test_anything_else_is_refused(bad: Any) -> None:
    sentence = only(table(carbon={"by_hour_g_per_kwh": bad}))
    assert sentence.startswith("case.toml: [carbon] by_hour_g_per_kwh")
    assert sentence.endswith(
        "is not a list of 24 numbers from 0 to 1500 g/kWh, one for each hour of the day from midnight on. "
        "Write 24 numbers in brackets, or leave it out where only the yearly average is known."
    )
